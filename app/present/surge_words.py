"""Surge in time in words: the answer of a scene, its numbers, what is estimate and what is fact."""

from __future__ import annotations

import math

from app.fields import FIELD, Units, show, write_value
from app.present.sentences import refusal
from engine_model.errors import InputError
from engine_model.inputs import Build
from engine_model.studies.bypass_sizing import LARGEST_VALVE, ValveCurve, ValveSize
from engine_model.studies.surge_run import SceneRun

ESTIMATE = (
    "Fact is the traced map right of the surge line. Everything left of it, the reverse flow and "
    "the length of the duct are estimates: real surge on an engine is often slower (about 14 Hz "
    "reported). No holding an engine in surge."
)

ASSUMED: dict[str, str] = {
    "inducer_diameter": "the inducer's diameter (the map tells none)",
    "duct_area": "the area of the duct (0.65 of the impeller's diameter)",
    "boost_cap": "the boost cap's bypass stays shut",
    "free_shaft": "the turbocharger's speed stands still in a lift",
}
"""What had to be assumed."""


def pressure_abs(pressure: float, units: Units = "si") -> str:
    """Absolute pressure in the unit of boost: ``1.81 bar abs``."""
    return f"{show(pressure, 'boost', units)} abs"


def speed_words(found: SceneRun) -> str:
    """Beginning of an answer: the engine speed it holds at."""
    return f"At {found.setup.engine_speed:.0f} rpm flow"


def answer_words(found: SceneRun, units: Units = "si") -> str:
    """Answer of a scene, from the numbers of its run."""
    c, at = found.cycles, speed_words(found)
    peak = f"peak {pressure_abs(c.peak_pressure, units)}"
    swing = (
        f"flow swings by {show(c.flow_swing, 'mass_flow', units)}, "
        f"pressure by {show(c.pressure_swing, 'boost', units)}"
    )
    if c.reversals >= 2:
        tail = "to the end" if c.lasts else f"{c.reversals} times in all, then it dies away"
        return f"{at} reverses {c.cycles_per_second:.1f} times a second, {tail}; {peak}; {swing}."
    if c.reverses:
        return f"{at} reverses once, at {c.first_reversal:.2f} s, and recovers; {peak}."
    if c.lasts:
        rate = f"{c.cycles_per_second:.1f} times a second"
        return f"{at} does not reverse but swings {rate} to the end; {peak}; {swing}."
    return f"{at} does not reverse; least {show(c.least_flow, 'mass_flow', units)}; {peak}."


def all_speeds_words(curve: ValveCurve, units: Units = "si") -> str:
    """What a lift asks for over all engine speeds, where that is worked out whole."""
    hardest = curve.largest
    if curve.to_come or hardest is None:
        return ""
    at = f"{hardest.engine_speed:.0f} rpm"
    if math.isnan(hardest.diameter):
        most = show(LARGEST_VALVE, "length", units)
        return f"Over all speeds: at {at} no valve up to {most} keeps a lift out."
    if hardest.diameter == 0.0:
        return "Over all speeds judged a lift asks for no valve."
    edge = ", the lowest speed judged" if curve.at_edge else ""
    size = show(hardest.diameter, "length", units)
    return f"Over all speeds a lift asks for {size} (at {at}{edge})."


def twin_words(twin: SceneRun, units: Units = "si") -> str:
    """What the same lift does at the same engine speed with another valve, or with none."""
    valve, c = twin.setup.build.surge.valve_diameter, twin.cycles
    head = "Without a valve" if valve is None else f"With a {show(valve, 'length', units)} valve"
    head = f"{head} at {twin.setup.engine_speed:.0f} rpm"
    if c.reversals >= 2:
        return f"{head} it reverses {c.cycles_per_second:.1f} times a second."
    if c.reverses:
        return f"{head} it reverses once."
    if c.lasts:
        return f"{head} it does not reverse, but swings to the end."
    return f"{head} it does not reverse."


def whole_answer(
    found: SceneRun,
    twin: SceneRun | None = None,
    curve: ValveCurve | None = None,
    units: Units = "si",
) -> str:
    """Answer of a scene, with its twin's and what a valve must be over all engine speeds."""
    words = [answer_words(found, units)]
    if twin is not None:
        words.append(twin_words(twin, units))
    if curve is not None and found.scene.kind == "lift":
        words.append(all_speeds_words(curve, units))
    return " ".join(one for one in words if one)


def fault_words(error: InputError) -> str:
    """Which field of the build or scene it is, and what is allowed."""
    field = FIELD.get(error.field)
    name = error.field if field is None else f"{field.group}, {field.label.lower()}"
    return f"{name}: {refusal(error)}."


