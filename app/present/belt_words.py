"""Words for a belt's layout: whether the same belt serves, and what it tells of the drive."""

from __future__ import annotations

from math import isfinite, isnan

import numpy as np

from app.fields import Units, show
from engine_model.belt_fit import BeltFit
from engine_model.drive.belt_layout import path_now
from engine_model.errors import InputError
from engine_model.inputs import Build
from engine_model.plan_layout import TOLD_PATHS, fitted_diameter, layout_of
from engine_model.sections import Drive

BY_LAYOUT = "told by the belt layout"
"""Note under an input that a layout tells."""


def told_words(build: Build, units: Units = "si") -> dict[str, str]:
    """Texts of the inputs that the belt's layout tells, by path; nothing without one.

    The wraps are those with the present pulley, which the match runs with.

    Parameters
    ----------
    build : Build
        The build.
    units : str or UnitChoice
        Display units.
    """
    plan = build.layout
    if plan is None or build.drive.kind != "belt":
        return {}
    power = sum(one.power for one in plan.pulleys)
    words = dict.fromkeys(sorted(TOLD_PATHS), "--")
    words["drive.accessory_power"] = show(power, "power", units)
    try:
        path = path_now(layout_of(plan, build.drive, build.drive.blower_pulley_diameter))
    except InputError:
        return words
    for name, role in (("drive.wrap", "blower"), ("drive.crank_wrap", "crank")):
        wrap = float(np.degrees(path.wraps[plan.place_of(role)]))
        words[name] = show(wrap, "angle", units)
    return words


def fit_words(fit: BeltFit | None, drive: Drive, units: Units = "si") -> str:
    """Whether the same belt serves the present pulley, in one sentence; nothing where unknown.

    Parameters
    ----------
    fit : BeltFit or None
        The answer.
    drive : Drive
        Fitted and present pulley.
    units : str or UnitChoice
        Display units.
    """
    if fit is None:
        return ""
    diameters = fitted_diameter(drive), drive.blower_pulley_diameter
    sizes = [show(d, "length", units) for d in diameters]
    if isnan(fit.change):
        return f"Same belt? No: {fit.told}."
    if fit.change == 0.0:
        return f"The belt stands as told, with {sizes[0]}; {_share(fit)}."
    acts = "shortens" if fit.change < 0.0 else "lengthens"
    change = show(abs(fit.change), "length", units)
    answer = "Yes" if fit.fits else "No"
    words = f"Same belt? {answer}: {sizes[0]} to {sizes[1]} {acts} the path by {change}; "
    words += _share(fit)
    if isfinite(fit.wanted):
        wanted = f"{show(fit.wanted, 'length', units)} ({fit.system})"
        words += f"; {wanted} would keep the tensioner where it stands"
    if isfinite(fit.next_length):
        words += f", the shelf has {show(fit.next_length, 'length', units)}"
    return f"{words}."


def _share(fit: BeltFit) -> str:
    if fit.used > 1.0:
        return "out of the tensioner's travel"
    return f"{100.0 * fit.used:.0f} % of the way from mid-travel to its end"
