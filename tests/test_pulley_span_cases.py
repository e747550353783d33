"""The pulley span: worst cases, what is not judged, single pulleys and arrays for drawing."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hand_lines import line_of
from span_matches import CAPPED, PULLEY, ledger_at, road_six_and_surface

from engine_model.inputs import Shelf
from engine_model.limits.judging import Verdict
from engine_model.matching import match, pulley_for_boost
from engine_model.studies.pulley_span import pulley_span
from engine_model.studies.span_cases import no_balance
from engine_model.studies.span_records import AS_BUILT, STUCK_SHUT, WorstCase


@pytest.fixture(scope="module")
def road_six():
    return road_six_and_surface()


@pytest.fixture(scope="module")
def span(road_six):
    build, surface = road_six
    return pulley_span(build, surface=surface)


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


UNBOUND = ("torque", "power_bound", "exhaust_pressure", "manifold_sensor", "air_meter")


def test_limits_not_judged_are_named(road_six, span):
    build, surface = road_six
    mild, hot = (build.known_days()[name] for name in ("mild", "hot"))
    found = pulley_span(build.with_value("bounds.boost", None), [mild], surface=surface)
    assert [(one.code, one.basis) for one in found.not_judged] == [
        ("boost", "no bound given: not judged"),
        (
            "hub_load",
            "vector sum of both spans over the centrifugal tension; told, the maker's figure is "
            "not given",
        ),
        (
            "belt_shift",
            "inertia alone, 2000 rpm lost in 0.15 s from the limiter, tight and slack side "
            "changed; told, not judged",
        ),
        ("fuel_pump", "no pump flow given: not judged"),
        *((code, "no bound given: not judged") for code in UNBOUND),
    ]
    assert "boost" not in {bar.code for bar in found.bars}
    # the target belongs to the mild day
    assert {bar.day for bar in span.bars if bar.code == "target_power"} == {"mild"}
    away = pulley_span(build, [hot], surface=surface)
    assert [one.code for one in away.not_judged] == [
        "hub_load",
        "belt_shift",
        "fuel_pump",
        *UNBOUND,
        "target_power",
    ]


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

    found = no_balance(line, [verdict(0.5, 0.5, 0.5), verdict(np.nan, 0.9, 1.2)])
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
            found = match(one, build.known_days()[name], surface=surface)
            # the span lies on the branch without slip
            line = found.line_without_slip or found.line
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
        getattr(span.curves, f.name) for f in dataclasses.fields(span.curves) if f.name != "days"
    ]
    for array in arrays:
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 0.0
