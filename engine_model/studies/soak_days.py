"""Heat soak over several days; what is known of a day is not worked out again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from engine_model.compressor.surface import Surface
from engine_model.errors import InputError
from engine_model.inputs import Build, Day
from engine_model.problem import surface_of
from engine_model.studies.heat_soak_study import heat_soak_steps
from engine_model.studies.soak_records import REFUSED, HeatSoak


def is_of(found: HeatSoak | None, build: Build, day: Day) -> bool:
    """Whether a study is that of a build on a day."""
    if found is None or found.day != day:
        return False
    return found.build is build or found.build == build


def soak_days_steps(
    build: Build,
    days: Sequence[Day],
    surface: Surface | None = None,
    known: Mapping[str, HeatSoak] | None = None,
) -> Iterator[HeatSoak | None]:
    """Heat soak of every day a step at a time, for a caller that works in idle time.

    Parameters
    ----------
    build : Build
        The build.
    days : sequence of Day
        The days.
    surface : Surface, optional
        The fitted compressor map, where the caller has it.
    known : mapping of str to HeatSoak, optional
        Studies by the day's name, taken where they are of this build and day.

    Yields
    ------
    HeatSoak or None
        Nothing after a step, a study after each day; a day on which the cooler's figures cannot
        be has a study that says so. [SI]

    References
    ----------
    :func:`engine_model.studies.heat_soak_study.heat_soak`.
    """
    fitted = surface_of(build, surface)
    for day in days:
        one = None if known is None else known.get(day.name)
        if one is not None and is_of(one, build, day):
            yield one
            continue
        try:
            yield from heat_soak_steps(build, day, fitted)
        except InputError as error:
            yield HeatSoak(build, day, REFUSED, fault=error)


def soak_over_days(
    build: Build, days: Sequence[Day], surface: Surface | None = None
) -> tuple[HeatSoak, ...]:
    """Heat soak of every day.

    Parameters
    ----------
    build : Build
        The build.
    days : sequence of Day
        The days.
    surface : Surface, optional
        The fitted compressor map, where the caller has it.

    Returns
    -------
    tuple of HeatSoak
        A study a day, in their order. [SI]

    References
    ----------
    :func:`engine_model.studies.heat_soak_study.heat_soak`.
    """
    steps = soak_days_steps(build, days, surface)
    return tuple(one for one in steps if one is not None)
