"""What is impossible, or over a limit, about a boost asked of the slider, in words."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from app.fields import Units, show
from engine_model.results import Entry, OperatingLine

IMPELLER = ("impeller_speed", "impeller_speed_over_rev")
"""Entries of the impeller's speed."""


def cannot_words(
    asked: float, engine_speed: float, most: float, diameter: float, units: Units = "si"
) -> str:
    """Say that a boost cannot be had.

    Parameters
    ----------
    asked, most : float
        Boost asked, and the most there is; nan where no pulley finds a balance. [Pa]
    engine_speed : float
        Where. [rpm]
    diameter : float
        Pulley of the most. [m]
    units : str or UnitChoice
        Units shown.
    """
    if math.isnan(most):
        return f"{show(asked, 'boost', units)}: no pulley finds a balance at this engine speed"
    return (
        f"{show(asked, 'boost', units)} at {engine_speed:.0f} rpm cannot be had: the most "
        f"is {show(most, 'boost', units)}, with a {show(diameter, 'length', units)} pulley"
    )


def over_limit_words(
    asked: float, diameter: float, ledger: Iterable[Entry], units: Units = "si"
) -> str:
    """Say how far the impeller is over its limit with the pulley that a boost needs, or nothing.

    Parameters
    ----------
    asked : float
        Boost asked. [Pa]
    diameter : float
        Pulley. [m]
    ledger : iterable of Entry
        Entries of the day shown.
    units : str or UnitChoice
        Units shown.
    """
    over = [entry for entry in ledger if entry.code in IMPELLER and entry.state == "over"]
    if not over:
        return ""
    worst = max(over, key=lambda entry: entry.used)
    return (
        f"{show(asked, 'boost', units)} needs a {show(diameter, 'length', units)} pulley: "
        f"impeller {100.0 * (worst.used - 1.0):.0f} % over its limit at "
        f"{worst.engine_speed_rpm:.0f} rpm"
    )


def boost_at(line: OperatingLine, engine_speed: float) -> float:
    """Boost of a line at an engine speed [Pa gauge], between its points; nan where it has none."""
    speeds = line.engine_speed_rpm
    if not speeds.size or not speeds.min() <= engine_speed <= speeds.max():
        return math.nan
    return float(np.interp(engine_speed, speeds, line.boost_gauge_pa))


def slip_words(held: float, found: float, units: Units = "si") -> str:
    """Say what a belt that slips leaves of the boost that the slider shows, or nothing.

    Parameters
    ----------
    held : float
        Boost without slip. [Pa]
    found : float
        Boost with the slip found; nan where the belt does not drive. [Pa]
    units : str or UnitChoice
        Units shown.
    """
    if math.isnan(found):
        return "without slip; the belt does not drive here"
    if held - found <= 1.0:
        return ""
    return f"without slip; as it runs {show(found, 'boost', units)}"
