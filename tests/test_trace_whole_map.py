"""A whole map traced again from its picture, held against the map the picture was drawn from.

Both maps go through the same loader and the same fit; what differs is the tracing. The bounds
are what the bench asks of its tracer; nothing published states them.
"""

from __future__ import annotations

import functools
from dataclasses import replace

import numpy as np
import pytest
from trace_pictures import FOLDER, MIDDLE, SMALL, TURBO, VARIANTS, traced

from engine_model.compressor.map_data import Provenance
from engine_model.compressor.surface_fit import fit_surface
from engine_model.files.build_file import load_build
from engine_model.files.map_file import load_map, map_from_document, map_to_document
from engine_model.matching import match

MAPS = {
    "colour": MIDDLE,
    "colour, photo": SMALL,
    "colour, labels, marks": TURBO,
    "grey, dashed, photo": MIDDLE,
}
POINTS = 500
each_map = pytest.mark.parametrize("name", MAPS)


@functools.cache
def true_map(name):
    return load_map(FOLDER / f"{VARIANTS[name][0]}.map.json")


@functools.cache
def traced_map(name):
    """Map of a picture's traced curves, as its file would be read."""
    document = map_to_document(true_map(name))
    document["provenance"] = {"kind": "traced", "text": "Traced in a test.", "date": "2026-11-26"}
    curves = {kind: [] for kind in ("speed", "island", "surge")}
    for one in traced(name):
        curves[one.curve.kind].append((one.curve, one.points.tolist()))
    document["speed_lines"] = [
        {"corrected_speed_rpm": curve.value, "points": points} for curve, points in curves["speed"]
    ]
    document["islands"] = [
        {"efficiency": curve.value, "closed": curve.closed, "points": points}
        for curve, points in curves["island"]
    ]
    document["surge_line"] = curves["surge"][0][1]
    document["choke_line"] = [points[-1] for _, points in curves["speed"]]
    return map_from_document(document)


@functools.cache
def surfaces(name):
    return fit_surface(true_map(name)), fit_surface(traced_map(name))


@functools.cache
def places(name):
    """Flows and speeds drawn at random over the map, between surge and choke."""
    true, draw = surfaces(name)[0], np.random.default_rng(2611)
    speeds = [line.corrected_speed for line in true_map(name).speed_lines]
    speed = draw.uniform(speeds[0], speeds[-1], POINTS)
    surge, choke = true.surge_flow(speed), true.choke_flow(speed)
    return surge + (choke - surge) * draw.uniform(0.01, 0.99, POINTS), speed


def test_traced_maps_are_those_of_the_pictures():
    assert all(VARIANTS[name][0] == sample for name, sample in MAPS.items())


@each_map
def test_loader_finds_no_fault(name):
    one, true = traced_map(name), true_map(name)
    assert one.provenance == Provenance("traced", "Traced in a test.", "2026-11-26")
    assert len(one.speed_lines) == len(true.speed_lines)
    assert [i.closed for i in one.islands] == [i.closed for i in true.islands]
    # it is another trace, not the truth handed on
    assert one.speed_lines[3].points != true.speed_lines[3].points


@each_map
def test_efficiency(name):
    true, again = (surface.efficiency(*places(name)) for surface in surfaces(name))
    off = 100.0 * np.abs(again - true)
    print(f"\n    {name}: efficiency off by {np.median(off):.3f} points median,", end=" ")
    print(f"{np.quantile(off, 0.95):.3f} p95, {off.max():.2f} worst")
    assert np.median(off) <= 0.15
    assert np.quantile(off, 0.95) <= 0.8


@each_map
def test_pressure_ratio(name):
    true, again = (surface.pressure_ratio(*places(name)) for surface in surfaces(name))
    off = 100.0 * np.abs(again / true - 1.0)
    print(f"\n    {name}: pressure ratio off by {np.median(off):.3f} % median,", end=" ")
    print(f"{np.quantile(off, 0.95):.3f} % p95")
    assert np.median(off) <= 0.2


@pytest.mark.parametrize(
    ("name", "build_name"),
    # a belt fixes the impeller speed; on a free shaft it comes from the map
    [("colour, photo", "road-six"), ("colour, labels, marks", "free-shaft-four")],
)
def test_sample_build_matched_with_the_traced_map(name, build_name):
    build = load_build(FOLDER / f"{build_name}.build.json")
    day = build.known_days()["mild"]
    results = []
    for one in (true_map(name), traced_map(name)):
        assert build.blower.compressor_map.title == one.title
        mapped = replace(build, blower=replace(build.blower, compressor_map=one))
        results.append(match(mapped, day))
    true, again = results
    power = 100.0 * np.abs(again.line.flywheel_power_w / true.line.flywheel_power_w - 1.0)
    used = [
        100.0 * entry.used
        for result in results
        for entry in result.ledger
        if entry.code == "impeller_speed"
    ]
    print(f"\n    {build_name}: power moves by {np.nanmax(power):.3f} %,", end=" ")
    print(f"impeller speed used {used[0]:.2f} -> {used[1]:.2f} %")
    assert np.array_equal(np.isfinite(power), np.isfinite(true.line.flywheel_power_w))
    assert np.nanmax(power) < 0.5
    assert np.nanmax(power) > 0.0
    assert abs(used[1] - used[0]) < 0.5
