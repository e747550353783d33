"""The steps that *Why* shows: equal to the match, and explained by the numbers put in."""

from __future__ import annotations

import functools
import math
import re
from dataclasses import replace

import numpy as np
import pytest
from conftest import read_sample_map
from step_equations import evaluate

from app.fields import display_of, quantity_of
from app.paths import sample_builds
from engine_model.compressor.surface_fit import fit_surface
from engine_model.errors import InputError
from engine_model.files.build_file import load_build
from engine_model.inputs import NAMED_DAYS, Blower, Day
from engine_model.matching import match_many
from engine_model.results import STEP_UNITS, Match
from engine_model.steps import STATIONS, match_steps
from engine_model.units import QUANTITIES

DAYS = tuple(NAMED_DAYS.values())
SAMPLES = tuple(sample_builds())

# step -> array of the operating line that holds the same quantity
ARRAYS = {
    "inlet.temperature": "inlet_temperature_k",
    "inlet.pressure": "inlet_pressure_pa",
    "drive.impeller_speed": "impeller_speed_rpm",
    "compressor.corrected_speed": "corrected_speed_rpm",
    "compressor.corrected_flow": "corrected_flow_kg_s",
    "compressor.pressure_ratio": "pressure_ratio",
    "compressor.efficiency": "efficiency",
    "compressor.outlet_temperature": "discharge_temperature_k",
    "compressor.outlet_pressure": "discharge_pressure_pa",
    "charge.temperature": "manifold_temperature_k",
    "charge.pressure": "manifold_pressure_pa",
    "charge.boost": "boost_gauge_pa",
    "bypass.flow": "bypass_flow_kg_s",
    "engine.exhaust_pressure": "exhaust_pressure_pa",
    "engine.volumetric_efficiency": "volumetric_efficiency",
    "engine.fuel_flow": "fuel_flow_kg_s",
    "crank.flywheel_power": "flywheel_power_w",
    "crank.torque": "flywheel_torque_nm",
    "crank.wheel_power": "wheel_power_w",
    "limits.surge_margin": "surge_margin",
    "limits.surge_margin_low": "surge_margin_low",
    "limits.surge_margin_high": "surge_margin_high",
    "limits.choke_margin": "choke_margin",
}


@functools.cache
def surface_for(compressor_map, typed=0.70):
    return fit_surface(compressor_map, typed)


@functools.cache
def sample(name):
    return load_build(sample_builds()[name])


def with_map(build, compressor_map):
    return replace(build, blower=Blower(compressor_map=compressor_map))


def no_islands():
    cmap = read_sample_map("frame-95-middle")
    return replace(cmap, islands=())


SIX = functools.partial(sample, "road-six")
FOUR = functools.partial(sample, "free-shaft-four")

