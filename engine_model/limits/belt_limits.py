"""Limits of the belt: grip, slip, tension, speed, pulleys, hub, shifts."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine_model.belt_fit import same_belt_of
from engine_model.belt_run import BeltRun, belt_tension_base
from engine_model.defaults import CLOSE_FROM
from engine_model.drive.belt_grip import fixed_grip, sprung_overrun_grip
from engine_model.drive.belt_load import (
    CLOSE_BELT_SPEED,
    HIGHEST_BELT_SPEED,
    hub_load,
    shift_tension,
)
from engine_model.drive.belt_sections import MAKERS
from engine_model.limits.judging import Judged, Verdict, blank, single, worst

Floats = NDArray[np.float64]

NO_BELT = "no belt"
CLOSE_SPEED_SHARE = (CLOSE_BELT_SPEED.value or 0.0) / (HIGHEST_BELT_SPEED.value or 1.0)
"""Share of the highest belt speed from which it is close [-]."""


class _Known(NamedTuple):
    """A belt whose grip is known, along the lines; speed in m/s, tensions in N."""

    run: BeltRun
    grip: Floats
    centrifugal: Floats
    tensions: Floats


def _known(judged: Judged) -> _Known | str:
    """The belt along the lines, or the sentence why its grip is not judged."""
    drive, belt = judged.build.drive, judged.belt
    if belt is None:
        return NO_BELT
    if not drive.section.slips:
        return "a toothed belt does not slip; its teeth are the maker's to judge"
    if belt.grip is None or belt.centrifugal is None or belt.tensions is None:
        missing = "mass of a rib" if drive.rib_mass is None else f"{drive.tensioner} tension"
        return f"{missing} of a {drive.belt_section} belt is not known: {MAKERS}"
    return _Known(belt.run, belt.grip, belt.centrifugal, belt.tensions)


def _whose(judged: Judged, path: str, figure: str) -> str:
    return f"the {figure} given" if path in judged.build.given else f"the {figure} assumed"


def judge_belt_grip(judged: Judged) -> Verdict:
    """Effective tension that the blower asks without slip against the grip."""
    known = _known(judged)
    if isinstance(known, str):
        return blank(judged, known)
    used = judged.line.belt_grip_used
    with np.errstate(invalid="ignore"):
        asked = np.where(np.isfinite(used), used * known.grip, np.nan)
    drive = judged.build.drive
    basis = f"effective tension without slip over the grip of {drive.ribs} ribs, {drive.tensioner}"
    return worst(judged, used, asked, known.grip, basis)


def judge_belt_slip(judged: Judged) -> Verdict:
    """Slip found against what is steady."""
    known = _known(judged)
    if isinstance(known, str):
        return blank(judged, known)
    line, bound = judged.line, judged.build.bounds.belt_slip
    slip = line.belt_slip
    basis = "slip beyond creep; over the bound it is not steady and the boost is an upper bound"
    verdict = worst(judged, slip / bound, slip, bound, basis)
    held = judged.line_without_slip or line
    at = np.argmax(np.where(np.isnan(slip), -1.0, slip), axis=-1)[..., None]
    pairs = {
        "boost_gauge_pa": line.boost_gauge_pa,
        "impeller_speed_rpm": line.impeller_speed_rpm,
        "boost_without_slip_pa": held.boost_gauge_pa,
        "impeller_speed_without_slip_rpm": held.impeller_speed_rpm,
    }
    numbers = {k: np.take_along_axis(v, at, axis=-1)[..., 0] for k, v in pairs.items()}
    return Verdict(
        verdict.used, verdict.value, verdict.bound, verdict.engine_speed, basis, numbers=numbers
    )


def judge_belt_tension(judged: Judged) -> Verdict:
    """Actual tight-side tension of a rib against what is allowed."""
    known = _known(judged)
    if isinstance(known, str):
        return blank(judged, known)
    drive = judged.build.drive
    allowed = drive.rib_allowance
    if allowed is None:
        return blank(judged, f"allowed tension of a {drive.belt_section} belt: {MAKERS}")
    tight = np.max(known.tensions, axis=-1) / drive.ribs
    whose = _whose(judged, "drive.tension_allowance", "allowance")
    basis = f"tight side of a rib, centrifugal tension included; {whose}"
    return worst(judged, tight / allowed, tight, allowed, basis)


def judge_belt_speed(judged: Judged) -> Verdict:
    """Belt speed at the limiter: close from 55 m/s where 65 are allowed, whatever the load."""
    if judged.belt is None:
        return blank(judged, NO_BELT)
    bound = judged.build.bounds.belt_speed
    speed = judged.belt.speed_at_limiter
    close = CLOSE_SPEED_SHARE * bound
    between = CLOSE_FROM + (1.0 - CLOSE_FROM) * (speed - close) / (bound - close)
    used = np.where(speed < close, CLOSE_FROM * speed / close, between)
    at, lead = judged.build.engine.limiter, judged.lead_shape
    whole = single(judged, speed, bound, at, f"at the limiter; close from {close:.1f} m/s")
    return Verdict(
        np.broadcast_to(used, lead), whole.value, whole.bound, whole.engine_speed, whole.basis
    )


def judge_smallest_pulley(judged: Judged) -> Verdict:
    """Smallest pulley the belt bends round: section or maker over diameter."""
    if judged.belt is None:
        return blank(judged, NO_BELT)
    drive = judged.build.drive
    least = drive.least_pulley
    if least is None:
        return blank(judged, f"smallest pulley of a {drive.belt_section} belt: {MAKERS}")
    lead = judged.lead_shape
    smaller = np.minimum(judged.belt.crank_diameter, judged.belt.blower_diameter)
    value = np.broadcast_to(smaller, lead)
    nowhere = np.full(lead, np.nan)
    basis = f"least outside diameter of a {drive.belt_section} belt"
    return Verdict(least / value, value, np.full(lead, least), nowhere, basis)


def judge_hub_load(judged: Judged) -> Verdict:
    """Load of the belt on the blower's shaft against the part maker's figure."""
    known = _known(judged)
    if isinstance(known, str):
        return blank(judged, known)
    bound, blower = judged.build.bounds.hub_load, known.run.blower
    load = hub_load(
        known.tensions[..., blower],
        known.tensions[..., blower - 1],
        known.centrifugal,
        known.run.wraps[..., blower, None],
    )
    basis = "vector sum of both spans over the centrifugal tension"
    if bound is None:
        told = worst(judged, load, load, np.nan, f"{basis}; told, the maker's figure is not given")
        nothing = np.full(judged.lead_shape, np.nan)
        return Verdict(nothing, told.value, nothing, told.engine_speed, told.basis)
    return worst(judged, np.asarray(load / bound), load, bound, basis)


def judge_belt_shift(judged: Judged) -> Verdict:
    """Tension of the impeller's inertia in a hard shift against the grip backwards."""
    known = _known(judged)
    if isinstance(known, str):
        return blank(judged, known)
    build, belt = judged.build, judged.belt
    drive = build.drive
    if belt is None or drive.shift_drop == 0.0:
        return blank(judged, "no drop of engine speed in a shift given")
    pitch = 2.0 * drive.pitch_line
    crank, pulley = belt.crank_diameter + pitch, belt.blower_diameter + pitch
    pull = shift_tension(
        drive.shift_drop,
        drive.shift_time,
        crank / pulley,
        build.blower.gear_ratio,
        drive.impeller_inertia,
        pulley,
    )
    base, away = belt_tension_base(drive, belt.speed_at_limiter)
    wrap, friction = belt.run.wraps[..., belt.run.blower], drive.belt_friction
    if drive.tensioner == "sprung":
        grip = sprung_overrun_grip(base, friction, wrap)
    else:
        grip = fixed_grip(base + away, away, friction, wrap)
    lead = judged.lead_shape
    with np.errstate(divide="ignore", invalid="ignore"):
        used = np.where(grip > 0.0, pull / grip, np.inf)
    told = build.bounds.belt_shift == "told"
    basis = (
        f"inertia alone, {drive.shift_drop:.0f} rpm lost in {drive.shift_time:g} s from the "
        "limiter, tight and slack side changed; "
        + ("told, not judged" if told else "over it the belt slips for a moment")
    )
    return Verdict(
        np.full(lead, np.nan) if told else np.broadcast_to(used, lead),
        np.broadcast_to(pull, lead),
        np.broadcast_to(np.maximum(grip, 0.0), lead),
        np.full(lead, build.engine.limiter),
        basis,
    )


def judge_same_belt(judged: Judged) -> Verdict:
    """Change of belt length for the present pulley against what the tensioner takes up."""
    if judged.build.drive.kind != "belt":
        return blank(judged, NO_BELT)
    fit = same_belt_of(judged.build)
    if fit is None:
        words = "the pulley that the belt fits, or its take-up, is not known: not judged"
        return blank(judged, words)
    lead = judged.lead_shape
    numbers = {
        "length_now_m": fit.length_now,
        "length_wanted_m": fit.wanted,
        "next_length_m": fit.next_length,
    }
    basis = fit.told or "length of the path against what the tensioner takes up"
    return Verdict(
        np.full(lead, fit.used),
        np.full(lead, fit.change),
        np.full(lead, 1.0 if fit.fits else 0.0),
        np.full(lead, np.nan),
        basis,
        numbers={name: np.full(lead, value) for name, value in numbers.items()},
    )
