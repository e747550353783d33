"""The belt of a build as plain numbers: wraps, what holds its tension, its grip."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.belt_plan import BeltPlan
from engine_model.drive.belt_grip import BACK_FRICTION, FRICTION, belt_speed, centrifugal_tension
from engine_model.drive.belt_tensions import (
    base_tension,
    blower_grip,
    pulley_grips,
    span_tensions,
    span_weights,
)
from engine_model.drive.belt_tried import likely_sense, tried_paths
from engine_model.inputs import Build
from engine_model.plan_layout import belt_sense, layout_of
from engine_model.sections import Drive

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class BeltRun:
    """How a belt runs round its pulleys; the last axis counts pulleys, the crank first.

    Parameters
    ----------
    names : tuple of str
        The pulleys.
    blower : int
        Place of the blower among them.
    wraps : ndarray, shape (..., n)
        Wraps. [rad]
    weights : ndarray, shape (..., n)
        Weights of the spans in the tension that the tensioning keeps. [-]
    friction : ndarray, shape (n,)
        Effective friction at each pulley; infinite where it is not judged. [-]
    loads : ndarray, shape (..., n)
        Effective tensions of the accessories, constant along the engine speed. [N]
    fits : ndarray of bool, shape (...)
        Whether the belt can run round these pulleys.
    """

    names: tuple[str, ...]
    blower: int
    wraps: Floats
    weights: Floats
    friction: Floats
    loads: Floats
    fits: Flags

    def along_speed(self) -> BeltRun:
        """Return the same with an axis of engine speed before that of the pulleys."""
        return BeltRun(
            self.names,
            self.blower,
            self.wraps[..., None, :],
            self.weights[..., None, :],
            self.friction,
            self.loads[..., None, :],
            self.fits[..., None],
        )


def belt_run(build: Build, crank_diameter: ArrayLike, blower_diameter: ArrayLike) -> BeltRun:
    """Run of a build's belt with the pulleys given.

    Parameters
    ----------
    build : Build
        A belt-driven build.
    crank_diameter, blower_diameter : array_like
        Outside diameters. [m]

    Returns
    -------
    BeltRun
        Of the broadcast shape of the diameters, or of no axes where it does not depend on them;
        wraps and weights nan where the belt cannot run round a layout's pulleys.

    References
    ----------
    Without a layout the wraps are the typed ones; accessories then stand between blower and
    crank, their own grip not judged: chosen here, since it loads the crank and helps nobody.

    With a layout the centres stand as told whichever pulley is tried: a belt of the length that
    fits is assumed. A spring idler has all the weight on the span that arrives at its pulley,
    the one towards the crank along the slack side; without a tensioner it is the span that
    leaves the crank. Accessories take a constant torque: their power at the limiter.
    """
    if build.layout is not None:
        return _run_of_layout(build, build.layout, crank_diameter, blower_diameter)
    drive = build.drive
    wraps, names = [np.deg2rad(drive.crank_arc), np.deg2rad(drive.wrap)], ["crank", "blower"]
    friction = [drive.belt_friction, drive.belt_friction]
    crank = np.asarray(crank_diameter, dtype=float)
    loads = np.zeros((*crank.shape, 2))
    if drive.accessory_power > 0.0:
        wraps.append(np.pi)
        names.append("accessories")
        friction.append(np.inf)
        at_limiter = belt_speed(crank + 2.0 * drive.pitch_line, build.engine.limiter)
        own = np.asarray(drive.accessory_power / at_limiter)[..., None]
        loads = np.concatenate((loads, own), axis=-1)
    weights = np.zeros(len(names))
    if drive.tensioner == "sprung":
        weights[0] = 1.0
    else:
        weights[0] = weights[-1] = 0.5
    return BeltRun(
        tuple(names), 1, np.array(wraps), weights, np.array(friction), loads, np.array(True)
    )


def _run_of_layout(
    build: Build, plan: BeltPlan, crank_diameter: ArrayLike, blower_diameter: ArrayLike
) -> BeltRun:
    """Run of a belt with a layout, worked out once for every pair of diameters."""
    drive, pulleys = build.drive, plan.pulleys
    crank, blower = np.broadcast_arrays(
        np.asarray(crank_diameter, dtype=float), np.asarray(blower_diameter, dtype=float)
    )
    pairs = np.empty(crank.shape, dtype=complex)
    pairs.real, pairs.imag = crank, blower
    unique, back = np.unique(pairs, return_inverse=True)
    back = back.reshape(crank.shape)
    at_crank, at_blower = plan.place_of("crank"), plan.place_of("blower")
    layout = layout_of(plan, drive)
    tried = np.tile(np.array([one.diameter for one in layout.pulleys]), (unique.size + 1, 1))
    tried[:-1, at_crank], tried[:-1, at_blower] = unique.real, unique.imag
    sense = layout.sense or likely_sense(layout)
    path, fits = tried_paths(layout, tried, sense)
    # the last one stands as told: where it cannot run that way, the other one may be the belt's
    if not (layout.sense or fits[-1]) and belt_sense(plan, drive) != sense:
        path, fits = tried_paths(layout, tried, -sense)
    span = 0
    if plan.tensioner is not None:
        span = [p.name for p in pulleys].index(plan.tensioner.pulley) - 1
    wraps = np.where(fits[:, None], path.wraps, np.nan)
    weights = span_weights(drive.tensioner, path.span_lengths, span)
    weights = np.where(fits[:, None], weights, np.nan)
    power = np.array([p.power for p in pulleys])
    speed = belt_speed(unique.real + 2.0 * drive.pitch_line, build.engine.limiter)
    loads = power / speed[:, None]
    on_back = drive.belt_friction * float(BACK_FRICTION.value or 0.0) / float(FRICTION.value or 1.0)
    own = {"grooved": drive.belt_friction, "back": on_back}
    judged = [p.role in ("crank", "blower") or p.power > 0.0 for p in pulleys]
    friction = [own[p.face] if j else np.inf for p, j in zip(pulleys, judged, strict=True)]
    return BeltRun(
        tuple(p.name for p in pulleys),
        at_blower,
        wraps[back],
        weights[back],
        np.array(friction),
        loads[back],
        fits[back],
    )


def grip_is_known(drive: Drive) -> bool:
    """Whether the figures that a belt's grip needs are known; a toothed belt does not slip."""
    return drive.section.slips and None not in (drive.rib_mass, drive.rib_tension)