# name -> build; each stands for a way of a step that the samples do not go
VARIANTS = {
    "no blower": lambda: SIX().with_value("drive.kind", "none"),
    "no blower, cooler left": lambda: SIX().with_values(
        {"drive.kind": "none", "cooler.kind": "liquid", "inlet.temperature_rise": 12.0}
    ),
    "spark estimated": lambda: SIX().with_value("engine.spark", "estimated"),
    "fixed belt slips": lambda: SIX().with_values({"drive.tensioner": "fixed", "drive.ribs": 4}),
    "rail over the ambient, pump": lambda: SIX().with_values(
        {"fuel_system.rail_reference": "ambient", "fuel_system.pump_flow": 7e-5}
    ),
    "pump, shut-off": lambda: SIX().with_values(SHUT_OFF),
    "no cooler": lambda: SIX().with_value("cooler.kind", "none"),
    "cap, recirculated": lambda: SIX().with_value("bypass.boost_cap", 2e4),
    "cap, vented": lambda: SIX().with_values(VENTED),
    "cap, no cooler": lambda: SIX().with_values({"bypass.boost_cap": 2e4, "cooler.kind": "none"}),
    "free shaft, cap": lambda: FOUR().with_value("bypass.boost_cap", 4e4),
    "free shaft, absolute": lambda: FOUR().with_values(
        {
            "drive.boost_schedule": ((0.2, 1.0e5), (0.5, 1.4e5), (0.9, 1.7e5)),
            "drive.boost_schedule_basis": "absolute",
        }
    ),
    "free shaft, one row": lambda: FOUR().with_value("drive.boost_schedule", ((0.5, 4e4),)),
    "typed VE": lambda: SIX().with_value(VE, ((2000.0, 0.85), (4000.0, 1.0), (6500.0, 0.9))),
    "typed VE, one row": lambda: SIX().with_value(VE, ((4000.0, 0.95),)),
    "typed efficiency": lambda: with_map(SIX(), no_islands()),
    "flat stock torque": lambda: SIX().with_values(
        {"engine.stock_torque": 170e3 / (6200.0 * np.pi / 30.0)}
    ),
    "lean, direct": lambda: SIX().with_values(
        {"engine.mixture": 1.05, "engine.injection": "direct", "engine.stock_mixture": 1.0}
    ),
    "methanol, rated flow": lambda: SIX().with_values(
        {
            "engine.fuel": "methanol",
            "engine.rated_flow": 0.31,
            "engine.ve_temperature_exponent": 0.4,
        }
    ),
    "blend": lambda: SIX().with_value("engine.ethanol_share", 0.63),
    "past choke": lambda: SIX().with_values(BIG | {"drive.blower_pulley_diameter": 0.058}),
    "far past choke": lambda: SIX().with_values(BIG | {"drive.blower_pulley_diameter": 0.150}),
    "left of surge": lambda: SIX().with_values(SMALL | {"drive.blower_pulley_diameter": 0.064}),
    "far left of surge": lambda: SIX().with_values(SMALL | {"drive.blower_pulley_diameter": 0.05}),
}
VE = "engine.volumetric_efficiency"
SHUT_OFF = {"fuel_system.pump_flow": 7e-5, "fuel_system.pump_shut_off": 6.2e5}
VENTED = {"bypass.boost_cap": 2e4, "bypass.vent": "atmosphere"}
BIG = {
    "engine.displacement": 5.2e-3,
    "engine.stock_torque": 490.0,
    "engine.stock_power": 275e3,
}
SMALL = {
    "engine.displacement": 1.6e-3,
    "engine.stock_torque": 155.0,
    "engine.stock_power": 85e3,
}
# the match closes the isentropic temperature to 1e-4 K at the highest pressure ratios
ONE_NEWTON_STEP = ("compressor.isentropic_rise",)
SPEEDS = (1730.0, 4321.0, 6510.0)


@functools.cache
def solved(name):
    """Build, surface and line over (day, engine speed) of a sample or a variant."""
    build = sample(name) if name in SAMPLES else VARIANTS[name]()
    cmap = build.blower.compressor_map
    surface = None if build.drive.kind == "none" else surface_for(cmap)
    speeds = (*SPEEDS[:2], build.engine.limiter) if name in SAMPLES else SPEEDS
    return build, surface, match_many(build, DAYS, speeds, surface=surface)


@functools.cache
def steps_of(name, day, column):
    build, surface, line = solved(name)
    match = Match(build, DAYS[day], line.part(day), ())
    return match_steps(match, float(line.engine_speed_rpm[day, column]), surface=surface)


CASES = [
    pytest.param(name, day, column, id=f"{name}-{DAYS[day].name}-{column}")
    for name in SAMPLES
    for day in range(len(DAYS))
    for column in range(3)
] + [
    pytest.param(name, (2 * column) % len(DAYS), column, id=f"{name}-{column}")
    for name in VARIANTS
    for column in range(3)
]


@pytest.mark.parametrize(("name", "day", "column"), CASES)
def test_values_are_those_of_the_match(name, day, column):
    line = solved(name)[2]
    values = {s.key: s.value for s in steps_of(name, day, column)}
    compared = 0
    belt = "crank.power_paid" in values
    paid = {"crank.power_paid" if belt else "crank.drive_power": "drive_power_w"}
    for key, array in {**ARRAYS, **paid}.items():
        if key in values:
            held = float(getattr(line, array)[day, column])
            # unsolved, the fresh air at the inlet is known all the same
            if not (key == "inlet.temperature" and math.isnan(held)):
                assert values[key] == pytest.approx(held, rel=1e-9, nan_ok=True), key
            compared += 1
    engine = line.air_flow_kg_s - line.bypass_flow_kg_s
    assert values["engine.air_flow"] == pytest.approx(engine[day, column], rel=1e-9, nan_ok=True)
    assert compared >= (11 if solved(name)[1] is None else 22)


