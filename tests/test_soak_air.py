"""Heat soak of a build with an air-to-air cooler: the match, scipy, limiting cases, days."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from ht.hx import NTU_from_effectiveness, effectiveness_from_NTU
from scipy.integrate import solve_ivp

from engine_model import match
from engine_model.inputs import NAMED_DAYS
from engine_model.matching import match_many
from engine_model.studies.heat_soak_study import heat_soak, soak_steps
from engine_model.studies.soak_air import air_on_day
from engine_model.studies.soak_days import soak_days_steps, soak_over_days
from engine_model.studies.soak_entry import soak_entry, with_soak, worst_soak
from engine_model.studies.soak_records import NO_MATCH, REFUSED, HeatSoak
from engine_model.studies.soak_table import charge_table_steps
from tests import soak_cases as cases

ROLLERS = {"pull_road_speed": 0.0, "fan_flow": 0.0, "pause_road_speed": 0.0}


def aired(**inputs):
    return cases.soaked(kind="air", **inputs)


def soak_of(day=cases.DRY, **inputs):
    return heat_soak(aired(**inputs), day, cases.surface())


def line_of(one, day=cases.DRY, speeds=None):
    return match(one, day, speeds, surface=cases.surface()).line


def with_core(one, **changes):
    """The study with a core that no input gives."""
    on_day = air_on_day(one, cases.DRY)
    table = list(charge_table_steps(one, cases.DRY, cases.surface()))[-1]
    changed = replace(on_day, core=replace(on_day.core, **changes))
    return table, list(soak_steps(one, cases.DRY, changed, table))[-1]


@pytest.mark.parametrize("day", [cases.DRY, *NAMED_DAYS.values()], ids=lambda d: d.name)
@pytest.mark.parametrize("inputs", [{}, {"coolant_rise": 17.0, "effectiveness": 0.55}])
def test_settled_it_is_the_match(day, inputs):
    one = aired(**inputs)
    expected = line_of(one, day).manifold_temperature_k[-1]
    settled = heat_soak(one, day, cases.surface()).settled
    assert settled.manifold == pytest.approx(expected, abs=1e-6)
    assert settled.matched == pytest.approx(expected, abs=1e-6)


def test_a_pull_without_end_is_the_match():
    """Slow enough that the metal keeps up: 120 s with a core of 50 g."""
    found = soak_of(pulls=1, pull_time=120.0, core_mass=0.05)
    course = found.course
    expected = np.interp(
        course.engine_speed, line_of(found.build).engine_speed_rpm,
        line_of(found.build).manifold_temperature_k,
    )  # fmt: skip
    np.testing.assert_allclose(course.manifold, expected, atol=0.15)


def test_a_core_without_mass_is_the_match():
    one = aired(pulls=2)
    table, found = with_core(one, core_heat=0.0)
    line = line_of(one, speeds=table.engine_speed)
    means = 0.5 * (line.manifold_temperature_k[1:] + line.manifold_temperature_k[:-1])
    for number in range(2):
        inside = found.course.manifold[found.course.pull == number]
        np.testing.assert_allclose(inside, means, atol=0.02)
    assert found.pulls.lost[1] == pytest.approx(0.0, abs=1.0)


def test_a_core_without_end_gives_the_first_pull_forever():
    one = aired(pulls=4, bay_heat=900.0)
    _, found = with_core(one, core_heat=np.inf)
    assert np.all(found.course.core == cases.DRY.temperature + 5.0)
    np.testing.assert_allclose(found.pulls.manifold_end, found.pulls.manifold_end[0], atol=0.01)
    assert abs(found.imbalance) < 1e-6


def test_energy_stored_is_in_less_out():
    for day in NAMED_DAYS.values():
        assert abs(soak_of(day, bay_heat=900.0).imbalance) < 1e-6
    found = soak_of(**ROLLERS, bay_heat=0.0)
    core = found.course.core
    stored = 2.5 * 903.0 * (core[-1] - core[0])
    assert stored == pytest.approx(found.pulls.heat.sum(), rel=1e-9)


def test_other_metals_hold_their_own_heat():
    """Copper 385, aluminium 903 J/(kg K): as much in 2.345 times the mass (table A.1)."""
    copper = soak_of(core_metal="copper", core_mass=2.0 * 903.0 / 385.0)
    plain = soak_of(core_mass=2.0)
    np.testing.assert_allclose(copper.course.core, plain.course.core, atol=1e-6)


def test_a_cold_core_is_better_and_a_standing_car_is_not():
    cool = soak_of(pulls=3)
    settled = np.interp(
        cool.course.engine_speed[0], line_of(cool.build).engine_speed_rpm,
        line_of(cool.build).manifold_temperature_k,
    )  # fmt: skip
    assert cool.course.manifold[0] < settled
    assert cool.pulls.manifold_end[0] < cool.settled.manifold
    hot, still = (soak_of(pulls=3, fan_flow=0.0, bay_heat=heat) for heat in (2000.0, 0.0))
    assert hot.pulls.core_start[1] > hot.pulls.core_end[0]
    assert still.pulls.core_start[1] == pytest.approx(still.pulls.core_end[0])
    assert hot.pulls.manifold_end[1] > still.pulls.manifold_end[1] > cool.pulls.manifold_end[1]


def test_on_the_rollers_nothing_takes_the_heat_away():
    road, rollers = soak_of(), soak_of(**ROLLERS)
    assert np.isnan(rollers.settled.manifold)
    assert rollers.settled.matched == pytest.approx(road.settled.manifold, abs=1e-6)
    assert rollers.pulls.manifold_peak[-1] > road.pulls.manifold_peak[-1] + 15.0
    assert np.all(np.diff(rollers.pulls.lost) > 0.0)


def test_scipy_integrates_the_same():
    """Balance and match written out: ht's effectiveness, lines between other outside air."""
    one = aired(pulls=2, pull_road_speed=12.0, fan_flow=0.08)
    c, kind = one.cooler, cases.KIND
    speeds = np.linspace(1500.0, one.engine.limiter, 45)
    rises = np.linspace(-40.0, 80.0, 13)
    lines = [
        match_many(one.with_value("cooler.coolant_rise", float(r)), [cases.DRY], speeds,
                   surface=cases.surface()).part(0)
        for r in rises
    ]  # fmt: skip
    names = ("manifold_temperature_k", "air_flow_kg_s", "discharge_temperature_k")
    tables = [np.stack([getattr(line, name) for line in lines]) for name in names]
    units = NTU_from_effectiveness(c.effectiveness, c.capacity_ratio, kind)
    rated = cases.RATED * cases.heat_of_air(330.0)
    density = 101325.0 / (287.05 * 303.15)
    air, stated, waiting = (max(0.2 * v * c.front_area * density, c.fan_flow)
                            for v in (c.pull_road_speed, 25.0, 0.0))  # fmt: skip
    outside, bay, metal = 303.15 + 5.0, c.bay_heat / c.bay_rise, c.core_mass * 903.0

    def pull(t, x):
        speed = speeds[0] + (speeds[-1] - speeds[0]) * t / c.pull_time
        nodes, flows, inlets = (
            np.array([np.interp(speed, speeds, row) for row in table]) for table in tables
        )
        outlet = x[0]
        for _ in range(8):
            flow, inlet = np.interp(outlet, nodes, flows), np.interp(outlet, nodes, inlets)
            own = units * (flow / cases.RATED) ** -0.4
            contact = 1.0 - np.exp(-own / 0.5)
            outlet = inlet - contact * (inlet - x[0])
        capacity, blow = flow * cases.heat_of_air(inlet), air / stated
        whole = own / (0.5 + 0.5 * blow**-0.6)
        brought = blow / c.capacity_ratio
        least, most = min(brought, 1.0), max(brought, 1.0)
        settled = least * effectiveness_from_NTU(whole / least, least / most, kind)
        passing = capacity / (1.0 / settled - 1.0 / contact)
        into = contact * capacity * (inlet - x[0])
        return [(into - passing * (x[0] - outside)) / metal]

    def pause(_, x):
        blow = waiting / stated
        flow = rated * blow / c.capacity_ratio
        still = flow * (1.0 - np.exp(-units * rated * blow**0.6 / 0.5 / flow))
        return [(bay * (338.15 - x[0]) - still * (x[0] - outside)) / metal]

    found, state = heat_soak(one, cases.DRY, cases.surface()), [308.15]
    for number in range(2):
        if number:
            state = solve_ivp(pause, (0.0, c.pause_time), state, rtol=1e-7, method="LSODA").y[:, -1]
        assert found.pulls.core_start[number] == pytest.approx(state[0], abs=0.05)
        state = solve_ivp(pull, (0.0, c.pull_time), state, rtol=1e-6, method="LSODA").y[:, -1]
        assert found.pulls.core_end[number] == pytest.approx(state[0], abs=0.05)