def belt_tension_base(drive: Drive, speed: Floats) -> tuple[Floats, Floats]:
    """Base tension over the centrifugal one, and the centrifugal one.

    Parameters
    ----------
    drive : Drive
        A belt drive whose grip is known.
    speed : ndarray
        Belt speed. [m/s]

    Returns
    -------
    tuple of ndarray
        Whole belt. [N]

    References
    ----------
    The two conventions of ``belt_grip``.
    """
    away = centrifugal_tension(drive.rib_mass or 0.0, drive.ribs, speed)
    return base_tension(drive.tensioner, (drive.rib_tension or 0.0) * drive.ribs, away), away


def grip_at(drive: Drive, run: BeltRun, speed: Floats) -> Floats:
    """Largest effective tension that the blower can have before the belt slips anywhere.

    Parameters
    ----------
    drive : Drive
        The drive.
    run : BeltRun
        Its belt, of the shape of the speeds or of none.
    speed : ndarray
        Belt speed. [m/s]

    Returns
    -------
    ndarray
        Grip; infinite for a toothed belt, nan where a figure is not known, 0 where the belt
        cannot run round its pulleys. [N]

    References
    ----------
    Euler-Eytelwein at every pulley, see ``pulley_grips``.
    """
    v = np.asarray(speed, dtype=float)
    if not drive.section.slips:
        return np.full(v.shape, np.inf)
    if not grip_is_known(drive):
        return np.full(v.shape, np.nan)
    base, _ = belt_tension_base(drive, v)
    grips = pulley_grips(run.loads, run.weights, base, run.friction, run.wraps, run.blower)
    grip = blower_grip(grips, run.loads, run.blower)
    return np.asarray(np.where(run.fits, grip, 0.0))


def tensions_at(drive: Drive, run: BeltRun, effective: Floats, speed: Floats) -> Floats:
    """Actual tensions of the spans, the centrifugal one included.

    Parameters
    ----------
    drive : Drive
        A drive whose grip is known.
    run : BeltRun
        Its belt, of the shape of the speeds or of none.
    effective : ndarray
        Effective tension of the blower. [N]
    speed : ndarray
        Belt speed. [m/s]

    Returns
    -------
    ndarray, shape (..., n)
        Tension of the span that leaves each pulley, whole belt; the last is the tight one. [N]

    References
    ----------
    Equilibrium of every pulley, see ``span_tensions``.
    """
    base, away = belt_tension_base(drive, speed)
    shape = (*np.broadcast_shapes(effective.shape, run.loads.shape[:-1]), len(run.names))
    loads = np.array(np.broadcast_to(run.loads, shape))
    loads[..., run.blower] = effective
    return np.asarray(span_tensions(loads, run.weights, base) + away[..., None])
