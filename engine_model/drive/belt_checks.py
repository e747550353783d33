"""Sentences about belts that cannot run: what stands where it must not."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from engine_model.drive.belt_geometry import BeltPath, Pulley
from engine_model.errors import InputError

Floats = NDArray[np.float64]

FIELD = "drive.pulleys"


def check_pulleys(pulleys: tuple[Pulley, ...]) -> None:
    """Raise an :class:`InputError` where pulleys cannot carry a belt, whatever its path.

    Parameters
    ----------
    pulleys : tuple of Pulley
        The pulleys in the belt's order.
    """
    names = [p.name for p in pulleys]
    if len(pulleys) < 2:
        raise InputError(FIELD, ", ".join(names), "two pulleys or more")
    again = sorted({name for name in names if names.count(name) > 1})
    if again:
        raise InputError(FIELD, ", ".join(again), "a name of its own for every pulley")
    if pulleys[0].face != "grooved":
        raise InputError(f"{FIELD}.{names[0]}.face", pulleys[0].face, "grooved: the crank is first")
    at = np.array([(p.x, p.y) for p in pulleys])
    radius = 0.5 * np.array([p.diameter for p in pulleys])
    apart = np.hypot(*np.moveaxis(at[:, None] - at, -1, 0))
    need = radius[:, None] + radius
    short = np.argwhere(np.triu(apart < need, 1))
    if short.size:
        i, j = (int(one) for one in short[0])
        raise InputError(
            FIELD,
            f"{names[i]} and {names[j]} with centres {1e3 * apart[i, j]:.1f} mm apart",
            f"more than {1e3 * need[i, j]:.1f} mm, so that the two do not overlap",
        )


def path_fault(path: BeltPath, closes: bool) -> InputError | None:
    """Sentence why a path is not one a belt can take; None where it is.

    Parameters
    ----------
    path : BeltPath
        The path.
    closes : bool
        Whether its signed wraps add up to one turn.

    Returns
    -------
    InputError or None
        The first fault.
    """
    names = path.names
    for i in np.flatnonzero(np.isnan(path.span_lengths)):
        pair = f"{names[i]} and {names[(i + 1) % len(names)]}"
        allowed = "pulleys far enough apart for the belt to pass between them"
        return InputError(FIELD, pair, allowed)
    if not closes:
        allowed = "an order and places in which the belt goes round once without crossing itself"
        return InputError(FIELD, ", ".join(names), allowed)
    worst = int(np.argmin(path.wraps))
    if path.wraps[worst] <= 0.0:
        given = f"{names[worst]} with a wrap of {np.degrees(path.wraps[worst]):.3g} deg"
        return InputError(FIELD, given, "a wrap above 0: the belt must bend round every pulley")
    return _run_through(path) or _crossing(path)


def _span(path: BeltPath, i: int) -> str:
    return f"the span from {path.names[i]} to {path.names[(i + 1) % len(path.names)]}"


def _run_through(path: BeltPath) -> InputError | None:
    """Fault of a span that runs through a pulley."""
    count = len(path.names)
    start, end = path.departures, np.roll(path.arrivals, -1, axis=0)
    side = end - start
    to = path.centres[None, :, :] - start[:, None, :]
    along = (to[..., 0] * side[:, None, 0] + to[..., 1] * side[:, None, 1]) / (
        path.span_lengths[:, None] ** 2
    )
    foot = to - np.clip(along, 0.0, 1.0)[..., None] * side[:, None, :]
    hit = np.hypot(foot[..., 0], foot[..., 1]) < path.pitch_radii
    own = np.eye(count, dtype=bool) | np.roll(np.eye(count, dtype=bool), 1, axis=1)
    for i, k in np.argwhere(hit & ~own):
        given = f"{_span(path, int(i))} through {path.names[k]}"
        return InputError(FIELD, given, f"a path that passes {path.names[k]} at a distance")
    return None


def _crossing(path: BeltPath) -> InputError | None:
    """Fault of spans that cross."""
    start, end = path.departures, np.roll(path.arrivals, -1, axis=0)

    def side_of(point: Floats) -> Floats:
        """Side of every span (rows) on which every point (columns) lies."""
        d = end - start
        to = point[None, :, :] - start[:, None, :]
        return np.asarray(d[:, None, 0] * to[..., 1] - d[:, None, 1] * to[..., 0])

    parted = side_of(start) * side_of(end) < 0.0
    for i, j in np.argwhere(np.triu(parted & parted.T, 1)):
        given = f"{_span(path, int(i))} across {_span(path, int(j))}"
        return InputError(FIELD, given, "an order in which no spans cross")
    return None
