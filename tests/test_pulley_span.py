"""The pulley span against single matches, closed forms and another solver.

The sweeps call ``match`` for each pulley; nothing of the study stands between.
"""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hand_lines import line_of

from app.paths import sample_builds
from engine_model.errors import InputError
from engine_model.files.build_file import load_build
from engine_model.inputs import Shelf
from engine_model.limits.judging import Verdict
from engine_model.matching import match, pulley_for_boost
from engine_model.problem import surface_of
from engine_model.studies.pulley_span import pulley_span
from engine_model.studies.span_cases import _no_balance
from engine_model.studies.span_records import AS_BUILT, STUCK_SHUT, WorstCase

PULLEY = "drive.blower_pulley_diameter"
MORE_BOOST = {"bounds.boost": 65e3, "bounds.charge_temperature": 345.0}
CAPPED = {"bypass.boost_cap": 50e3}


@pytest.fixture(scope="module")
def road_six():
    build = load_build(sample_builds()["road-six"])
    return build, surface_of(build)


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


def ledger_at(build, surface, diameter, day):
    one = build.with_value(PULLEY, float(diameter))
    return {e.code: e for e in match(one, build.known_days()[day], surface=surface).ledger}


def is_over(entry):
    return entry.used > 1.0 + 1e-9


def differences(build, surface, span, diameters):
    """Limits on days that a single match judges otherwise than the bars, and how many were."""
    wrong, count = [], 0
    for diameter in diameters:
        for day in span.days:
            ledger = ledger_at(build, surface, diameter, day)
            for bar in span.bars:
                if bar.day != day or bar.case != AS_BUILT:
                    continue
                inside = any(a <= diameter <= b for a, b in bar.allowed)
                if inside == is_over(ledger[bar.code]):
                    wrong.append((bar.code, day, float(diameter), ledger[bar.code].used))
                count += 1
    return wrong, count


def test_bars_agree_with_single_matches(road_six, span):
    wrong, count = differences(*road_six, span, np.arange(0.0455, 0.130, 0.003))
    assert count == 29 * (4 * 9 + 1)
    assert wrong == []


@pytest.mark.long
@pytest.mark.parametrize("changes", [{}, MORE_BOOST], ids=["road-six", "more boost"])
def test_bars_agree_with_single_matches_every_twentieth_of_a_millimetre(road_six, changes):
    build, surface = road_six[0].with_values(changes), road_six[1]
    found = pulley_span(build, surface=surface)
    wrong, count = differences(build, surface, found, np.arange(0.045, 0.130, 0.00005))
    assert count == 1700 * (4 * 9 + 1)
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
    offset = 2.0 * drive.pitch_offset
    gear = blower.compressor_map.built_in_step_up
    speeds = {"impeller_speed": engine.limiter, "impeller_speed_over_rev": 1.10 * engine.limiter}
    for code, speed in speeds.items():
        pitch = speed * (drive.crank_pulley_diameter + offset) * gear
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


def test_without_a_missed_shift_the_limiter_counts(road_six):
    build, surface = road_six
    mild = [build.known_days()["mild"]]
    found = pulley_span(build, mild, worst=WorstCase(missed_shift=False), surface=surface)
    rows = {row.code: row for row in found.rows}
    assert "impeller_speed_over_rev" not in rows
    with_it = {row.code: row for row in pulley_span(build, mild, surface=surface).rows}
    assert rows["impeller_speed"] == with_it["impeller_speed"]
    # the tip: pi D n/60 at the limiter against 500 m/s; too slow there even for 45 mm
    assert with_it["tip_speed"].allowed[0].smaller.entry.engine_speed_rpm == pytest.approx(7480.0)
    assert rows["tip_speed"].allowed[0].smaller is None


def test_bypass_stuck_shut_is_taken_with_the_freezing_day(road_six):
    build, surface = road_six[0].with_values(CAPPED), road_six[1]
    mild = build.known_days()["mild"]
    worst = WorstCase(bypass_stuck_shut=True)
    found = pulley_span(build, [mild], worst=worst, search=(0.055, 0.080), surface=surface)
    assert found.days == ("mild",)
    shut = {(bar.code, bar.day): bar for bar in found.bars if bar.case == STUCK_SHUT}
    assert {day for _, day in shut} == {"mild", "freezing"}
    assert "target_power" not in {code for code, _ in shut}
    free = build.with_value("bypass.boost_cap", None)
    answer = pulley_for_boost(free, build.known_days()["freezing"], 55e3, 6800.0, surface=surface)
    (edge,) = shut["boost", "freezing"].edges
    assert edge.diameter == pytest.approx(answer.diameter, abs=1e-7)
    assert edge.case == STUCK_SHUT
    # the cap is under the bound: as built nothing is over
    as_built = [bar for bar in found.bars if bar.code == "boost" and bar.case == AS_BUILT]
    assert [bar.edges for bar in as_built] == [()]


