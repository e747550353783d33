"""The pulley span against single matches, closed forms and another solver.

The sweeps call ``match`` for each pulley; nothing of the study stands between.
"""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from span_matches import CAPPED, is_over, ledger_at, road_six_and_surface

from engine_model.errors import InputError
from engine_model.inputs import Shelf
from engine_model.matching import pulley_for_boost
from engine_model.studies.pulley_span import pulley_span
from engine_model.studies.span_records import AS_BUILT

MORE_BOOST = {
    "bounds.boost": 65e3,
    "bounds.charge_temperature": 345.0,
    "drive.tension_allowance": 200.0,
}


@pytest.fixture(scope="module")
def road_six():
    return road_six_and_surface()


@pytest.fixture(scope="module")
def span(road_six):
    build, surface = road_six
    return pulley_span(build, surface=surface)


@pytest.fixture(scope="module")
def capped(road_six):
    build, surface = road_six
    one = build.with_values(CAPPED)
    days = [one.known_days()[name] for name in ("mild", "freezing")]
    return one, pulley_span(one, days, surface=surface)


def differences(build, surface, span, diameters):
    """Limits on days that a single match judges otherwise than the bars, and how many were."""
    wrong, count = [], 0
    for diameter in diameters:
        for day in span.days:
            ledger = ledger_at(build, surface, diameter, day)
            for bar in span.bars:
                if bar.day != day or bar.case != AS_BUILT:
                    continue
                count += 1
                if bar.part == "target" and ledger["belt_slip"].value > 0.0:
                    # what a slipping belt leaves of it is not the span's to say: it is over there
                    assert is_over(ledger["belt_grip"])
                    continue
                inside = any(a <= diameter <= b for a, b in bar.allowed)
                if inside == is_over(ledger[bar.code]):
                    wrong.append((bar.code, day, float(diameter), ledger[bar.code].used))
    return wrong, count


def test_bars_agree_with_single_matches(road_six, span):
    wrong, count = differences(*road_six, span, np.arange(0.0455, 0.130, 0.003))
    assert count == 29 * (4 * 14 + 1)
    assert wrong == []


@pytest.mark.long
@pytest.mark.parametrize(
    ("changes", "step", "pulleys"),
    [({}, 5e-5, 1700), (MORE_BOOST, 5e-5, 1700)],
    ids=["road-six, every 0.05 mm", "more boost, every 0.05 mm"],
)
def test_bars_agree_with_single_matches_of_a_sweep(road_six, changes, step, pulleys):
    build, surface = road_six[0].with_values(changes), road_six[1]
    found = pulley_span(build, surface=surface)
    wrong, count = differences(build, surface, found, np.arange(0.045, 0.1299999, step))
    assert count == pulleys * (4 * 14 + 1)
    assert wrong == []


def assert_edges_named(build, surface, found):
    """The ledger of a match 0.05 mm beyond an edge names the limit; this side of it does not."""
    step, count = 5e-5, 0
    for bar in found.bars:
        edges = [stop.diameter for stop in bar.edges]
        for stop in bar.edges:
            if bar.case != AS_BUILT or sum(abs(x - stop.diameter) < 2 * step for x in edges) > 1:
                continue
            beyond = stop.diameter + (-step if stop.smaller else step)
            before = stop.diameter - (-step if stop.smaller else step)
            entry = ledger_at(build, surface, beyond, bar.day)[bar.code]
            assert is_over(entry), (bar.code, bar.day, beyond)
            assert not is_over(ledger_at(build, surface, before, bar.day)[bar.code])
            told = stop.entry
            assert (told.code, told.day, told.state) == (bar.code, bar.day, "over")
            assert told.used == pytest.approx(1.0, abs=2e-5)
            near = 2.0 * 50.0  # a neighbouring engine speed or two may take over on the way
            assert told.engine_speed_rpm == pytest.approx(entry.engine_speed_rpm, abs=near)
            assert (told.unit, told.bound) == (entry.unit, pytest.approx(entry.bound))
            count += 1
    return count


def test_every_edge_names_the_limit_the_ledger_names_there(road_six, span):
    assert assert_edges_named(*road_six, span) >= 26


def test_span_and_its_stops_against_the_whole_ledger(road_six):
    build, surface = road_six[0].with_values(MORE_BOOST), road_six[1]
    found = pulley_span(build, surface=surface)
    (one,) = found.allowed
    assert found.conflicts == ()
    assert (one.smaller.entry.code, one.smaller.days) == ("boost", ("freezing",))
    assert (one.larger.entry.code, one.larger.days) == ("target_power", ("mild",))

    def overs(diameter):
        return {
            (e.code, day)
            for day in found.days
            for e in ledger_at(build, surface, diameter, day).values()
            if e.part in ("parts", "target") and is_over(e)
        }

    assert overs(one.low - 5e-5) == {("boost", "freezing")}
    assert overs(one.low + 5e-5) == set()
    assert overs(one.high - 5e-5) == set()
    assert overs(one.high + 5e-5) == {("target_power", "mild")}


