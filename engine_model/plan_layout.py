"""The layout of a belt with the pulleys of its drive: its path as told, and whether it can run."""

from __future__ import annotations

from math import radians

import numpy as np

from engine_model.belt_plan import SENSES, BeltPlan
from engine_model.drive.belt_geometry import BeltPath, Pulley
from engine_model.drive.belt_layout import ArmTensioner, Layout, SlideTensioner, path_now
from engine_model.drive.belt_tried import likely_sense, tried_paths
from engine_model.errors import InputError
from engine_model.sections import Drive

_TRIED = np.linspace(0.04, 0.25, 43)
"""Blower pulleys with which a belt is asked to run at all: the range of the input [m]."""

_FIELDS = {"drive.pulleys": "layout.pulleys", "drive.belt_tensioner": "layout.tensioner"}


TOLD_PATHS = frozenset({"drive.wrap", "drive.crank_wrap", "drive.accessory_power"})
"""Inputs that a layout tells in place of what is typed."""


def told_paths(plan: BeltPlan | None, drive: Drive) -> frozenset[str]:
    """Inputs that a layout tells; none without one, or without a belt.

    Parameters
    ----------
    plan : BeltPlan or None
        The layout.
    drive : Drive
        The drive.

    Returns
    -------
    frozenset of str
        Their paths.

    References
    ----------
    Definition.
    """
    return frozenset() if plan is None or drive.kind != "belt" else TOLD_PATHS


def fitted_diameter(drive: Drive) -> float:
    """Outside diameter of the blower's pulley with which the layout stands as told.

    Parameters
    ----------
    drive : Drive
        The drive.

    Returns
    -------
    float
        The fitted pulley's where given, else the present one's. [m]

    References
    ----------
    Definition.
    """
    fitted = drive.fitted_pulley_diameter
    return drive.blower_pulley_diameter if fitted is None else fitted


def layout_of(plan: BeltPlan, drive: Drive, blower_diameter: float | None = None) -> Layout:
    """Layout of a belt with the pulleys of a drive.

    Parameters
    ----------
    plan : BeltPlan
        Where the pulleys stand.
    drive : Drive
        Diameters and section.
    blower_diameter : float, optional
        Outside diameter of the blower's pulley; the fitted one where none. [m]

    Returns
    -------
    Layout
        For the functions of ``drive.belt_layout``. [m], [rad]

    References
    ----------
    Definition.
    """
    blower = fitted_diameter(drive) if blower_diameter is None else blower_diameter
    diameters = plan.diameters(drive.crank_pulley_diameter, blower)
    pulleys = tuple(
        Pulley(p.name, p.x, p.y, d, p.face) for p, d in zip(plan.pulleys, diameters, strict=True)
    )
    back = plan.back_offset
    if back is None:
        own = drive.section.back_offset
        on_back = any(p.face == "back" for p in plan.pulleys)
        back = own.known("layout.back_offset") if on_back else (own.value or 0.0)
    tensioner: ArmTensioner | SlideTensioner | None = None
    told = plan.tensioner
    if told is not None and told.kind == "arm":
        ends = radians(told.low), radians(told.high)
        tensioner = ArmTensioner(told.pulley, told.pivot_x, told.pivot_y, *ends)
    elif told is not None:
        tensioner = SlideTensioner(told.pulley, radians(told.direction), told.low, told.high)
    return Layout(pulleys, drive.pitch_line, back, tensioner, SENSES[plan.sense])


def told_path(plan: BeltPlan, drive: Drive) -> BeltPath:
    """Path of the belt as told, or the sentence why there is none.

    Parameters
    ----------
    plan : BeltPlan
        Where the pulleys stand.
    drive : Drive
        Diameters and section.

    Returns
    -------
    BeltPath
        The path. [m], [rad]

    References
    ----------
    Plane geometry, see ``solve_path``.
    """
    try:
        return path_now(layout_of(plan, drive))
    except InputError as error:
        raise InputError(_field(error.field), error.value, error.allowed) from None


def _field(field: str) -> str:
    for own, shown in _FIELDS.items():
        if field.startswith(own):
            return shown + field[len(own) :]
    return field


def belt_sense(plan: BeltPlan, drive: Drive) -> int:
    """Way the crank turns, for every pulley tried: the told one, else that of the belt as told.

    Parameters
    ----------
    plan : BeltPlan
        Where the pulleys stand.
    drive : Drive
        Diameters and section.

    Returns
    -------
    int
        1 where the crank turns left, -1 where right. [-]

    References
    ----------
    The rule of ``solve_path``.
    """
    if plan.sense != "either":
        return SENSES[plan.sense]
    layout = layout_of(plan, drive)
    try:
        return path_now(layout).sense
    except InputError:
        return likely_sense(layout)


def check_plan(plan: BeltPlan, drive: Drive) -> None:
    """Raise an :class:`InputError` where the belt can run round no blower pulley at all.

    A blower pulley tried that the belt cannot run round is no fault of the layout, unless it is
    told to be the one that fits.

    Parameters
    ----------
    plan : BeltPlan
        Where the pulleys stand.
    drive : Drive
        Diameters and section.
    """
    try:
        told_path(plan, drive)
    except InputError:
        if drive.fitted_pulley_diameter is not None:
            raise
        layout = layout_of(plan, drive)
        crank = drive.crank_pulley_diameter
        tried = np.array([plan.diameters(crank, float(d)) for d in _TRIED])
        senses = (SENSES[plan.sense],) if layout.sense else (1, -1)
        if not any(np.any(tried_paths(layout, tried, sense)[1]) for sense in senses):
            raise