@pytest.mark.parametrize(("name", "day", "column"), CASES)
def test_numbers_put_in_give_the_value(name, day, column):
    surface = solved(name)[1]
    for step in steps_of(name, day, column):
        if math.isnan(step.value):
            continue
        again = evaluate(step, surface)
        close = 3e-6 if step.key in ONE_NEWTON_STEP else 1e-6
        assert step.value == pytest.approx(again, rel=close, abs=1e-11), step.key


@pytest.mark.parametrize(("name", "day", "column"), CASES)
def test_steps_are_well_formed(name, day, column):
    steps = steps_of(name, day, column)
    keys = [s.key for s in steps]
    assert len(set(keys)) == len(keys)
    order = [STATIONS.index(s.station) for s in steps]
    assert order == sorted(order)
    line = solved(name)[2]
    for step in steps:
        assert step.source.strip()
        assert step.quantity.strip()
        assert step.unit == STEP_UNITS[step.kind]
        symbols = [n.symbol for n in step.numbers]
        assert symbols
        assert len(set(symbols)) == len(symbols), step.key
        letters = set(re.findall(r"[A-Za-z][A-Za-z0-9_]*(?:,ref)?", step.equation))
        assert set(symbols) <= letters, step.key
        assert all(n.kind in STEP_UNITS for n in step.numbers)
        if math.isnan(step.value):
            assert str(line.region[day, column]) in step.note


def test_unsolved_points_say_why():
    line = solved("far past choke")[2]
    assert np.any(np.isnan(line.air_flow_kg_s)), "the variant no longer stands for such a point"
    day, column = (int(i[0]) for i in np.nonzero(np.isnan(line.air_flow_kg_s)))
    steps = {s.key: s for s in steps_of("far past choke", day, column)}
    assert math.isnan(steps["crank.flywheel_power"].value)
    assert "do not meet" in steps["crank.flywheel_power"].note
    assert steps["drive.impeller_speed"].value > 0.0
    assert steps["stock.torque"].value > 0.0
    assert steps["stock.torque"].note == ""


@pytest.mark.parametrize("name", [*SAMPLES, *VARIANTS])
def test_every_number_counts(name):
    """A number that changes nothing was not put in: each moves the value of its equation."""
    surface = solved(name)[1]
    for step in steps_of(name, 0, 1):
        if math.isnan(step.value):
            continue
        for i, number in enumerate(step.numbers):
            if (step.key, number.symbol) in SAME | IDLE.get(name, set()):
                continue
            nudged = number._replace(value=number.value * 0.999 + 0.5 * (number.value == 0.0))
            other = replace(step, numbers=(*step.numbers[:i], nudged, *step.numbers[i + 1 :]))
            assert evaluate(other, surface) != evaluate(step, surface), (step.key, number.symbol)


# a switch rather than a term; the flow alone names the place left of choke
SAME = {
    ("belt.slip", "u"),
    *(("bypass.flow", n) for n in ("b", "b_cap")),
    ("compressor.place", "PR"),
}
TABLE_ENDS = {("stock.volumetric_efficiency", n) for n in ("N", "N_a", "N_b", "eta_a", "eta_b")}
SCHEDULE_ENDS = {("drive.boost_asked", n) for n in ("N", "N_lim", "x_a", "x_b", "b_a", "b_b")}
ALIKE = {("compressor.pressure_ratio", "s"), ("compressor.efficiency", "s")}
IDLE = {
    # held at an end of the table
    "free shaft, one row": SCHEDULE_ENDS,
    "typed VE, one row": TABLE_ENDS,
    # nothing evaporates in the port
    "lean, direct": {("engine.vapour", n) for n in ("h_vap", "AFR", "lambda", "cp", "M", "T_3")},
    # the charge is as warm as on the stock day
    "no blower": {("engine.temperature_factor", "x")},
    # far under the lowest line the band is at its widest
    "far past choke": {("limits.surge_band", n) for n in ("N_c", "N_a", "N_b")},
    # the head is kept left of surge, and one efficiency was typed
    "left of surge": ALIKE,
    "far left of surge": ALIKE,
    "typed efficiency": {("compressor.efficiency", "s")},
}


