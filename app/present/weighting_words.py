"""Where the engine lives, in words: what weighs its speeds in a study."""

from __future__ import annotations

from app.fields import FIELD
from engine_model.counted_inputs import assumed_inputs
from engine_model.inputs import Build

MOST_NAMED = 5
"""Typed points, and assumed figures of the car, that are told one by one."""


def weighting_words(build: Build) -> str:
    """What the weighted efficiency is weighted by, in a sentence.

    Examples
    --------
    >>> from engine_model.inputs import Drive
    >>> weighting_words(Build(drive=Drive(kind="none")))
    'Every engine speed up to the limiter counts the same (assumed).'
    """
    kind = build.weighting.kind
    if kind == "typed":
        points = build.weighting.points
        told = [f"{weight:g} at {speed:.0f} rpm" for speed, weight in points[:MOST_NAMED]]
        more = len(points) - MOST_NAMED
        told += [f"{more} more"] * (more > 0)
        whose = _whose(build, "weighting.points")
        return f"Engine speeds count by the typed points, {whose}: {_joined(told)}."
    if kind == "run":
        return f"Engine speeds count by the time in a full-throttle run of the car, {_car(build)}."
    return f"Every engine speed up to the limiter counts the same ({_whose(build, KIND)})."


def weighting_short(build: Build) -> str:
    """The same in the fewest words, for a header.

    Examples
    --------
    >>> from engine_model.inputs import Drive
    >>> weighting_short(Build(drive=Drive(kind="none")))
    'flat over engine speed (assumed)'
    """
    kind = build.weighting.kind
    if kind == "typed":
        return f"typed points over engine speed ({_whose(build, 'weighting.points')})"
    if kind == "run":
        count = len(_assumed_of_car(build))
        figures = "1 figure" if count == 1 else f"{count} figures"
        whose = f"{figures} of the car assumed" if count else "car given"
        return f"full-throttle run of the car ({whose})"
    return f"flat over engine speed ({_whose(build, KIND)})"


KIND = "weighting.kind"


def _whose(build: Build, path: str) -> str:
    return "given" if path in build.given else "assumed"


def _assumed_of_car(build: Build) -> list[str]:
    """Names of the figures of the car that nobody has set."""
    paths = [path for path in assumed_inputs(build) if path.startswith("vehicle.")]
    return [FIELD[path].label.lower() for path in paths]


def _car(build: Build) -> str:
    names = _assumed_of_car(build)
    if not names:
        return "all its figures given"
    more = len(names) - MOST_NAMED
    told = names[:MOST_NAMED] + ([f"{more} more"] if more > 0 else [])
    return f"with its {_joined(told)} assumed"


def _joined(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
