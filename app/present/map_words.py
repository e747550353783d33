"""A compressor map in words: what a list of them tells before one is chosen."""

from __future__ import annotations

from app.fields import Units, show
from engine_model.compressor.map_data import CompressorMap
from engine_model.inputs import Build
from engine_model.limits.compressor_limits import OF_BUILD, impeller_limit


def map_facts(compressor_map: CompressorMap, units: Units = "si") -> tuple[tuple[str, str], ...]:
    """Names and texts of what a compressor map says about itself."""
    one = compressor_map
    came = one.provenance
    told = came.text.casefold().startswith(came.kind)
    origin = came.text if told else came.kind + (f": {came.text}" if came.text else "")
    state = (
        f"{show(one.reference_temperature, 'temperature', units)}, "
        f"{show(one.reference_pressure, 'pressure', units)} abs, "
        f"{one.pressure_basis.replace('_', ' ')}"
    )
    speeds = [line.corrected_speed for line in one.speed_lines]
    lines = f"{len(speeds)}, {speeds[0]:.0f} to {speeds[-1]:.0f} rpm corrected"
    flows = [p[0] for line in one.speed_lines for p in line.points]
    ratios = [p[1] for line in one.speed_lines for p in line.points]
    span = (
        f"{show(min(flows), 'mass_flow', units)} to {show(max(flows), 'mass_flow', units)} "
        f"corrected, pressure ratio up to {max(ratios):.2f}"
    )
    return (
        ("Comes from", f"{origin} ({came.date})" if came.date else origin),
        ("Reference state", state),
        ("Speed lines", lines),
        ("Flow", span),
        ("Islands", _islands(one)),
        ("Efficiency", _efficiency(one)),
        ("Impeller", _impeller(one, units)),
        ("Step-up inside", _step_up(one)),
    )


def _islands(one: CompressorMap) -> str:
    if not one.islands:
        return "none"
    shares = [100.0 * island.efficiency for island in one.islands]
    outlines = "1 outline" if len(shares) == 1 else f"{len(shares)} outlines"
    # as the outlines are labelled: no rounding that hides a half
    return f"{outlines}, {min(shares):.4g} to {max(shares):.4g} %"


def _efficiency(one: CompressorMap) -> str:
    if one.islands:
        return "traced, as islands"
    if one.lines_have_efficiency:
        return "traced, along the speed lines"
    return "not traced: the typed efficiency is used, the same everywhere"


def _impeller(one: CompressorMap, units: Units) -> str:
    words = [
        f"{name} {show(value, 'length', units)}"
        for name, value in (("exducer", one.exducer_diameter), ("inducer", one.inducer_diameter))
        if value is not None
    ]
    if one.maximum_speed is None:
        words.append("no highest speed told")
    else:
        words.append(f"at most {one.maximum_speed:.0f} rpm")
    return ", ".join(words)


def _impeller_limit(build: Build) -> tuple[float | None, str]:
    """Bound on the impeller's speed [rpm], and whose it is."""
    blower = build.blower
    limit, whose = impeller_limit(blower.maximum_impeller_speed, blower.compressor_map)
    return limit, "typed" if whose == OF_BUILD else "the map's"


def limit_words(before: Build, after: Build) -> str:
    """What another compressor map makes of the impeller's speed limit and the step-up.

    Parameters
    ----------
    before, after : Build
        The build before and after.
    """
    (was, _), (limit, whose) = _impeller_limit(before), _impeller_limit(after)
    words = "no impeller speed limit is known"
    if limit is not None:
        words = f"impeller speed limit {limit:.0f} rpm ({whose})"
    told = (
        None if after.blower.compressor_map is None else after.blower.compressor_map.maximum_speed
    )
    if was != limit:
        words += f", was {'unknown' if was is None else f'{was:.0f} rpm'}"
    elif limit is not None:
        words += ", as before"
    if whose == "typed" and told is not None and told != limit:
        words += f"; the map's is {told:.0f} rpm"
    typed = after.blower.maximum_impeller_speed
    if whose != "typed" and typed is not None:
        words += f"; the typed one, {typed:.0f} rpm, stays typed: the lower of the two holds"
    gears = before.blower.gear_ratio, after.blower.gear_ratio
    if gears[0] != gears[1]:
        words += f"; step-up {gears[1]:g}{_whose_step_up(after)}, was {gears[0]:g}"
        words += _whose_step_up(before)
    elif after.blower.step_up is not None:
        words += f"; step-up {gears[1]:g} (typed), as before"
    return f"{words[0].upper()}{words[1:]}."


def _whose_step_up(build: Build) -> str:
    return " (typed)" if build.blower.step_up is not None else " (the map's)"


def _step_up(one: CompressorMap) -> str:
    return "none" if one.built_in_step_up == 1.0 else f"{one.built_in_step_up:g} to 1"


def usual_drive(compressor_map: CompressorMap) -> str:
    """Kind of drive that a compressor of a map usually has: a belt where a gear stands in it."""
    return "free_shaft" if compressor_map.built_in_step_up == 1.0 else "belt"


def belongs_to_former(build: Build) -> tuple[tuple[str, str], ...]:
    """Typed inputs of a build, path and text, that may belong to its blower alone.

    A typed maximum impeller speed is none of them: the lower of it and the map's holds.
    """
    step_up = build.blower.step_up
    return () if step_up is None else (("blower.step_up", f"step-up {step_up:g}"),)
