"""Invented layouts to begin with; they run with the pulleys of a drive."""

from __future__ import annotations

import math

from engine_model.belt_plan import BeltPlan, PlanPulley, PlanTensioner
from engine_model.drive.belt_path import solve_path
from engine_model.plan_layout import fitted_diameter, layout_of
from engine_model.sections import Drive

APART, SHARE = 0.30, 0.8
"""Least distance of crank and blower [m], and as a share of both diameters [-]; invented."""

IDLER, PUSH = 0.076, 0.12
"""Diameter of the idler [m], and how far it pushes the span in as a share of it [-]; invented."""

SWING = 12.0
"""Travel of the idler's arm either way [deg]; invented."""

BACK_OFFSET = 0.001
"""Pitch line over a back-side idler where the section has no figure [m]; invented."""


def two_pulleys(drive: Drive) -> BeltPlan:
    """Crank and blower side by side, the blower on a slide to set the belt.

    Parameters
    ----------
    drive : Drive
        Their diameters.

    Returns
    -------
    BeltPlan
        An invented layout.

    References
    ----------
    Invented.

    Examples
    --------
    >>> two_pulleys(Drive(blower_pulley_diameter=0.08)).pulleys[1].x
    0.3
    """
    crank, blower = drive.crank_pulley_diameter, fitted_diameter(drive)
    apart = max(APART, _up(SHARE * (crank + blower)))
    pulleys = (
        PlanPulley("crank", "crank", 0.0, 0.0),
        PlanPulley("blower", "blower", apart, 0.0),
    )
    return BeltPlan(pulleys, PlanTensioner("blower", "slide", -0.010, 0.010), "left")


def with_spring_idler(drive: Drive) -> BeltPlan:
    """Crank, blower, and a spring idler that presses the slack span in from its back.

    Parameters
    ----------
    drive : Drive
        Diameters of crank and blower.

    Returns
    -------
    BeltPlan
        An invented layout.

    References
    ----------
    Invented.

    Examples
    --------
    >>> [p.role for p in with_spring_idler(Drive()).pulleys]
    ['crank', 'idler', 'blower']
    """
    pair = two_pulleys(drive)
    crank, blower = pair.pulleys
    layout = layout_of(pair, drive)
    path = solve_path(layout.pulleys, layout.pitch_offset, layout.back_offset, 1)
    start, along = path.departures[0], float(path.span_angles[0])
    half = 0.5 * float(path.span_lengths[0])
    # left turning, the slack span has the pulleys on its left: the idler stands on its right
    out = math.sin(along), -math.cos(along)
    far = 0.5 * IDLER + BACK_OFFSET - 2.0 * half * PUSH
    x = float(start[0]) + half * math.cos(along) + far * out[0]
    y = float(start[1]) + half * math.sin(along) + far * out[1]
    arm_x = x - 0.08 * math.cos(along) + 0.05 * out[0]
    arm_y = y - 0.08 * math.sin(along) + 0.05 * out[1]
    idler = PlanPulley("idler", "idler", round(x, 3), round(y, 3), IDLER, "back")
    arm = PlanTensioner("idler", "arm", -SWING, SWING, round(arm_x, 3), round(arm_y, 3))
    own = drive.section.back_offset.value
    return BeltPlan((crank, idler, blower), arm, "left", BACK_OFFSET if own is None else None)


def _up(length: float) -> float:
    """Next centimetre [m]."""
    return math.ceil(round(100.0 * length, 6)) / 100.0
