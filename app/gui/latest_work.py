"""Work in one thread, of which only the last asked for counts: old results are dropped."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor

from PySide6.QtCore import QObject, Signal

from engine_model.errors import InputError

Tell = Callable[[str, object], None]
"""Tells a result of a kind as it comes; raises DroppedError where it is no longer wanted."""

REFUSED, ENDED = "refused", "ended"


class DroppedError(Exception):
    """The work is no longer wanted."""


class LatestWork(QObject):
    """Does one piece of work at a time, the last one asked for.

    A subclass says in :meth:`take` what becomes of its results.

    Parameters
    ----------
    name : str
        Name of the thread.
    parent : QObject, optional
        Parent.

    Signals
    -------
    refused(sentence)
        What was asked cannot be.
    busy(busy)
        Work begins or ends.
    """

    refused = Signal(str)
    busy = Signal(bool)
    _told = Signal(int, str, object, object)

    def __init__(self, name: str, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._generation = 0
        self._is_busy = False
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix=name)
        self._told.connect(self._hear)

    @property
    def generation(self) -> int:
        """Number of the present work; results of any other are dropped."""
        return self._generation

    @property
    def is_busy(self) -> bool:
        """Whether a result is waited for."""
        return self._is_busy

    def begin(self, request: object, work: Callable[[Tell], None]) -> None:
        """Begin work; whatever was under way is dropped.

        Parameters
        ----------
        request : object
            Handed to :meth:`take` with every result.
        work : callable
            Called in the thread with what tells its results.
        """
        self._generation += 1
        self._set_busy(True)
        generation = self._generation
        future = self._worker.submit(self._run, generation, request, work)
        future.add_done_callback(lambda done: self._tell_failure(generation, request, done))

    def take(self, kind: str, request: object, found: object) -> None:
        """Take a result, in the window's own thread."""
        raise NotImplementedError

    def cancel(self) -> None:
        """Drop what is under way; it ends where it next tells something."""
        self._generation += 1
        self._set_busy(False)

    def end(self) -> None:
        """End the thread; the step it is at is waited for."""
        self.cancel()
        self._worker.shutdown(wait=True, cancel_futures=True)

    def _run(self, generation: int, request: object, work: Callable[[Tell], None]) -> None:
        """In the thread."""

        def tell(kind: str, found: object) -> None:
            if generation != self._generation:
                raise DroppedError
            self._told.emit(generation, kind, request, found)

        try:
            work(tell)
        except DroppedError:
            return
        except InputError as error:
            self._told.emit(generation, REFUSED, request, str(error))
            return
        self._told.emit(generation, ENDED, request, None)

    def _tell_failure(self, generation: int, request: object, done: Future[None]) -> None:
        """In the thread: what nobody foresaw is told, so that nothing is waited for for ever."""
        error = None if done.cancelled() else done.exception()
        if error is not None:
            words = f"This could not be worked out: {error!r}."
            self._told.emit(generation, REFUSED, request, words)

    def _hear(self, generation: int, kind: str, request: object, found: object) -> None:
        if generation != self._generation:
            return
        if kind in (REFUSED, ENDED):
            self._set_busy(False)
        if kind == REFUSED:
            self.refused.emit(found)
        elif kind != ENDED:
            self.take(kind, request, found)

    def _set_busy(self, busy: bool) -> None:
        if busy != self._is_busy:
            self._is_busy = busy
            self.busy.emit(busy)
