"""Steps of the belt drive: from engine speed to impeller speed, by way of grip and slip."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from engine_model.belt_run import (
    BeltRun,
    belt_run,
    belt_tension_base,
    grip_at,
    grip_is_known,
    tensions_at,
)
from engine_model.drive.belt_grip import belt_speed
from engine_model.drive.ratio import impeller_speed, pitch_ratio
from engine_model.results import Step, StepNumber
from engine_model.steps.point import Point

DRIVE = "drive"

_EULER = "Euler-Eytelwein with centrifugal tension, Shigley ch. 17"


@dataclass(frozen=True, slots=True, eq=False)
class _Belt:
    """Numbers of the belt at a point."""

    ratio: float
    speed: StepNumber
    run: BeltRun
    pulleys: tuple[StepNumber, ...]


def belt_steps(point: Point) -> list[Step]:
    """Steps from engine speed to impeller speed of a belt drive."""
    drive = point.build.drive
    crank, blower = drive.crank_pulley_diameter, drive.blower_pulley_diameter
    pulleys = (
        point.given("d_c", "drive.crank_pulley_diameter"),
        point.given("d_b", "drive.blower_pulley_diameter"),
        point.given("b_e", "drive.pitch_offset", value=drive.pitch_line),
    )
    v = float(belt_speed(crank + 2.0 * drive.pitch_line, point.engine_speed.value))
    belt = _Belt(
        float(pitch_ratio(crank, blower, drive.pitch_line)),
        StepNumber("v", v, "velocity"),
        belt_run(point.build, crank, blower),
        pulleys,
    )
    steps = [_ratio(belt), _held_speed(point, belt), _belt_speed(point, belt)]
    if grip_is_known(drive):
        steps += _grip_steps(point, belt)
    return [*steps, _impeller(point, steps[1], belt)]


def _ratio(belt: _Belt) -> Step:
    return Step(
        "drive.pulley_ratio", DRIVE, "Pulley ratio", belt.ratio, "dimensionless", "i",
        "i = (d_c + 2 b_e)/(d_b + 2 b_e)",
        belt.pulleys,
        "Pitch diameters of ribbed pulleys, ISO 9981; belts run above the outside diameter",
    )  # fmt: skip


def _held_speed(point: Point, belt: _Belt) -> Step:
    gear = point.given("i_gear", "blower.step_up", value=point.build.blower.gear_ratio)
    creep = point.given("c", "drive.belt_creep", "share")
    speed = impeller_speed(point.engine_speed.value, belt.ratio, gear.value, creep.value)
    return Step(
        "drive.impeller_without_slip", DRIVE, "Impeller speed, belt holding", float(speed),
        "speed", "N_h",
        "N_h = N i_gear (1 - c) (d_c + 2 b_e)/(d_b + 2 b_e)",
        (point.engine_speed, *belt.pulleys, gear, creep),
        "Kinematics with the belt's creep, no slip; limits of the impeller are judged on it",
    )  # fmt: skip


def _belt_speed(point: Point, belt: _Belt) -> Step:
    return Step(
        "belt.speed", DRIVE, "Belt speed", belt.speed.value, "velocity", "v",
        "v = pi (d_c + 2 b_e) N/60",
        (belt.pulleys[0], belt.pulleys[2], point.engine_speed),
        "Kinematics: the belt runs with the crank pulley",
    )  # fmt: skip


def _grip_steps(point: Point, belt: _Belt) -> list[Step]:
    """Centrifugal tension, grip, effective tension, tight side and slip."""
    drive = point.build.drive
    ribs = point.given("z", "drive.ribs", "dimensionless")
    mass = point.given("m", "drive.mass_per_rib", "mass_per_length", drive.rib_mass)
    speed = np.array(belt.speed.value)
    base, away = (float(a) for a in belt_tension_base(drive, speed))
    centrifugal = StepNumber("F_c", away, "force")
    grip = StepNumber("G", float(grip_at(drive, belt.run, speed)), "force")
    effective = point.of_line("F", "belt_effective_tension_n", "force")
    held = StepNumber("u", point.at("belt_grip_used"), "share")
    tight = float("nan")
    if point.is_solved:
        spans = tensions_at(drive, belt.run, np.array(effective.value), speed)
        tight = float(np.max(spans)) / drive.ribs
    return [
        Step(
            "belt.centrifugal_tension", DRIVE, "Centrifugal tension", away, "force", "F_c",
            "F_c = z m v^2", (ribs, mass, belt.speed),
            "It turns the belt's own mass and presses on no pulley: Shigley ch. 17",
        ),
        _grip(point, belt, ribs, centrifugal, grip),
        Step(
            "belt.grip_used", DRIVE, "Grip asked", held.value, "share", "u",
            "u = F_h/G", (StepNumber("F_h", held.value * grip.value, "force"), grip),
            "F_h is what the blower would take without slip, P_d/(v (1 - c))",
        ),
        _slip(point, held, grip, belt.speed),
        Step(
            "belt.effective_tension", DRIVE, "Effective tension", effective.value, "force", "F",
            "F = P_c/v",
            (StepNumber("P_c", point.at("drive_power_w"), "power"), belt.speed),
            "Tight side less slack side: what the crank pays over the belt speed",
        ),
        _tight(point, tight, ribs, centrifugal, effective, base),
    ]  # fmt: skip


def _is_plain(belt: _Belt) -> bool:
    """Whether the belt has no more than crank and blower."""
    return len(belt.run.names) == 2


def _grip(
    point: Point, belt: _Belt, ribs: StepNumber, centrifugal: StepNumber, grip: StepNumber
) -> Step:
    drive = point.build.drive
    friction = point.given("mu", "drive.belt_friction")
    wraps = np.rad2deg(belt.run.wraps)
    tension = point.given(
        "F_s", f"drive.{drive.tensioner}_tension", "force", drive.rib_tension
    )  # fmt: skip
    sprung = drive.tensioner == "sprung"
    if not _is_plain(belt):
        arcs = tuple(
            StepNumber(f"a_{name}", float(arc), "angle")
            for name, arc in zip(belt.run.names, wraps, strict=True)
        )
        equation = "G = most of F with (F_1 - F_c) <= (F_2 - F_c) exp(mu a) at every pulley"
        numbers = (ribs, tension, friction, centrifugal, *arcs)
        return Step(
            "belt.grip", DRIVE, "Grip", grip.value, "force", "G", equation, numbers,
            f"{_EULER}, every pulley of the belt",
        )  # fmt: skip
    least = float(np.min(wraps))
    path = "drive.wrap" if least == wraps[1] else "drive.crank_wrap"
    arc = point.given("a", path, "angle", least)
    equation = (
        "G = z F_s (exp(mu a pi/180) - 1)" if sprung else "G = 2 (z F_s - F_c) tanh(mu a pi/360)"
    )
    kept = (
        "the spring keeps the slack span's F_2 - F_c, so that grip does not fall with speed"
        if sprung
        else "fixed centres keep (F_1 + F_2)/2, so that grip falls by the centrifugal tension"
    )
    numbers = (
        (ribs, tension, friction, arc) if sprung else (ribs, tension, centrifugal, friction, arc)
    )
    return Step(
        "belt.grip", DRIVE, "Grip", grip.value, "force", "G", equation, numbers,
        f"{_EULER}; {kept}",
        "No grip is left: the belt does not drive the blower." if grip.value <= 0.0 else "",
    )  # fmt: skip


def _slip(point: Point, held: StepNumber, grip: StepNumber, speed: StepNumber) -> Step:
    slip = point.at("belt_slip")
    words = "the belt holds" if slip == 0.0 else "the belt slips until F = G"
    if slip > point.build.bounds.belt_slip:
        words += "; not steady, so that the boost shown is an upper bound"
    numbers: tuple[StepNumber, ...] = (held,)
    equation = "s = 0, since u <= 1"
    if slip > 0.0:
        creep = point.given("c", "drive.belt_creep", "share")
        taken = point.at("drive_power_w") * (1.0 - creep.value) * (1.0 - slip)
        numbers = (StepNumber("P_d", taken, "power"), grip, speed, creep)
        equation = "s = 1 - P_d/(G v (1 - c)), since u > 1"
    return Step(
        "belt.slip", DRIVE, "Slip beyond creep", slip, "share", "s", equation, numbers,
        "Equilibrium of the driven pulley; it is unique, since a blower's torque falls with speed",
        f"Here {words}.",
    )  # fmt: skip


def _tight(
    point: Point,
    tight: float,
    ribs: StepNumber,
    centrifugal: StepNumber,
    effective: StepNumber,
    base: float,
) -> Step:
    sprung = point.build.drive.tensioner == "sprung"
    name = "F_k" if sprung else "F_i"
    kept = StepNumber(name, base, "force")
    share = "F" if sprung else "F/2"
    others = " + others" if point.build.drive.accessory_power > 0.0 else ""
    return Step(
        "belt.tight_side", DRIVE, "Tight side of a rib", tight, "force", "F_t",
        f"F_t = (F_c + {name} + {share}{others})/z",
        (centrifugal, kept, effective, ribs),
        f"Equilibrium; {name} is the tension over F_c that the tensioning keeps",
        "Accessories on the belt add to it." if others else "",
    )  # fmt: skip


def _impeller(point: Point, held: Step, belt: _Belt) -> Step:
    found = point.at("belt_slip")
    # without a solution the speed is that of a belt that holds
    slip = StepNumber("s", 0.0 if math.isnan(found) else found, "share")
    return Step(
        "drive.impeller_speed", DRIVE, "Impeller speed", point.at("impeller_speed_rpm"),
        "speed", "N_imp", "N_imp = N_h (1 - s)",
        (StepNumber("N_h", held.value, "speed"), slip),
        "Kinematics with the slip found",
    )  # fmt: skip
