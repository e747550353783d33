"""The belt's drawing: to scale, every wrap and span told, the ghost, its numbers, its files."""

import csv
import io
from dataclasses import replace
from math import asin, degrees, hypot, pi

import numpy as np
import pytest
from PySide6.QtWidgets import QApplication

from app.chart_tools.export import export_csv, export_png, export_svg
from app.chart_tools.palette import DARK, LIGHT, PALETTES
from app.charts.belt_chart import BeltChart
from app.present.series_belt import belt_csv, belt_series, loose_series
from engine_model.sections import Drive
from tests.belt_plans import BLOWER, CRANK, FOUR, PAIR, SLID
from tests.chart_cases import colours, overlapping, sheet, show

__all__ = ["sheet"]
DRIVE = Drive(crank_pulley_diameter=0.18, blower_pulley_diameter=0.078)
FITTED = replace(DRIVE, fitted_pulley_diameter=0.084)
NEAR = replace(PAIR, pulleys=(CRANK, replace(BLOWER, x=0.10)))


def test_a_series_is_the_layout_in_display_units():
    series = belt_series(FOUR, DRIVE)
    assert [(c.name, c.role, c.x, c.y, c.radius, c.is_back) for c in series.circles] == [
        ("crank", "crank", 0.0, 0.0, 90.0, False),
        ("idler", "idler", 160.0, -100.0, 45.0, True),
        ("blower", "blower", 300.0, 0.0, 39.0, False),
        ("pump", "accessory", 150.0, 200.0, 60.0, False),
    ]
    inches = belt_series(FOUR, DRIVE, "us")
    assert inches.axis_words == ("x [in]", "y [in]")
    assert inches.circles[2].x == pytest.approx(300.0 / 25.4)
    np.testing.assert_allclose(inches.outline, series.outline / 25.4)
    # an arm of 80 by 70 mm that swings 15 deg either way
    reach = np.hypot(series.travel.way[:, 0] - 80.0, series.travel.way[:, 1] + 170.0)
    np.testing.assert_allclose(reach, hypot(80.0, 70.0))
    turned = np.arctan2(series.travel.way[:, 1] + 170.0, series.travel.way[:, 0] - 80.0)
    assert degrees(turned[-1] - turned[0]) == pytest.approx(30.0)
    assert series.travel.words == "travel -15 to 15 deg"
    assert belt_series(SLID, DRIVE).travel.words == "travel -10.0 to 10.0 mm"


def test_wraps_and_spans_are_told():
    series = belt_series(PAIR, DRIVE)
    lean = 2.0 * degrees(asin(0.5 * (0.18 - 0.078) / 0.3))
    assert [c.wrap for c in series.circles] == pytest.approx([180.0 + lean, 180.0 - lean])
    assert [span.name for span in series.spans] == ["slack span", "tight span"]
    # turning left the belt leaves the crank at its lower side, towards the blower
    assert series.spans[0].y < 0.0 < series.spans[1].y
    assert abs(series.spans[0].angle) < 0.5 * pi < abs(series.spans[1].angle)
    right = belt_series(replace(PAIR, sense="right"), DRIVE)
    assert right.spans[1].y < 0.0 < right.spans[0].y


def test_the_present_pulley_is_a_ghost_over_the_fitted_one():
    series = belt_series(PAIR, FITTED)
    assert (series.circles[1].radius, series.ghost_circle.radius) == (42.0, 39.0)
    assert len(series.ghost_outline)
    words = series.words, series.ghost_words
    assert words[0].startswith("fitted pulley 84.0 mm: belt ")
    assert words[1].startswith("present pulley 78.0 mm: belt ")
    lengths = [float(w.split("belt ")[1].split(" mm")[0]) for w in words]
    assert lengths[1] - lengths[0] == pytest.approx(-8.5, abs=0.15)
    same = belt_series(PAIR, DRIVE)
    assert (same.ghost_circle, same.ghost_words) == (None, "")
    assert same.words.startswith("blower pulley 78.0 mm: belt ")
    wide = replace(FITTED, blower_pulley_diameter=0.25)
    close = replace(PAIR, pulleys=(CRANK, replace(BLOWER, x=0.20)))
    assert belt_series(close, wide).ghost_words == (
        "present pulley 250.0 mm: the belt cannot run round it"
    )


