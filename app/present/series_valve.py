"""Smallest bypass valve over engine speed, ready to draw, and in words."""

from __future__ import annotations

import math

import numpy as np

from app.fields import Units, show, unit_of
from app.present.series_axes import nice_range
from app.present.series_csv import Columns, csv_text
from app.present.series_panels import Level, Panel, PanelCurve, PanelSeries, Upright, number
from app.present.surge_words import size_words
from engine_model.studies.bypass_sizing import LARGEST_VALVE, ValveCurve, ValveSize
from engine_model.units import from_si

TITLE = "Smallest bypass valve against engine speed"

QUESTION = "How large must the bypass valve be, at which engine speed?"

WHAT_IT_SAYS = (
    "The smallest bore that keeps a throttle lifted at that engine speed out of surge, with the "
    "opening pressure, lag and outlet of this scene. It is sized at a constant engine speed, and "
    "it is an estimate: leave room."
)


def _told(size: ValveSize) -> float:
    """Bore drawn [m]; nan where there is none to draw."""
    return math.nan if not size.solved or size.weak else size.diameter


def valve_series(
    curve: ValveCurve, units: Units = "si", limiter: float | None = None
) -> PanelSeries | None:
    """Series of a sizing; nothing where no engine speed is judged.

    Parameters
    ----------
    curve : ValveCurve
        The sizing, or as much of it as is known.
    units : Units
        Units shown.
    limiter : float, optional
        Right end of the axis; the build's limiter unless given. [rpm]
    """
    if not curve.sizes:
        return None
    unit = unit_of("length", units)

    def shown(metres: float) -> float:
        return float(from_si(metres, unit, "length"))

    speeds = np.array([one.engine_speed for one in curve.sizes])
    bores = np.array([shown(_told(one)) for one in curve.sizes])
    own = curve.build.surge.valve_diameter
    levels = []
    if own is not None:
        levels.append(Level(shown(own), f"the valve here, {show(own, 'length', units)}"))
    # no valve tried is large enough: told at the upper edge
    none_does = [one for one in curve.sizes if one.solved and not one.weak]
    open_end = any(math.isnan(one.diameter) for one in none_does)
    known = [*bores[np.isfinite(bores)].tolist(), *(one.y for one in levels)]
    highest = shown(LARGEST_VALVE) if open_end or not known else max(known)
    if open_end:
        words = f"none up to {show(LARGEST_VALVE, 'length', units)} keeps it out"
        levels.append(Level(shown(LARGEST_VALVE), words))
    right = curve.build.engine.limiter if limiter is None else limiter
    judged = speeds[[one.solved and not one.weak for one in curve.sizes]]
    edge: tuple[Upright, ...] = ()
    if judged.size and judged.min() > speeds.min():
        edge = (Upright(float(judged.min()), "\u2190 too weak to be judged", left=True),)
    panel = Panel(
        f"Smallest bypass valve, bore [{unit}]",
        (PanelCurve(speeds, bores, "main"),),
        (0.97 * float(speeds.min()), 1.02 * max(right, float(speeds.max()))),
        nice_range(0.0, 1.05 * highest),
        "Engine speed [rpm]",
        uprights=edge,
        levels=tuple(levels),
        dots=True,
    )
    spoken = "; ".join([TITLE, *(size_words(one, units) for one in curve.sizes)])
    return PanelSeries((panel,), spoken)


def valve_lines(curve: ValveCurve, units: Units = "si") -> list[str]:
    """Rows of a sizing, neighbours that say the same in one."""
    rows: list[tuple[str, str, str]] = []
    for one in curve.sizes:
        speed, _, words = size_words(one, units).partition(": ")
        number_alone = speed.removesuffix(" rpm")
        if rows and rows[-1][2] == words:
            rows[-1] = rows[-1][0], number_alone, words
        else:
            rows.append((number_alone, number_alone, words))
    return [
        f"{first if first == last else f'{first} to {last}'} rpm: {words}"
        for first, last, words in rows
    ]


def valve_answer(curve: ValveCurve, units: Units = "si", *, stopped: bool = False) -> str:
    """Answer of a sizing: what the hardest engine speed asks for, or did so far."""
    if curve.to_come:
        return _so_far(curve, units, stopped=stopped)
    hardest = curve.largest
    if hardest is None:
        return "No engine speed is judged: the lines are too weak at surge, or nothing matches."
    at = f"{hardest.engine_speed:.0f} rpm"
    own = curve.build.surge.valve_diameter
    if math.isnan(hardest.diameter):
        most = show(LARGEST_VALVE, "length", units)
        return f"No valve up to {most} keeps a lift at {at} out of surge."
    if hardest.diameter == 0.0:
        return "No valve is needed at any engine speed judged."
    most = "the most of all"
    if curve.at_edge:
        most = "the most of those judged, at the lowest of them: further down none is judged"
    words = f"A lift at {at} asks for {show(hardest.diameter, 'length', units)}, {most}."
    if own is None:
        return f"{words} The scene has no valve."
    enough = "is enough" if own >= hardest.diameter else "is not enough"
    return f"{words} The scene's valve of {show(own, 'length', units)} {enough}."


def _so_far(curve: ValveCurve, units: Units, *, stopped: bool) -> str:
    """What is known of a sizing under way; no verdict on the valve."""
    done, hardest = len(curve.sizes), curve.largest
    state = "stopped" if stopped else "still working"
    tail = f"{state}: {done} of {done + curve.to_come} engine speeds are worked out."
    if hardest is None:
        return f"So far no engine speed is judged; {tail}"
    at = f"a lift at {hardest.engine_speed:.0f} rpm"
    if math.isnan(hardest.diameter):
        most = show(LARGEST_VALVE, "length", units)
        return f"So far no valve up to {most} keeps {at} out of surge; {tail}"
    if hardest.diameter == 0.0:
        return f"So far no valve is needed; {tail}"
    return f"So far {at} asks for {show(hardest.diameter, 'length', units)}; {tail}"


def valve_csv(curve: ValveCurve, units: Units = "si", about: Columns = ()) -> str:
    """CSV text of a sizing."""
    unit = unit_of("length", units)
    header = ["engine speed [rpm]", f"smallest valve [{unit}]", "in words"]
    rows = [
        [
            number(one.engine_speed),
            number(float(from_si(_told(one), unit, "length"))),
            size_words(one, units).partition(": ")[2],
        ]
        for one in curve.sizes
    ]
    return csv_text(header, rows, about)
