"""Error bars on the match: what the spreads of the inputs make of line, ledger and target."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.compressor.surface import Surface
from engine_model.errors import InputError
from engine_model.inputs import Build, Day
from engine_model.limits.ledger import CHECKS
from engine_model.matching import check_engine_speeds, default_engine_speeds
from engine_model.problem import surface_of
from engine_model.studies.span_cases import go_on
from engine_model.studies.uncertain_inputs import UNCERTAIN, InputSpread, spread_table
from engine_model.studies.uncertain_lines import (
    LineSamples,
    SampleTask,
    band_fields,
    sample_lines,
)
from engine_model.studies.uncertain_records import (
    Band,
    EntryChance,
    ErrorBars,
    MeasureFirst,
    Quantiles,
    first_order_shares,
    line_band,
    quantiles,
)

Floats = NDArray[np.float64]

SAMPLES: Final = 1024
"""Samples unless asked otherwise [-]; chosen here."""

LEAST_SAMPLES, MOST_SAMPLES = 64, 65_536
"""Samples that can be asked for [-]; chosen here."""

SEED: Final = 20_011
"""Seed of the draws unless asked otherwise; any number."""

CHUNK_POINTS: Final = 131_072
"""Points of a chunk [-]: some tenths of a second of work."""


def normal_draws(samples: int, seed: int = SEED) -> Floats:
    """Standard normal draws of every input with a spread.

    Parameters
    ----------
    samples : int
        Number of samples, a power of two. [-]
    seed : int
        Seed.

    Returns
    -------
    ndarray, shape (samples, inputs)
        Draws: scrambled Sobol points through the inverse of the normal distribution. [-]

    References
    ----------
    Owen, Scrambling Sobol' and Niederreiter-Xing points, Journal of Complexity 14 (1998); the
    points are those of ``scipy.stats.qmc``.
    """
    # a second of import that nothing but this study needs
    from scipy.special import ndtri
    from scipy.stats import qmc

    sampler = qmc.Sobol(len(UNCERTAIN), scramble=True, seed=seed)
    points = sampler.random(samples)
    return np.asarray(ndtri(np.clip(points, 1e-12, 1.0 - 1e-12)), dtype=float)


def samples_taken(asked: int) -> int:
    """Number of samples taken where a number is asked for: the next power of two.

    Parameters
    ----------
    asked : int
        Number of samples. [-] 64-65536

    Returns
    -------
    int
        The number taken; Sobol points are even only in powers of two. [-]

    Raises
    ------
    InputError
        For a number out of range.

    References
    ----------
    As :func:`normal_draws`.

    Examples
    --------
    >>> samples_taken(1000)
    1024
    """
    if not LEAST_SAMPLES <= asked <= MOST_SAMPLES:
        raise InputError("samples", asked, f"{LEAST_SAMPLES} to {MOST_SAMPLES}")
    return 1 << (int(asked) - 1).bit_length()


def error_bars(
    build: Build,
    days: Sequence[Day],
    rpm: ArrayLike | None = None,
    *,
    samples: int = SAMPLES,
    seed: int = SEED,
    spreads: Mapping[str, float] | None = None,
    surface: Surface | None = None,
    coarse: bool = True,
    executor: Executor | None = None,
    on_step: Callable[[], None] = go_on,
    chunk_points: int | None = None,
) -> ErrorBars:
    """The match with error bars: bands, chances, and what to measure first.

    Every spread is one standard deviation of a normal distribution. One draw serves all days and
    all engine speeds of a line: a breathing that is 3 % better is so everywhere.

    Parameters
    ----------
    build : Build
        The build.
    days : sequence of Day
        The days, each once; bands are of the first, chances of any of them. Where the target
        names another day, the target is judged there.
    rpm : array_like, optional
        Engine speeds; 1500 to the limiter by 50 unless given. The limiter is judged whatever is
        given. [rpm] 100-24000
    samples : int
        Samples; the next power of two is taken. [-] 64-65536
    seed : int
        Seed of the draws.
    spreads : mapping of str to float, optional
        Spreads of your own by key of ``UNCERTAIN``, one standard deviation; 0 holds an input.
        [unit of the row]
    surface : Surface, optional
        The fitted compressor map, where the caller has it.
    coarse : bool
        Whether knock is estimated in coarser steps, within 0.3 % of power.
    executor : Executor, optional
        Where the chunks run; in this process unless given. The results are the same bytes.
    on_step : callable
        Called before every chunk, or before each is taken from the executor; what it raises ends
        the study.
    chunk_points : int, optional
        Points of a chunk, for who must come to the next step sooner. [-] 1 or more

    Returns
    -------
    ErrorBars
        SI, speeds in rpm.

    Raises
    ------
    InputError
        For engine speeds, days, samples or spreads that cannot be.

    References
    ----------
    As :func:`normal_draws` and ``first_order_shares``.
    """
    if not days:
        raise InputError("days", 0, "one day or more")
    speeds = default_engine_speeds(build) if rpm is None else check_engine_speeds(rpm)
    limiter = build.engine.limiter
    every = speeds if np.any(speeds == limiter) else np.append(speeds, limiter)
    solved_on = (*days, *_target_days(build, days))
    found, table = spread_table(build, solved_on, spreads)
    draws = normal_draws(samples_taken(samples), seed)
    fitted = surface_of(build, surface)
    size = max(1, (chunk_points or CHUNK_POINTS) // (every.size * len(solved_on)))
    tasks = [
        SampleTask(build, fitted, solved_on, every, speeds.size, table, draws[a : a + size], coarse)
        for a in range(0, draws.shape[0], size)
    ]
    parts = iter((map if executor is None else executor.map)(sample_lines, tasks))
    found_lines = []
    for _ in tasks:
        on_step()
        found_lines.append(next(parts))
    lines = LineSamples.together(found_lines)
    return _error_bars(build, days, solved_on, speeds, draws, seed, found, lines)


def _target_days(build: Build, days: Sequence[Day]) -> tuple[Day, ...]:
    """The target's own day, where it is not among the days."""
    target = build.target
    if target.power is None or target.day is None:
        return ()
    return () if target.day in [day.name for day in days] else (build.known_days()[target.day],)


