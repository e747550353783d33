"""Tensions of every span of a belt with many pulleys, the grip of each, the loads on their hubs.

The last axis counts pulleys in the belt's order of travel, the crank first; span i leaves pulley
i, so that span 0 is the slack one and a driven pulley's far span is the tighter by its effective
tension. Tensions here are over the centrifugal one, which adds to every span and presses on no
pulley. One rule holds them: a weighted mean of the spans stays at the *base tension*. A spring
idler has all its weight on its own span and its set tension as base; between fixed centres the
weights are the spans' lengths (their stretch adds up to nothing) and the base is the static
tension less the centrifugal one.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.errors import InputError

Floats = NDArray[np.float64]

TENSIONING = ("sprung", "fixed")
"""Kinds of tensioning."""


def _total(values: Floats) -> Floats:
    """Sum over the pulleys, in their order whatever the leading shape."""
    return np.asarray(np.cumsum(values, axis=-1)[..., -1:])


def _check_kind(tensioning: str) -> None:
    if tensioning not in TENSIONING:
        raise InputError("drive.tensioner", tensioning, "one of " + ", ".join(TENSIONING))


def span_weights(tensioning: str, span_lengths: ArrayLike, tensioner_span: int) -> Floats:
    """Weights of the spans in the mean tension that the tensioning keeps.

    Parameters
    ----------
    tensioning : str
        ``sprung`` or ``fixed``.
    span_lengths : array_like, shape (..., n)
        Lengths of the spans. [m]
    tensioner_span : int
        The span a spring idler holds; not read where fixed. [-]

    Returns
    -------
    ndarray, shape (..., n)
        Weights, together 1. [-]

    References
    ----------
    Sprung: equilibrium of the idler. Fixed: the spans' stretch T L/EA adds up to a constant
    (the arcs left out), which for two equal spans is the mean of both tensions.

    Examples
    --------
    >>> span_weights("fixed", [0.3, 0.3], 0)
    array([0.5, 0.5])
    """
    _check_kind(tensioning)
    lengths = np.asarray(span_lengths, dtype=float)
    if tensioning == "fixed":
        return np.asarray(lengths / _total(lengths))
    if not 0 <= tensioner_span < lengths.shape[-1]:
        allowed = f"0 to {lengths.shape[-1] - 1}, a span of this belt"
        raise InputError("drive.belt_tensioner.span", tensioner_span, allowed)
    weights = np.zeros(lengths.shape)
    weights[..., tensioner_span] = 1.0
    return weights


def base_tension(tensioning: str, tension: ArrayLike, centrifugal: ArrayLike) -> Floats:
    """Mean tension over the centrifugal one that the tensioning keeps.

    Parameters
    ----------
    tensioning : str
        ``sprung`` or ``fixed``.
    tension : array_like
        Sprung: tension over the centrifugal one; fixed: tension at rest; whole belt. [N]
    centrifugal : array_like
        Centrifugal tension. [N]

    Returns
    -------
    ndarray
        Base tension; fixed it falls with speed. [N]

    References
    ----------
    The two conventions of ``belt_grip``.

    Examples
    --------
    >>> float(base_tension("fixed", 720.0, 300.0)), float(base_tension("sprung", 150.0, 300.0))
    (420.0, 150.0)
    """
    _check_kind(tensioning)
    kept = np.asarray(tension, dtype=float)
    away = np.asarray(centrifugal, dtype=float)
    return np.asarray(kept - away if tensioning == "fixed" else kept + 0.0 * away)


def _loads(effective: ArrayLike) -> Floats:
    """Effective tensions with nothing at the crank."""
    loads = np.array(effective, dtype=float)
    loads[..., 0] = 0.0
    return loads


def span_tensions(effective: ArrayLike, weights: ArrayLike, base: ArrayLike) -> Floats:
    """Tensions of the spans over the centrifugal one.

    Parameters
    ----------
    effective : array_like, shape (..., n)
        Effective tensions of the driven pulleys, idlers 0; the crank's is not read. [N]
    weights : array_like, shape (..., n)
        Weights of the spans. [-]
    base : array_like, shape (...)
        Base tension. [N]

    Returns
    -------
    ndarray, shape (..., n)
        Tensions; the last span is the tight one. [N]

    References
    ----------
    Equilibrium of every pulley: what leaves is tighter by its effective tension.

    Examples
    --------
    >>> span_tensions([0.0, 100.0, 400.0], [1.0, 0.0, 0.0], 150.0)
    array([150., 250., 650.])
    """
    rise = np.cumsum(_loads(effective), axis=-1)
    mean = _total(rise * np.asarray(weights, dtype=float))
    return np.asarray(np.asarray(base, dtype=float)[..., None] - mean + rise)


def pulley_grips(
    effective: ArrayLike,
    weights: ArrayLike,
    base: ArrayLike,
    friction: ArrayLike,
    wraps: ArrayLike,
    blower: int,
) -> Floats:
    """Largest effective tension at every pulley, the other pulleys' loads as they are.

    Parameters
    ----------
    effective : array_like, shape (..., n)
        Effective tensions of the driven pulleys, idlers 0; the crank's is not read. [N]
    weights : array_like, shape (..., n)
        Weights of the spans. [-]
    base : array_like, shape (...)
        Base tension. [N]
    friction : array_like, shape (..., n)
        Effective friction at every pulley. [-]
    wraps : array_like, shape (..., n)
        Wraps. [rad] above 0
    blower : int
        Place of the blower: the crank's grip is the largest total while its load grows. [-]

    Returns
    -------
    ndarray, shape (..., n)
        Grips; the crank's is for the total of all loads. At or below 0 a pulley does not
        drive. [N]

    References
    ----------
    Euler-Eytelwein at every pulley with the spans of ``span_tensions``, solved for its load.

    Examples
    --------
    Two pulleys, tension ratio five at both, between fixed centres: 2 x 90 x 4/6.

    >>> ratio_of_five = np.log(5.0) / np.pi
    >>> pulley_grips([0.0, 50.0], [0.5, 0.5], 90.0, ratio_of_five, [np.pi, np.pi], 1).round(9)
    array([120., 120.])
    """
    loads, w = _loads(effective), np.asarray(weights, dtype=float)
    n = np.broadcast_shapes(loads.shape, w.shape, np.shape(wraps))[-1]
    if not 1 <= blower < n:
        raise InputError("drive.pulleys.blower", blower, f"1 to {n - 1}, a pulley after the crank")
    before = np.cumsum(loads, axis=-1)
    mean = _total(before * w)
    # weight of all spans that a pulley's load tightens: its own and those after it
    after = 1.0 - (np.cumsum(w, axis=-1) - w)
    with np.errstate(over="ignore", divide="ignore", invalid="ignore"):
        slack_share = 1.0 / np.expm1(np.asarray(friction, dtype=float) * np.asarray(wraps))
        held = np.asarray(base, dtype=float)[..., None] - mean
        grips = np.asarray((held + after * loads + before - loads) / (slack_share + after))
        tied, own = after[..., blower], loads[..., blower]
        others = before[..., -1] - own
        slack, arc = held[..., 0], slack_share[..., 0]
        crank = (slack + tied * own - others * arc) / (arc + tied) + others
    grips = np.array(np.broadcast_to(grips, np.broadcast_shapes(grips.shape, (*crank.shape, n))))
    grips[..., 0] = crank
    return grips


def blower_grip(grips: ArrayLike, effective: ArrayLike, blower: int) -> Floats:
    """Largest effective tension the blower can have before it or the crank slips.

    Parameters
    ----------
    grips : array_like, shape (..., n)
        Grips of ``pulley_grips``. [N]
    effective : array_like, shape (..., n)
        Effective tensions of the driven pulleys; the crank's is not read. [N]
    blower : int
        Place of the blower. [-]

    Returns
    -------
    ndarray, shape (...)
        Grip that counts for the blower. [N]

    References
    ----------
    The lesser of its own and of what the other loads leave of the crank's.

    Examples
    --------
    >>> float(blower_grip([500.0, 300.0, 450.0], [0.0, 100.0, 350.0], 2))
    400.0
    """
    g, loads = np.asarray(grips, dtype=float), _loads(effective)
    others = np.cumsum(loads, axis=-1)[..., -1] - loads[..., blower]
    return np.asarray(np.minimum(g[..., blower], g[..., 0] - others))


def hub_loads(tensions: ArrayLike, span_angles: ArrayLike) -> Floats:
    """Load of the belt on every pulley's shaft.

    Parameters
    ----------
    tensions : array_like, shape (..., n)
        Tensions of the spans over the centrifugal one. [N]
    span_angles : array_like, shape (..., n)
        Directions of travel of the spans, from the x axis. [rad]

    Returns
    -------
    ndarray, shape (..., n, 2)
        Loads along x and y. [N]

    References
    ----------
    Vector sum: the leaving span pulls forwards, the arriving one backwards.

    Examples
    --------
    Half a turn, both spans at 100 N: 200 N along them.

    >>> hub_loads([100.0, 100.0], [0.0, np.pi])[1].round(9) + 0.0
    array([-200.,    0.])
    """
    t, angle = np.asarray(tensions, dtype=float), np.asarray(span_angles, dtype=float)
    pull = np.stack((t * np.cos(angle), t * np.sin(angle)), axis=-1)
    return np.asarray(pull - np.roll(pull, 1, axis=-2))