def test_impeller_edges_in_closed_form(road_six, span):
    build = road_six[0]
    drive, blower, engine = build.drive, build.blower, build.engine
    rows = {row.code: row.allowed[0] for row in span.rows}
    offset = 2.0 * drive.pitch_line
    gear = blower.compressor_map.built_in_step_up
    speeds = {"impeller_speed": engine.limiter, "impeller_speed_over_rev": 1.10 * engine.limiter}
    for code, speed in speeds.items():
        # creep 0.5 %
        pitch = 0.995 * speed * (drive.crank_pulley_diameter + offset) * gear
        edge = pitch / blower.maximum_impeller_speed - offset
        assert rows[code].low == pytest.approx(edge, abs=1e-7)
        assert rows[code].smaller.days == span.days
        assert rows[code].larger is None


def test_boost_edges_by_the_search_for_a_boost(road_six, span):
    build, surface = road_six
    for bar in span.bars:
        if bar.code != "boost":
            continue
        day = build.known_days()[bar.day]
        answer = pulley_for_boost(
            build, day, build.bounds.boost, build.engine.limiter, surface=surface
        )
        assert bar.edges[0].diameter == pytest.approx(answer.diameter, abs=1e-7)
        assert bar.edges[0].smaller


@pytest.mark.long
def test_choke_and_target_have_two_edges_under_a_cap(road_six, capped):
    build, found = capped
    rows = {row.code: row.allowed for row in found.rows}
    for code in ("choke_margin", "target_power"):
        (one,) = rows[code]
        assert one.smaller.entry.code == one.larger.entry.code == code
        day = one.smaller.days[0], one.larger.days[0]
        below = ledger_at(build, road_six[1], one.low - 1e-4, day[0])[code]
        above = ledger_at(build, road_six[1], one.high + 1e-4, day[1])[code]
        assert is_over(below)
        assert is_over(above)
    assert assert_edges_named(build, road_six[1], found) >= 12


def test_no_pulley_is_allowed_and_why(span):
    assert span.allowed == ()
    (conflict,) = span.conflicts
    assert conflict.members == (
        ("boost", "freezing", AS_BUILT),
        ("target_power", "mild", AS_BUILT),
    )
    rows = {row.code: row.allowed[0] for row in span.rows}
    assert conflict.gap == pytest.approx(rows["boost"].low - rows["target_power"].high)
    assert conflict.gap > 0.0


def test_a_limit_no_pulley_can_hold(road_six):
    build, surface = road_six
    found = pulley_span(
        build.with_value("bounds.piston_speed", 15.0),
        [build.known_days()["mild"]],
        surface=surface,
    )
    assert found.allowed == ()
    assert [c.members for c in found.conflicts] == [(("piston_speed", "mild", AS_BUILT),)]


@pytest.mark.parametrize("kind", ["free_shaft", "none"])
def test_builds_without_a_belt_are_refused(road_six, kind):
    changes = {"drive.kind": kind, "cooler.kind": "none"}
    with pytest.raises(InputError) as told:
        pulley_span(road_six[0].with_values(changes))
    assert str(told.value) == f"drive.kind: {kind!r} given; allowed: belt, to ask for pulleys"


def test_days_and_ranges_that_cannot_be_are_refused(road_six):
    build, surface = road_six
    mild = build.known_days()["mild"]
    with pytest.raises(InputError, match=r"^days: 0 given; allowed: one day or more"):
        pulley_span(build, [], surface=surface)
    with pytest.raises(InputError, match="days of different names"):
        pulley_span(build, [mild, mild], surface=surface)
    for search in ((0.08, 0.07), (0.01, 0.10), (0.05, 0.30), (0.05, float("nan"))):
        with pytest.raises(InputError, match=r"^search: "):
            pulley_span(build, [mild], search=search, surface=surface)


def test_range_reaches_the_present_pulley_and_the_shelf(road_six):
    build, surface = road_six
    shelf = dataclasses.replace(build, shelf=Shelf(pulleys=(0.042, 0.140, 0.300)))
    found = pulley_span(shelf, [build.known_days()["mild"]], surface=surface)
    assert found.search == (0.042, 0.250)
    asked = pulley_span(build, [build.known_days()["mild"]], search=(0.06, 0.07), surface=surface)
    assert asked.search == (0.06, 0.07)