def _error_bars(
    build: Build,
    days: Sequence[Day],
    solved_on: Sequence[Day],
    speeds: Floats,
    draws: Floats,
    seed: int,
    spreads: tuple[InputSpread, ...],
    lines: LineSamples,
) -> ErrorBars:
    values = lines.values
    bands = tuple(Band(name, *quantiles(values[name])) for name in band_fields(build))
    on_map = None
    if "pressure_ratio" in values:
        on_map = line_band(values["corrected_flow_kg_s"], values["pressure_ratio"])
    power = values["wheel_power_w"]
    known = np.isfinite(power)
    peak = np.max(np.where(known, power, -np.inf), axis=-1)
    peak = np.where(np.isfinite(peak), peak, np.nan)
    shares, explained = _shares(spreads, draws, peak)
    names = tuple(day.name for day in days)
    return ErrorBars(
        build,
        names,
        draws.shape[0],
        seed,
        speeds,
        bands,
        on_map,
        np.mean(known, axis=0),
        _spread_of(peak),
        peak,
        tuple(_chance(k, lines.used[k], names) for k in range(len(CHECKS))),
        _target_met(lines.used, [day.name for day in solved_on]),
        spreads,
        shares,
        explained,
    )


def _spread_of(values: Floats) -> Quantiles:
    low, middle, high = (float(one) for one in quantiles(values))
    known = values[np.isfinite(values)]
    return Quantiles(low, middle, high, float(np.std(known)) if known.size else float("nan"))


def _shares(
    spreads: tuple[InputSpread, ...], draws: Floats, peak: Floats
) -> tuple[tuple[MeasureFirst, ...], float]:
    """Shares of the inputs that have a spread, the largest first; equal ones in the rows' order."""
    keys = [row.key for row in UNCERTAIN]
    moving = [keys.index(one.key) for one in spreads if one.size > 0.0]
    shares, explained = first_order_shares(draws[:, moving], peak)
    found = [MeasureFirst(keys[k], float(s)) for k, s in zip(moving, shares, strict=True)]
    found.sort(key=lambda one: -one.share if one.share == one.share else 1.0)
    return tuple(found), explained


def _chance(check: int, used: Floats, days: tuple[str, ...]) -> EntryChance:
    """Chance of one check over the days shown; ``used`` has axes sample and day."""
    row, shown = CHECKS[check], used[:, : len(days)]
    judged = float(np.mean(np.any(~np.isnan(shown), axis=-1)))
    over = shown > 1.0
    share = float(np.mean(np.any(over, axis=-1))) if judged > 0.0 else float("nan")
    each = np.sum(over, axis=0)
    day = days[int(np.argmax(each))] if np.any(each) else ""
    known = np.any(~np.isnan(shown), axis=0)
    by_day = tuple(
        float(n) / used.shape[0] if k else float("nan") for n, k in zip(each, known, strict=True)
    )
    return EntryChance(row.code, row.part, share, judged, day, by_day)


def _target_met(used: Floats, days: Sequence[str]) -> float:
    """Share of the samples that reach the target on every day on which it is judged."""
    at = [check.code for check in CHECKS].index("target_power")
    judged = ~np.isnan(used[at])
    where = [k for k in range(len(days)) if np.any(judged[:, k])]
    if not where:
        return float("nan")
    return float(np.mean(np.all(used[at][:, where] <= 1.0, axis=-1)))