def test_pulleys_of_a_layout_at_fault_are_drawn_without_a_belt(sheet):
    series = belt_series(NEAR, DRIVE)
    assert series.fault == (
        "crank and blower with centres 100.0 mm apart given; allowed: more than 129.0 mm, so that "
        "the two do not overlap"
    )
    assert [c.radius for c in series.circles] == [90.0, 39.0]
    chart = show(sheet, BeltChart())
    chart.set_belt(series)
    QApplication.processEvents()
    assert LIGHT.line not in colours(chart)
    assert "no belt is drawn" in chart.accessibleName()
    chart.set_belt(loose_series((), DRIVE))
    assert np.isnan(chart.series.extent).all()
    chart.set_belt(None)
    assert chart.placed_texts == ()


@pytest.mark.parametrize("size", [(900, 600), (420, 760), (300, 260)])
@pytest.mark.parametrize("plan", [PAIR, SLID, FOUR], ids=["pair", "slide", "arm"])
def test_the_drawing_is_to_scale_and_whole(sheet, plan, size):
    chart = show(sheet, BeltChart(), *size)
    chart.set_belt(belt_series(plan, FITTED))
    QApplication.processEvents()
    frame = chart._plot.fixed.frame
    across = frame.width / (frame.right - frame.left)
    assert across == pytest.approx(frame.height / (frame.top - frame.bottom), rel=1e-9)
    left, right, bottom, top = chart.series.extent
    assert frame.left < left < right < frame.right
    assert frame.bottom < bottom < top < frame.top


@pytest.mark.parametrize("scale", [1.0, 2.0])
@pytest.mark.parametrize("plan", [PAIR, SLID, FOUR], ids=["pair", "slide", "arm"])
def test_texts_keep_clear_of_each_other_and_of_the_belt(sheet, plan, scale):
    chart = show(sheet, BeltChart(palette=replace(LIGHT, text_scale=scale)), 900, 640)
    chart.set_belt(belt_series(plan, FITTED))
    QApplication.processEvents()
    texts = chart.placed_texts
    assert overlapping(texts) == []
    words = [text for text, _ in texts]
    assert {"crank", "blower", "slack span", "tight span"} <= set(words)
    assert sum(word.startswith("wrap ") for word in words) == len(plan.pulleys) + 1
    frame, outline = chart._plot.fixed.frame, chart.series.outline
    x, y = frame.x(outline[:, 0]), frame.y(outline[:, 1])
    assert not any(box.holds(x, y).any() for _, box in texts)
    assert all(box.inside(frame.width, frame.height) for _, box in texts)


@pytest.mark.parametrize("palette", PALETTES, ids=lambda palette: palette.name)
def test_the_drawing_takes_a_palette(sheet, palette):
    chart = show(sheet, BeltChart())
    chart.set_belt(belt_series(FOUR, FITTED))
    chart.set_palette(palette)
    QApplication.processEvents()
    painted = colours(chart)
    assert {palette.background, palette.canvas, palette.line, palette.second} <= painted
    other = DARK if palette is LIGHT else LIGHT
    assert not {other.canvas, other.line} & painted or other.canvas == palette.line


def test_the_drawing_is_written_as_the_other_charts_are(sheet, tmp_path):
    chart = show(sheet, BeltChart())
    chart.set_belt(belt_series(FOUR, FITTED, "us"))
    QApplication.processEvents()
    export_png([chart], tmp_path / "belt.png", LIGHT.background, 2.0)
    export_svg([chart], tmp_path / "belt.svg", LIGHT.background, "Belt")
    export_csv(belt_csv(chart.series, (("build", "one"),)), tmp_path / "belt.csv")
    assert (tmp_path / "belt.png").stat().st_size > 10_000
    assert "slack span" in (tmp_path / "belt.svg").read_text(encoding="utf-8")
    rows = list(csv.reader(io.StringIO((tmp_path / "belt.csv").read_text(encoding="utf-8"))))
    assert rows[0] == [
        "part", "name", "x [in]", "y [in]", "diameter [in]", "wrap [deg]", "build",
    ]  # fmt: skip
    assert [row[:2] for row in rows[1:6]] == [
        ["crank", "crank"],
        ["idler", "idler"],
        ["blower", "blower"],
        ["accessory", "pump"],
        ["present blower", "blower"],
    ]
    assert float(rows[1][4]) == pytest.approx(180.0 / 25.4, abs=1e-6)
    parts = [row[0] for row in rows[6:]]
    assert set(parts) == {"pitch line", "pitch line of the present pulley"}
    assert {row[-1] for row in rows[1:]} == {"one"}