def _text(build: Build, path: str, units: Units) -> str:
    return write_value(FIELD[path], build.value(path), units)


def setup_words(found: SceneRun, units: Units = "si") -> list[str]:
    """What was run: engine speed, throttle, valve, ducts."""
    setup, build = found.setup, found.setup.build
    surge = build.surge
    shuts = surge.closing_time if found.scene.kind == "closing" else surge.lift_time
    fall = ""
    if surge.speed_fall > 0.0:
        fall = f", falling by {surge.speed_fall:.0f} rpm a second"
    valve = "no bypass valve"
    if surge.valve_diameter is not None:
        lead = "back to the inlet" if build.bypass.vent == "recirculated" else "to the open"
        valve = (
            f"bypass valve {_text(build, 'surge.valve_diameter', units)} {lead}, opens at "
            f"{_text(build, 'surge.valve_opening_pressure', units)} with a lag of "
            f"{1e3 * surge.valve_lag:.0f} ms"
        )
    plant = setup.plant
    return [
        f"From {setup.engine_speed:.0f} rpm{fall}; the throttle shuts to "
        f"{100.0 * surge.throttle_leak:.0f} % of its area in {shuts:.2f} s; {valve}.",
        f"Duct {show(plant.duct_length, 'length', units)} of "
        f"{show(plant.duct_area, 'small_area', units)}; "
        f"{show(plant.plenum_volume, 'coolant_volume', units)} up to the throttle, "
        f"{show(plant.manifold_volume, 'coolant_volume', units)} behind it.",
    ]


def side_words(gap: float) -> str:
    """Gap to the traced surge line: ``3.4 % left of the traced surge line``."""
    if math.isnan(gap):
        return "nowhere on this line"
    side = "left" if gap < 0.0 else "right"
    return f"{100.0 * abs(gap):.1f} % {side} of the traced surge line"


def small_words(found: SceneRun) -> list[str]:
    """Small motions: B, frequency, growth, and the gap to the traced line."""
    small = found.beginning
    grows = "grow" if small.growth_rate > 0.0 else "die away"
    words = [
        f"B is {found.greitzer_b:.2f} (on rho U²/2); without a compressor duct and volume ring at "
        f"{found.helmholtz_frequency:.1f} Hz. Small motions at the beginning {grows} "
        f"({small.growth_rate:+.0f} a second).",
        "By small motions this speed line turns unstable "
        f"{side_words(found.limit.gap)}. The ledger keeps the traced line.",
    ]
    onset = found.onset
    if onset is not None:
        at = "none"
        if not math.isnan(onset.throttle_share):
            at = f"{100.0 * onset.throttle_share:.1f} % of the throttle's area"
        unstable = "not while it shuts"
        if not math.isnan(onset.unstable_share):
            unstable = (
                f"from {100.0 * onset.unstable_share:.1f} % of its area, {side_words(onset.gap)}"
            )
        words.append(f"First reversal: {at}. With this engine small motions grow: {unstable}.")
    return words


def band_words(band: tuple[SceneRun, ...]) -> str:
    """What the unknown pressure ratio without flow does to the answer."""
    parts = []
    for one in band:
        c = one.cycles
        told = f"{c.cycles_per_second:.1f} a second" if c.reversals >= 2 else "no cycles"
        told = "one reversal" if c.reversals == 1 else told
        parts.append(f"{one.setup.zero_flow_ratio:.2f}: {told}")
    return (
        "Pressure ratio without flow, as authors take the inducer's tip, mean or no radius: "
        + "; ".join(parts)
        + "."
    )


def size_words(size: ValveSize, units: Units = "si") -> str:
    """Smallest valve at one engine speed."""
    head = f"{size.engine_speed:.0f} rpm: "
    if not size.solved:
        return head + "no match with the throttle open"
    if size.weak:
        return head + "the line is too weak to be judged"
    if math.isnan(size.diameter):
        return head + f"none up to {show(LARGEST_VALVE, 'length', units)}"
    if size.diameter == 0.0:
        return head + "no valve needed"
    plain = "" if size.plain else " (not every larger one does)"
    return head + show(size.diameter, "length", units) + plain


def sizes_words(curve: ValveCurve, units: Units = "si") -> list[str]:
    """Smallest valve that keeps a lift out of surge, over engine speed."""
    rows = ["Smallest bypass valve that keeps a lift from reversing:"]
    return rows + [f"  {size_words(one, units)}" for one in curve.sizes]


def assumed_words(found: SceneRun) -> str:
    """What had to be assumed; empty where nothing was."""
    told = [ASSUMED[one] for one in found.setup.assumed]
    return f"Assumed: {'; '.join(told)}." if told else ""
