"""Series of the charts: units, levels, pieces, targets, what lies under the pointer."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from app.chart_tools.axis import tick_decimals, ticks_between
from app.chart_tools.palette import oklab_to_hex
from app.chart_tools.strokes import dash_ends, joined_ends
from app.present.series import (
    STRIPS,
    US_CHARTS,
    line_series,
    map_axes,
    map_readout,
    map_series,
    nice_range,
    strip_series,
    strips_of,
    volume_per_flow,
)
from engine_model.compressor.map_data import SpeedLine
from engine_model.compressor.surface_fit import fit_surface
from engine_model.errors import InputError
from engine_model.matching import match
from engine_model.units import from_si, to_si

MAPS = ("frame-95-large", "frame-95-middle", "frame-95-small", "turbo-52")


@pytest.fixture(scope="module")
def case(sample_build, sample_surface):
    given = {"drive__blower_pulley_diameter": 0.06, "fuel_system__injector_flow": 1e-5}
    build = sample_build("frame-95-middle", **given)
    surface = sample_surface("frame-95-middle")
    return match(build, surface=surface), surface


@pytest.mark.parametrize("name", MAPS)
def test_a_map_shows_its_islands_inside_its_area(sample_surface, name):
    surface = sample_surface(name)
    series = map_series(surface)
    levels = [island.efficiency for island in surface.compressor_map.islands]
    assert [outline.level for outline in series.outlines] == levels
    # bands are nested: what is shaded at a level lies within the level below
    areas = [sum(abs(shoelace(ring)) for ring in band.rings) for band in series.bands]
    assert all(a > b > 0.0 for a, b in pairwise([abs(shoelace(series.area)), *areas]))
    assert len(series.speed_lines) == surface.line_speeds.size
    # the outlines of the top levels are one closed or open curve, not crumbs
    assert all(len(outline.pieces) <= 2 for outline in series.outlines)


def shoelace(ring):
    x, y = ring[:, 0], ring[:, 1]
    return 0.5 * float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))


@pytest.mark.parametrize("name", MAPS)
def test_an_outline_runs_along_the_traced_island(sample_surface, name):
    surface = sample_surface(name)
    cmap, series = surface.compressor_map, map_series(surface)
    span = np.ptp(np.vstack([island.points for island in cmap.islands]), axis=0)
    for island, outline in zip(cmap.islands, series.outlines, strict=True):
        drawn = np.vstack(outline.pieces) / span
        inner = np.array(island.points)[2:-2] / span
        far = np.hypot(*(inner[:, None, :] - drawn[None]).transpose(2, 0, 1)).min(axis=1)
        # the width of a printed line is about 0.2 % of the plot; the fit is allowed 1 %
        assert np.median(far) < 0.01, outline.label


def test_flow_in_pounds_a_minute(case):
    result, surface = case
    axes = map_axes(surface.compressor_map, "lb/min")
    series = line_series(result.line, axes)
    # 1 lb = 0.45359237 kg, exact: international pound, 1959
    pounds = result.line.corrected_flow_kg_s / 0.45359237 * 60.0
    assert np.allclose(series.flow, pounds, rtol=1e-12)
    assert axes.flow_label == "Corrected air flow [lb/min] at 25 °C, 100 kPa"


def test_volume_flow_is_what_goes_in_on_the_day(case):
    result, surface = case
    line = result.line
    # ideal gas, dry air 287.05 J/(kg K), ISO 2533; humidity is within the tolerance
    density = line.inlet_pressure_pa / (287.05 * line.inlet_temperature_k)
    axes = map_axes(surface.compressor_map, "m³/s", volume_per_flow(line, density))
    series = line_series(line, axes)
    assert np.allclose(series.flow, line.air_flow_kg_s / density, rtol=1e-3)
    assert "as on the day" in axes.flow_label
    with pytest.raises(InputError, match="volume"):
        map_axes(surface.compressor_map, "cfm")


def test_efficiency_on_the_lines_gives_round_levels(sample_map, sample_surface):
    cmap, surface = sample_map("frame-95-middle"), sample_surface("frame-95-middle")
    lines = tuple(
        SpeedLine(
            line.corrected_speed,
            line.points,
            tuple(
                float(np.nan_to_num(surface.efficiency(flow, line.corrected_speed), nan=0.5))
                for flow, _ in line.points
            ),
        )
        for line in cmap.speed_lines
    )
    series = map_series(fit_surface(replace(cmap, speed_lines=lines, islands=())))
    levels = [outline.level for outline in series.outlines]
    assert 5 <= len(levels) <= 11
    assert np.allclose(np.diff(levels), levels[1] - levels[0])
    assert np.allclose(np.array(levels) * 200.0, np.round(np.array(levels) * 200.0))
    assert series.note == ""


def test_a_map_without_efficiency_says_so(sample_map):
    series = map_series(fit_surface(replace(sample_map("frame-95-middle"), islands=())))
    assert series.outlines == ()
    assert series.note == "efficiency assumed, not traced"


def test_pieces_follow_the_regions(sample_build, sample_surface):
    surface = sample_surface("turbo-52")
    result = match(sample_build("turbo-52", drive__kind="free_shaft"), surface=surface)
    series = line_series(result.line, map_axes(surface.compressor_map))
    names = result.line.region
    assert len({piece.region for piece in series.pieces}) >= 3
    for piece in series.pieces:
        own = names[piece.start : piece.stop - (piece.stop < names.size)]
        assert set(own) == {piece.region}
        assert piece.solid is (piece.region == "on the map")


def test_ticks_stand_on_the_line(case):
    result, surface = case
    series = line_series(result.line, map_axes(surface.compressor_map))
    assert series.tick_speed.tolist() == list(np.arange(1500.0, 6501.0, 500.0))
    assert series.tick_speed[series.tick_labelled].tolist() == [2000, 3000, 4000, 5000, 6000]
    where = {float(n): k for k, n in enumerate(result.line.engine_speed_rpm)}
    for speed, flow, ratio in zip(
        series.tick_speed, series.tick_flow, series.tick_ratio, strict=True
    ):
        assert flow == pytest.approx(series.flow[where[speed]], rel=1e-12)
        assert ratio == pytest.approx(result.line.pressure_ratio[where[speed]], rel=1e-12)


def test_unsorted_engine_speeds_are_put_in_order(case):
    result, surface = case
    axes = map_axes(surface.compressor_map)
    back = line_series(result.line.part(slice(None, None, -1)), axes)
    forth = line_series(result.line, axes)
    assert np.array_equal(back.flow, forth.flow)
    assert np.array_equal(back.engine_speed, forth.engine_speed)
    assert np.isnan(forth.at(900.0)).all()


@pytest.mark.parametrize(("gap", "words"), [(12e3, "12 kW short"), (-12e3, "12 kW in hand")])
@pytest.mark.parametrize("basis", ["wheel", "flywheel"])
def test_what_is_missing_to_the_target(case, gap, words, basis):
    result, surface = case
    line = result.line
    power = line.wheel_power_w if basis == "wheel" else line.flywheel_power_w
    top = int(np.argmax(power))
    changes = {"target.power": float(power[top]) + gap, "target.basis": basis}
    promised = match(result.build.with_values(changes), surface=surface)
    target = strip_series(promised, "power").target
    assert target.verdict == f"{words}, at {line.engine_speed_rpm[top]:.0f}"
    assert target.short is (gap > 0.0)
    assert basis in target.name


def test_a_target_of_another_day_is_not_judged(case):
    result, surface = case
    build = result.build.with_values({"target.power": 250e3, "target.day": "hot"})
    target = strip_series(match(build, surface=surface), "power", US_CHARTS).target
    assert target.verdict == ""
    assert target.name.endswith("judged on the hot day")
    assert strip_series(result, "power").target is None


def test_strips_show_their_quantity_and_bound(case):
    result, result_surface = case
    shown = {one.key: one for one in strips_of(result, [s.key for s in STRIPS], US_CHARTS)}
    boost = shown["boost"].curves[0].values
    assert np.allclose(to_si(boost, "psi", "pressure"), result.line.boost_gauge_pa, atol=1e-6)
    (bound,) = shown["charge_temperature"].bounds
    kelvin = result.build.bounds.charge_temperature
    assert bound.value == pytest.approx(from_si(kelvin, "°F", "temperature"))
    (least,) = shown["surge_margin"].bounds
    assert (least.value, least.side) == (100.0 * result.build.bounds.surge_margin, "below")
    assert shown["impeller_speed"].bounds[0].value == 96000.0
    # 0.55 bar over 0.0689476 bar a psi, in the decimals of the ledger
    bounded = match(result.build.with_value("bounds.boost", 0.55e5), surface=result_surface)
    assert strip_series(bounded, "boost", US_CHARTS).bounds[0].name == "bound 8.0 psi"
    assert least.name == "least 8 %, judged above PR 1.30"
    for one in shown.values():
        low, high = one.value_range
        assert all(low <= bound.value <= high for bound in one.bounds), one.key
        assert np.nanmax(one.curves[0].values) <= high, one.key


@pytest.mark.parametrize("name", MAPS)
def test_the_pointer_reads_what_the_surface_says(sample_surface, name):
    surface = sample_surface(name)
    axes = map_axes(surface.compressor_map)
    readout = map_readout(surface, axes, 2.0)
    speeds = surface.line_speeds[1:-1, None] * 1.03
    flow, ratio, eta = surface.line(speeds, np.array([0.15, 0.5, 0.9]))
    for at, x, y, e in zip(
        np.broadcast_to(speeds, flow.shape).ravel(),
        flow.ravel(),
        ratio.ravel(),
        eta.ravel(),
        strict=True,
    ):
        words = readout.words(float(x), float(y))
        assert words[-1] == "on the map"
        assert float(words[2].split()[1]) == pytest.approx(100.0 * e, abs=0.3)
        rotor = float(words[3].removeprefix("impeller ").removesuffix(" rpm").replace(" ", ""))
        assert rotor == pytest.approx(2.0 * at, rel=2e-3)


def test_the_pointer_off_the_map(sample_surface):
    surface = sample_surface("frame-95-middle")
    readout = map_readout(surface, map_axes(surface.compressor_map))
    top, choke = surface.line_speeds[-1], float(surface.choke_flow(surface.line_speeds[-1]))
    assert readout.words(0.05, 2.5)[-1] in ("left of surge", "above the map")
    assert readout.words(choke * 0.95, 1.05)[-1] == "past choke"
    assert readout.words(choke * 2.0, 1.5)[-1] == "past choke"
    flow, ratio, _ = surface.line(top * 1.1, 0.4)
    assert readout.words(float(flow), float(ratio))[-1] == "above the map"
    assert len(readout.words(-0.1, 1.5)) == 2


@pytest.mark.parametrize(
    ("lab", "colour"),
    [
        ((0.62796, 0.22486, 0.12585), "#ff0000"),
        ((0.86644, -0.23389, 0.17950), "#00ff00"),
        ((0.45201, -0.03246, -0.31153), "#0000ff"),
        ((0.0, 0.0, 0.0), "#000000"),
    ],
)
def test_oklab_of_the_primaries(lab, colour):
    # W3C, CSS Color Module Level 4, OKLab of the sRGB primaries (from memory, five digits)
    assert oklab_to_hex(lab) == colour


def test_ranges_and_ticks_are_round():
    assert nice_range(float("nan"), 1.0) == (0.0, 1.0)
    assert nice_range(3.0, 3.0)[1] > 3.0
    values = ticks_between(0.013, 0.497, 500.0, 90.0)
    assert values == [0.1, 0.2, 0.3, 0.4]
    assert (tick_decimals(0.25), tick_decimals(20.0)) == (2, 0)


def test_dashes_cover_their_share_of_a_line():
    x, y = np.array([0.0, 30.0, 60.0, 100.0]), np.zeros(4)
    dashes = dash_ends(x, y, (6.0, 4.0))
    assert dashes[:, 0].tolist() == list(np.arange(0.0, 100.0, 10.0))
    assert np.sum(dashes[:, 2] - dashes[:, 0]) == pytest.approx(60.0)
    joined = joined_ends(x, y)
    assert np.all(joined[:-1, 2] > joined[1:, 0])


def test_strips_of_the_fuel(case):
    result, surface = case
    shown = {one.key: one for one in strips_of(result, ["injector_duty", "fuel_flow"])}
    line = result.line
    # 1e-5 m3/s of petrol at 745 kg/m3, rated at 720 kg/m3 and the rail's pressure, six of them
    duty = line.fuel_flow_kg_s / (6.0 * 1e-5 * np.sqrt(745.0 * 720.0))
    assert np.allclose(shown["injector_duty"].curves[0].values, 100.0 * duty, rtol=1e-12)
    assert shown["injector_duty"].bounds[0].name == "bound 85 %"
    assert np.allclose(shown["fuel_flow"].curves[0].values, 3600.0 * line.fuel_flow_kg_s)
    bounded = result.build.with_values(
        {"bounds.torque": 400.0, "bounds.power": 250e3, "bounds.exhaust_pressure": 30e3}
    )
    there = match(bounded, surface=surface)
    for key, value in (("torque", 400.0), ("power", 250.0), ("exhaust_pressure", 0.3)):
        assert strip_series(there, key).bounds[0].value == pytest.approx(value)
    exhaust = strip_series(there, "exhaust_pressure").curves[0]
    gauge = line.exhaust_pressure_pa - (line.manifold_pressure_pa - line.boost_gauge_pa)
    assert np.allclose(exhaust.values, gauge / 1e5)