def test_entry_tells_where_it_would_settle():
    found = soak_of(**ROLLERS)
    entry = soak_entry(found)
    numbers = dict(entry.numbers)
    assert entry.value == found.pulls.manifold_peak.max()
    assert np.isnan(numbers["settled_manifold_k"])
    assert numbers["matched_manifold_k"] == found.settled.matched
    assert "air-to-air cooler" in entry.basis


def test_days_have_a_study_each_and_the_worst_is_named():
    one, days = aired(), list(NAMED_DAYS.values())
    found = soak_over_days(one, days, cases.surface())
    assert [f.day for f in found] == days
    entries = [soak_entry(f) for f in found]
    assert worst_soak(entries).day == "hot"
    alone = soak_entry(soak_of(NAMED_DAYS["hot"]))
    assert worst_soak(entries).numbers == alone.numbers
    known = {f.day.name: f for f in found}
    again = list(soak_days_steps(one, days, cases.surface(), known))
    assert [id(f) for f in again] == [id(f) for f in found]
    other = aired(core_mass=5.0)
    assert None in list(soak_days_steps(other, days[:1], cases.surface(), known))


def test_a_day_that_is_refused_leaves_the_others():
    one, days = cases.soaked(ice_mass=1.0), [NAMED_DAYS["freezing"], NAMED_DAYS["hot"]]
    cold, hot = soak_over_days(one, days, cases.surface())
    assert cold.reason == REFUSED
    assert cold.fault.field == "cooler.ice_mass"
    assert hot.pulls is not None
    entry = soak_entry(cold)
    assert entry.state == "blank"
    assert "below 0 °C" in entry.basis
    assert worst_soak([entry, soak_entry(hot)]).day == "hot"


def test_blank_entries_say_why():
    none = soak_entry(heat_soak(cases.soaked(kind="none"), cases.DRY, cases.surface()))
    assert (none.state, none.basis) == ("blank", "no charge cooler: none that soaks")
    torn = soak_entry(HeatSoak(aired(), cases.DRY, NO_MATCH, 3210.0))
    assert "do not meet at 3210 rpm" in torn.basis
    ledger = match(aired(), cases.DRY, surface=cases.surface()).ledger
    codes = [e.code for e in with_soak(ledger, none)]
    assert codes.index("charge_soak") == codes.index("charge_temperature") + 1