def test_variants_go_their_ways():
    def keys(name, day=0, column=2):
        return {s.key: s for s in steps_of(name, day, column)}

    assert not any(k.startswith(("drive.", "compressor.", "cooler.")) for k in keys("no blower"))
    assert "limits.surge_margin" not in keys("no blower")
    assert keys("no blower")["charge.boost"].value < 0.0
    assert not any(k.startswith("cooler.") for k in keys("no cooler"))
    for name in ("cap, recirculated", "cap, vented", "cap, no cooler", "free shaft, cap"):
        assert keys(name)["bypass.flow"].value > 0.0, name
        assert keys(name, column=0)["bypass.flow"].value == 0.0, name
    assert "W_b" in keys("cap, recirculated")["inlet.temperature"].equation
    assert "W_b" not in keys("cap, vented")["inlet.temperature"].equation
    assert keys("road-six").get("bypass.flow") is None
    assert "P_d" not in keys("free-shaft-four")["crank.flywheel_power"].equation
    assert keys("flat stock torque")["stock.torque"].equation == "T_stock = T_max"
    assert "Typed" in keys("typed efficiency")["compressor.efficiency"].source
    assert "islands" in keys("road-six")["compressor.efficiency"].source
    assert "stock.torque" not in keys("typed VE")
    left = [keys("left of surge", d, c)["compressor.place"].value for d in (0, 2) for c in (0, 1)]
    assert min(left) < 0.0
    right = [keys("past choke", d, c)["compressor.place"].value for d in range(4) for c in range(3)]
    assert np.nanmax(right) > 1.0


def test_assumed_inputs_are_marked():
    steps = {s.key: s for s in steps_of("road-six", 0, 1)}
    marks = {n.symbol: n.assumed for s in steps.values() for n in s.numbers}
    assert marks["dp_in"]
    assert marks["b_e"]
    assert not marks["d_b"]
    assert not marks["V_d"]
    assert not marks["p_1"]


def test_typed_station_pressure():
    build, surface, _ = solved("road-six")
    day = Day(500.0, 295.0, 0.6, 97_300.0, name="typed")
    line = match_many(build, [day], [5000.0], surface=surface).part(0)
    steps = {s.key: s for s in match_steps(Match(build, day, line, ()), 5000.0, surface=surface)}
    assert steps["day.pressure"].value == 97_300.0
    assert evaluate(steps["day.pressure"], surface) == 97_300.0
    assert "sea level" in steps["day.pressure"].source


def test_speed_beyond_the_line_and_bad_speed():
    build, surface, line = solved("road-six")
    match = Match(build, DAYS[0], line.part(0), ())
    over_rev = build.engine.over_rev_speed
    steps = {s.key: s.value for s in match_steps(match, over_rev, surface=surface)}
    ratio = 184.0 / 70.0 * build.blower.gear_ratio
    # creep 0.5 %
    held = pytest.approx(over_rev * ratio * 0.995, rel=1e-12)
    assert steps["drive.impeller_without_slip"] == held
    step = next(s for s in match_steps(match, 5000.0, surface=surface)
                if s.key == "drive.impeller_without_slip")  # fmt: skip
    assert "(d_c + 2 b_e)/(d_b + 2 b_e)" in step.equation
    assert {n.symbol: n.value for n in step.numbers}["b_e"] == 0.002
    with pytest.raises(InputError):
        match_steps(match, 0.0, surface=surface)


def test_units_of_kinds_are_those_shown():
    for kind, unit in STEP_UNITS.items():
        if kind == "specific_heat":
            assert unit == "J/(kg K)"
            continue
        quantity = QUANTITIES[quantity_of(kind)]
        assert unit == quantity.canonical
        if kind != "energy_per_mass":
            display = display_of(kind)
            symbols = {one.symbol for one in quantity.units}
            assert {display.si, display.us} <= symbols