def test_without_a_cap_only_the_freezing_day_is_added(road_six):
    build, surface = road_six
    days = build.known_days()
    worst = WorstCase(bypass_stuck_shut=True)
    found = pulley_span(build, [days["mild"]], worst=worst, surface=surface)
    assert {bar.day for bar in found.bars if bar.case == STUCK_SHUT} == {"freezing"}
    there = pulley_span(build, [days["freezing"]], worst=worst, surface=surface)
    assert {bar.case for bar in there.bars} == {AS_BUILT}


def test_limits_not_judged_are_named(road_six, span):
    build, surface = road_six
    mild, hot = (build.known_days()[name] for name in ("mild", "hot"))
    found = pulley_span(build.with_value("bounds.boost", None), [mild], surface=surface)
    assert [(one.code, one.basis) for one in found.not_judged] == [
        ("boost", "no bound given: not judged")
    ]
    assert "boost" not in {bar.code for bar in found.bars}
    # the target belongs to the mild day
    assert {bar.day for bar in span.bars if bar.code == "target_power"} == {"mild"}
    away = pulley_span(build, [hot], surface=surface)
    assert [one.code for one in away.not_judged] == ["target_power"]


def test_surge_is_not_judged_under_its_pressure_ratio(road_six, span):
    build, surface = road_six
    for bar in span.bars:
        if bar.code != "surge_margin":
            assert bar.blank == ()
            continue
        ((begins, ends),) = bar.blank
        assert ends == span.search[1]
        line = match(
            build.with_value(PULLEY, begins), build.known_days()[bar.day], surface=surface
        ).line
        assert np.max(line.pressure_ratio) == pytest.approx(1.30, abs=2e-3)


def test_lines_without_a_solution_never_pass_as_allowed():
    flow = [[0.1, np.nan, 0.3], [0.1, 0.2, 0.3], [np.nan, 0.2, 0.3]]
    line = line_of(3, air_flow_kg_s=flow)
    nothing = np.full(3, np.nan)

    def verdict(*used):
        return Verdict(np.array(used), nothing, nothing, nothing, "")

    found = _no_balance(line, [verdict(0.5, 0.5, 0.5), verdict(np.nan, 0.9, 1.2)])
    assert found.used.tolist() == [2.0, 0.0, 0.0]
    assert found.engine_speed[0] == 5000.0
    assert np.all(np.isnan(found.engine_speed[1:]))


def test_pulleys_at_hand_have_the_state_of_their_ledger(road_six):
    build = dataclasses.replace(road_six[0], shelf=Shelf(pulleys=(0.0600, 0.0678, 0.110)))
    build = build.with_value("bounds.boost", 70e3)
    days = [build.known_days()[name] for name in ("mild", "hot")]
    found = pulley_span(build, days, surface=road_six[1])
    assert [one.diameter for one in found.shelf] == [0.0600, 0.0678, 0.110]
    assert found.present.diameter == 0.066
    for one in (found.present, *found.shelf):
        entries = [
            e
            for day in found.days
            for e in ledger_at(build, road_six[1], one.diameter, day).values()
            if e.part in ("parts", "target") and e.state != "blank"
        ]
        worst = max(entries, key=lambda e: e.used)
        assert one.state == worst.state
        assert (one.entry.code, one.entry.day) == (worst.code, worst.day)
        assert one.entry.used == pytest.approx(worst.used, rel=1e-9)
    assert {one.state for one in found.shelf} == {"over", "close"}


def test_curves_are_those_of_single_matches(road_six, span):
    build, surface = road_six
    curves = span.curves
    for column in (0, 14, 36):
        diameter = float(curves.diameter[column])
        for row, name in enumerate(curves.days):
            one = build.with_value(PULLEY, diameter)
            line = match(one, build.known_days()[name], surface=surface).line
            pairs = (
                (curves.wheel_power_peak_w, np.nanmax(line.wheel_power_w)),
                (curves.wheel_power_limiter_w, line.wheel_power_w[-1]),
                (curves.flywheel_power_peak_w, np.nanmax(line.flywheel_power_w)),
                (curves.flywheel_power_limiter_w, line.flywheel_power_w[-1]),
                (curves.boost_peak_pa, np.nanmax(line.boost_gauge_pa)),
                (curves.boost_limiter_pa, line.boost_gauge_pa[-1]),
            )
            for values, expected in pairs:
                assert values[row, column] == pytest.approx(expected, rel=1e-9, nan_ok=True)


def test_shares_for_drawing_are_those_of_the_ledger(road_six, span):
    day, column = "hot", 20
    ledger = ledger_at(*road_six, span.curves.diameter[column], day)
    for bar in span.bars:
        if bar.day == day:
            used = ledger[bar.code].used
            assert bar.used[column] == pytest.approx(used, rel=1e-9, nan_ok=True)


def test_arrays_are_read_only(span):
    arrays = [bar.used for bar in span.bars]
    arrays += [
        getattr(span.curves, f.name)
        for f in dataclasses.fields(span.curves)
        if f.name != "days"
    ]
    for array in arrays:
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 0.0
