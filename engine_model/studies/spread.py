"""Chunks of work on any executor of the standard library's kind; in-process is its plain case."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    wait,
)
from contextlib import contextmanager
from multiprocessing import get_context
from typing import Any, TypeVar

Result = TypeVar("Result")
MakeExecutor = Callable[[], Executor]
Workers = Executor | MakeExecutor
"""An executor, or a maker of one that may be made again where it breaks."""

MOST_POOLS = 4
"""Pools used up by one study before it gives up; chosen here."""

CONNECT = 10.0
"""Seconds that a scheduler is waited for [s]; chosen here."""

POLL = 0.1
"""Seconds between two looks at whether the study should end."""


class SpreadError(RuntimeError):
    """Workers that broke again and again."""


def chunks_of(count: int, seconds: float, least: float) -> list[tuple[int, ...]]:
    """Numbers 0 to count cut into chunks that take a least time each.

    Parameters
    ----------
    count : int
        Pieces of work.
    seconds : float
        About how long one takes. [s]
    least : float
        How long a chunk should take at least. [s]

    Returns
    -------
    list of tuple of int
        The same whatever the number of workers, so that results are.

    References
    ----------
    None: a choice of this bench.

    Examples
    --------
    >>> chunks_of(5, 0.1, 0.2)
    [(0, 1), (2, 3), (4,)]
    """
    size = max(1, math.ceil(least / seconds - 1e-9))
    return [tuple(range(k, min(k + size, count))) for k in range(0, count, size)]


def process_pool(workers: int) -> MakeExecutor:
    """Maker of pools of worker processes, each begun afresh.

    Parameters
    ----------
    workers : int
        Worker processes. [-] 1 or more

    Returns
    -------
    callable
        Makes a pool; a further one where the first breaks.
    """
    return lambda: ProcessPoolExecutor(workers, mp_context=get_context("spawn"))


@contextmanager
def cluster(address: str) -> Iterator[Executor]:
    """Executor of a Dask cluster, closed at the end; workers that die are its own matter.

    Parameters
    ----------
    address : str
        Address of the scheduler, such as ``tcp://10.0.0.5:8786``.

    Yields
    ------
    Executor
        The cluster's own executor.

    Raises
    ------
    SpreadError
        Where the cluster's library is not installed, nobody answers there, or its workers die
        again and again.
    """
    try:
        from distributed import Client, KilledWorker
    except ImportError:
        raise SpreadError(
            "scheduler: Dask is not installed; allowed: pip install 'pulleywright[cluster]', "
            "or --workers"
        ) from None
    try:
        client = Client(address, timeout=CONNECT, set_as_default=False)
    except (OSError, ValueError) as error:
        why = " ".join(str(error).split())
        raise SpreadError(f"scheduler: nobody answers at {address!r}: {why}") from None
    with client:
        try:
            yield client.get_executor()
        except KilledWorker as error:
            raise SpreadError(f"scheduler: its workers died again and again: {error}") from None


def spread(
    work: Callable[..., Result],
    tasks: Sequence[tuple[Any, ...]],
    executor: Workers,
    on_step: Callable[[], None],
) -> Iterator[Result]:
    """Results of a function over tasks, as they are finished.

    Parameters
    ----------
    work : callable
        A function of a module, so that workers find it.
    tasks : sequence of tuple
        Its arguments.
    executor : Executor or callable
        Where the tasks are computed. A callable makes one that is shut down here; where it
        breaks because a worker died, another is made and only what is unfinished is submitted
        again.
    on_step : callable
        Called between results; what it raises ends the work.

    Returns
    -------
    iterator
        One result a task.

    Raises
    ------
    SpreadError
        Where workers broke again and again.
    """
    left = dict(enumerate(tasks))
    given = executor if isinstance(executor, Executor) else None
    for _ in range(1 if given is not None else MOST_POOLS):
        pool = executor() if given is None else given  # type: ignore[operator]
        try:
            yield from _finished(pool, work, left, on_step)
        except (BrokenExecutor, CancelledError):
            continue
        finally:
            if given is None:
                pool.shutdown(wait=False, cancel_futures=True)
        if not left:
            return
    raise SpreadError(
        f"workers: they broke {MOST_POOLS if given is None else 1} times, {len(left)} of "
        f"{len(tasks)} chunks are unfinished; allowed: workers that live, or none at all"
    )


def _finished(
    pool: Executor,
    work: Callable[..., Result],
    left: dict[int, tuple[Any, ...]],
    on_step: Callable[[], None],
) -> Iterator[Result]:
    """Results of the tasks left, each taken off; raises where the pool is broken."""
    waiting: dict[Future[Result], int] = {}
    try:
        for number, task in left.items():
            waiting[pool.submit(work, *task)] = number
        while waiting:
            on_step()
            done, _ = wait(waiting, timeout=POLL, return_when=FIRST_COMPLETED)
            broken: BaseException | None = None
            for future in done:
                number = waiting.pop(future)
                try:
                    result = future.result()
                except (BrokenExecutor, CancelledError) as error:
                    broken = error
                    continue
                del left[number]
                yield result
            if broken is not None:
                raise broken
    finally:
        for future in waiting:
            future.cancel()
