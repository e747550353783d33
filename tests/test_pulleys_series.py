"""Series of the pulley span: edges as found, states between them, words, numbers."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest
from pulley_cases import DAYS, SHELF, blank_span, made_span, sample_span

from app.present.pulley_grid_words import (
    cell_words,
    grid_columns,
    grid_rows,
    grid_table,
    hand_rows,
)
from app.present.series_pulley_curves import pulley_curves_csv, pulley_curves_series, span_csv
from app.present.series_pulleys import span_series
from app.present.span_words import between, span_answer
from engine_model.studies.pulley_grid import CRANK, RIBS, pulley_grid

MM = 1e-3


def states(bar):
    return [(round(s.start, 6), round(s.stop, 6), s.state) for s in bar.stretches]


def test_stretches_of_a_bar_by_hand():
    series = span_series(made_span())
    (boost,) = next(g for g in series.groups if g.title == "Boost").bars
    assert (boost.days, boost.name) == (DAYS, "every day")
    # close from 0.9, which lies half way between 60 (1.0) and 65 mm (0.8)
    assert states(boost) == [
        (50.0, 60.0, "over"),
        (60.0, 62.5, "close"),
        (62.5, 67.5, "clear"),
        (67.5, 70.0, "close"),
        (70.0, 80.0, "over"),
        (80.0, 90.0, "close"),
        (90.0, 100.0, "over"),
    ]
    assert [(one.low, one.high) for one in series.allowed] == [(60.0, 70.0), (80.0, 90.0)]
    assert series.verdict == "Allowed: 60.0 to 70.0 mm and 80.0 to 90.0 mm"
    assert series.allowed[0].smaller == "smaller: Boost, every day"
    assert series.quiet == "Clear at every pulley: Surge margin"
    assert series.used_at(boost, 61.25) == pytest.approx(0.95)
    assert series.used_at(boost, 75.0) == pytest.approx(1.2)


@pytest.mark.parametrize("units", ["si", "us"])
@pytest.mark.parametrize("shut", [False, True])
def test_states_follow_the_edges_of_the_study(units, shut):
    span = sample_span(more=True, shut=shut)
    series = span_series(span, units)
    unit = series.unit_in_m
    assert unit == pytest.approx({"si": 1e-3, "us": 0.0254}[units], rel=1e-12)
    by_day = {(bar.code, bar.case, day): bar for bar in series.bars for day in bar.days}
    seen = 0
    for bar in span.bars:
        shown = by_day.get((bar.code, bar.case, bar.day))
        if shown is None:
            continue
        over = [s for s in shown.stretches if s.state == "over"]
        ends = {round(x * unit, 7) for s in over for x in (s.start, s.stop)}
        edges = {round(stop.diameter, 7) for stop in bar.edges}
        assert edges <= ends
        assert ends - edges <= {round(x, 7) for x in span.search}
        for x, used in zip(span.curves.diameter, bar.used, strict=True):
            state = shown.state_at(float(x) / unit)
            assert np.isnan(used) == (state == "blank")
            assert (used > 1.0) == (state == "over")
        assert shown.stretches[0].start * unit == pytest.approx(span.search[0])
        assert shown.stretches[-1].stop * unit == pytest.approx(span.search[1])
        for one, after in zip(shown.stretches[:-1], shown.stretches[1:], strict=True):
            assert one.stop == after.start
            assert one.state != after.state
        seen += 1
    assert seen > 20


def test_days_that_are_alike_share_a_bar():
    series = span_series(sample_span())
    names = {g.title: [bar.name for bar in g.bars] for g in series.groups}
    assert names["Impeller at over-rev"] == ["every day"]
    assert names["Boost"] == ["mild", "hot", "freezing", "hot and high"]
    assert "Piston speed" not in names
    assert series.quiet == "Clear at every pulley: Piston speed"
    assert series.verdict == "No pulley is allowed"
    assert series.more.startswith("Boost (freezing day) and Power asked by the target (mild day)")


def test_nothing_judged_is_blank():
    series = span_series(blank_span())
    assert series.groups == ()
    assert series.tightest_at(66.0) is None
    assert series.allowed[0].smaller == "smaller: nothing within the range looked at"
    curves = pulley_curves_series(blank_span())
    assert all(plot.value_range[0] < plot.value_range[1] for plot in curves.plots)


def test_answer_in_words():
    verdict, rows, asked = span_answer(sample_span(more=True))
    assert verdict == "Allowed: 63.9 to 67.9 mm"
    assert rows[0].startswith("smaller: Boost (freezing day): boost just over 0.65 bar")
    assert rows[1].startswith("larger: Power asked by the target (mild day): ")
    assert asked.startswith("Blower pulleys from 45.0 mm to 130.0 mm on the days mild; hot; ")
    assert between("61.5 mm", "61.5 mm") == "61.5 mm"


def test_curves_put_the_power_of_the_target_first():
    curves = pulley_curves_series(sample_span(), "us")
    assert [plot.title for plot in curves.plots] == ["Wheel power", "Flywheel power", "Boost"]
    wheel = curves.plots[0]
    # 225 kW are 301.73 hp of 550 ft lbf/s (NIST SP 811)
    assert wheel.target == pytest.approx(301.73, abs=0.01)
    assert wheel.target_words == "target 302 hp, mild day"
    assert np.isnan(curves.plots[1].target)
    tow = pulley_curves_series(sample_span("tow-eight"))
    assert [plot.key for plot in tow.plots] == ["flywheel", "wheel", "boost"]


def test_numbers_of_the_span():
    rows = list(csv.DictReader(io.StringIO(span_csv(span_series(made_span()), 66.0))))
    told = [r for r in rows if r["what"].startswith("allowed")]
    assert [float(r["pulley [mm]"]) for r in told] == [60.0, 70.0, 80.0, 90.0]
    assert told[0]["state or stop"] == "smaller: Boost, every day"
    assert next(r for r in rows if r["what"] == "present pulley")["pulley [mm]"] == "66"
    (hand,) = [r for r in rows if r["what"] == "pulley at hand"]
    assert (hand["pulley [mm]"], hand["used [-]"], hand["state or stop"]) == ("65", "0.8", "clear")
    boost = [r for r in rows if r["what"] == "Boost"]
    assert {r["days"] for r in boost} == {"mild; hot"}
    at_55 = next(r for r in boost if r["pulley [mm]"] == "55")
    assert float(at_55["used [-]"]) == pytest.approx(1.25)


def test_numbers_of_the_curves():
    about = (("build", "by hand"),)
    text = pulley_curves_csv(pulley_curves_series(made_span()), about)
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [float(r["pulley [mm]"]) for r in rows] == pytest.approx(np.linspace(50, 100, 11))
    wheel = [float(r["Wheel power, highest, mild day [kW]"]) for r in rows]
    assert wheel == pytest.approx(np.linspace(300.0, 200.0, 11))
    boost = [float(r["Boost, at the limiter, hot day [bar]"]) for r in rows]
    assert boost == pytest.approx(np.linspace(0.56, 0.38, 11))
    assert {r["Wheel power, target [kW]"] for r in rows} == {"225"}
    assert {r["build"] for r in rows} == {"by hand"}


def test_sizes_of_a_grid():
    span = sample_span(more=True)
    shelf = grid_columns(span, SHELF)
    assert len(shelf) == 9
    assert set(shelf) <= set(SHELF)
    assert 0.066 in shelf
    free = grid_columns(span, ())
    assert 5 <= len(free) <= 9
    np.testing.assert_allclose(np.array(free) / 2.5e-3, np.round(np.array(free) / 2.5e-3))
    assert free[0] < span.allowed[0].low < span.allowed[0].high < free[-1]
    inches = np.array(grid_columns(span, (), "us")) / 0.0254 / 0.1
    np.testing.assert_allclose(inches, np.round(inches))
    build = span.build
    np.testing.assert_allclose(grid_rows(build, CRANK), [0.16, 0.17, 0.18, 0.19, 0.20])
    assert grid_rows(build.with_value("drive.ribs", 1), RIBS) == [1.0, 2.0, 3.0]


def test_words_of_a_grid_and_of_the_pulleys_at_hand():
    span = sample_span()
    build = span.build
    days = [build.known_days()["freezing"]]
    grid = pulley_grid(build, days, (0.060, 0.072), crank_diameters=(0.18,))
    words = cell_words(grid, 0.18, grid.cells[0][0], build)
    start = "Blower pulley 60.0 mm, crank pulley 180.0 mm: over. Boost: boost "
    assert words.startswith(start)
    assert words.endswith("most 0.55 bar (freezing day)")
    table = grid_table(grid)
    assert table[0] == ["Crank pulley / blower pulley", "60.0 mm", "72.0 mm"]
    assert table[1][0] == "180.0 mm"
    assert table[1][1].startswith("over ")
    rows = hand_rows(span)
    assert [row[0] for row in rows[1:]] == ["present", *["shelf"] * len(SHELF)]
    assert rows[1][1:6] == ["66.0 mm", "over", "109 %", "Boost", "freezing"]
