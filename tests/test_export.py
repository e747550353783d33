"""Exports of the charts: real files read back, their numbers those of the match."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication

from app.chart_tools.export import Caption, picture_of
from app.gui.export_dialog import SCALES, ExportChoice
from app.gui.places.line.chart_export import ALL_STRIPS, MAP, charts_of
from app.present.caption import caption_rows
from app.present.cautions import CAUTIONS
from app.present.pins import pinned_build
from app.present.series import US_CHARTS, strips_csv, strips_of
from engine_model.matching import match
from engine_model.units import to_si
from tests.export_bench import SVG, TODAY, svg_texts, told, window

__all__ = ["told", "window"]


def table(text):
    rows = list(csv.reader(io.StringIO(text)))
    return rows[0], rows[1:]


def pinned_match(window, number):
    document = window.document
    return match(pinned_build(document.build, document.build.pins[number]), document.day)


@pytest.mark.parametrize("chart", [MAP, ALL_STRIPS, "boost"])
def test_a_png_has_the_scale_asked_and_its_caption(window, tmp_path, told, chart):
    for scale in SCALES:
        with window.line.drawing.shown(chart) as shown:
            size = shown.view.viewport().size()
            bare = shown.picture(scale)
            ground = shown.palette.background
        window.work.exporting.write(ExportChoice(chart, "png", scale), tmp_path / "a.png")
        image = QImage(str(tmp_path / "a.png"))
        tall = round(scale * size.height())
        caption = image.height() - tall
        assert image.width() == scale * size.width()
        assert 30 * scale < caption < 100 * scale
        # above, the chart as it is without a caption; below, dark words on the ground
        assert image.copy(0, 0, image.width(), tall) == bare.convertToFormat(image.format())
        foot = image.copy(0, tall, image.width(), caption)
        grey = foot.convertToFormat(QImage.Format.Format_Grayscale8)
        pixels = np.frombuffer(grey.constBits(), np.uint8).reshape(foot.height(), -1)
        assert foot.pixelColor(2, 2).name() == ground
        assert 0.01 < (pixels[:, : foot.width()] < 120).mean() < 0.5
        window.line.say("")
    assert told == []


def test_the_caption_says_what_when_and_that_it_is_an_estimate(window):
    build, day = window.document.build, window.document.day
    rows = caption_rows(match(build, day), TODAY, "us", "Corner shop")
    assert rows == (
        f"{build.title} (invented) | {day.name} day (68.0 °F, 0 ft) | 2031-03-09 | Corner shop",
        "Estimates, not a release. Part makers' limits, local codes and qualified people come "
        "first.",
    )
    typed = match(build, replace(day, pressure=90e3))
    assert "day (20.0 °C, 90.00 kPa)" in caption_rows(typed, TODAY)[0]


def test_a_long_title_is_wrapped_and_cut_and_the_estimate_stays(window):
    chart = window.line.map
    heights = [
        picture_of([chart], "#ffffff", 1.0, Caption((title, "Estimates"), "#000000")).height()
        for title in ("short", "word " * 400, "x" * 5000)
    ]
    one, many, wide = (height - chart.viewport().height() for height in heights)
    assert many > one + 20
    assert many < 2.5 * one
    assert wide == one


def test_an_svg_holds_its_words_as_text(window, tmp_path):
    axis = "Engine speed [rpm]"
    for chart, wanted in {
        MAP: {"surge side", "choke side", "small one", "large one"},
        ALL_STRIPS: {"Boost, gauge [bar]", "Power, as on the day [kW]", axis, "large one"},
        "power": {"Power, as on the day [kW]", axis, "small one", "large one", "stock engine"},
    }.items():
        window.work.exporting.write(ExportChoice(chart, "svg"), tmp_path / "a.svg")
        texts, root = svg_texts(tmp_path / "a.svg")
        assert wanted <= texts
        assert ("Boost, gauge [bar]" in texts) == (chart == ALL_STRIPS)
        assert any("Corrected air flow [kg/s]" in text for text in texts) == (chart == MAP)
        words = " ".join(texts)
        assert window.document.build.title in words
        assert "2031-03-09" in words
        assert "Estimates, not a release." in words
        # vectors only
        assert list(root.iter(f"{SVG}image")) == []


def test_the_maps_csv_is_the_match(window, tmp_path):
    window.work.exporting.write(ExportChoice(MAP, "csv"), tmp_path / "a.csv")
    header, rows = table((tmp_path / "a.csv").read_text(encoding="utf-8"))
    assert header[:2] == ["curve", "value"]
    assert header[2].startswith("Corrected air flow [kg/s]")
    snapshot = window.line.snapshot
    surface = snapshot.surface
    cmap = surface.compressor_map

    def points(curve, pin=""):
        chosen = [row for row in rows if row[0] == curve and row[4] == pin]
        return np.array([[float(v or "nan") for v in row[1:4]] for row in chosen])

    for pin, one in (
        ("", snapshot.match),
        ("small one", pinned_match(window, 0)),
        ("large one", pinned_match(window, 1)),
    ):
        kind = "pinned" if pin else "operating"
        found = points(f"{kind} line, engine speed [rpm]", pin)
        line = one.line
        np.testing.assert_allclose(found[:, 0], line.engine_speed_rpm, rtol=1e-6)
        np.testing.assert_allclose(found[:, 1], line.corrected_flow_kg_s, rtol=1e-6)
        np.testing.assert_allclose(found[:, 2], line.pressure_ratio, rtol=1e-6)
    assert [row[5] for row in rows if row[0].startswith("operating")] == list(
        snapshot.match.line.region
    )
    speeds = {float(row[1]) for row in rows if row[0] == "speed line [rpm]"}
    assert speeds == {line.corrected_speed for line in cmap.speed_lines}
    levels = {float(row[1]) for row in rows if row[0] == "efficiency outline [-]"}
    assert levels == {island.efficiency for island in cmap.islands}
    surge = np.array([[float(v) for v in row[2:4]] for row in rows if row[0] == "surge line"])
    ends = [surface.line(cmap.speed_lines[k].corrected_speed, 0.0)[:2] for k in (0, -1)]
    np.testing.assert_allclose(surge[[0, -1]], np.array(ends, dtype=float), rtol=1e-6)
    assert any(row[0] == "choke line" for row in rows)


def test_the_strips_csv_is_the_match_with_pins_as_columns(window, tmp_path):
    window.preferences.change(system="us")
    QApplication.processEvents()
    window.work.exporting.write(ExportChoice(ALL_STRIPS, "csv"), tmp_path / "a.csv")
    header, rows = table((tmp_path / "a.csv").read_text(encoding="utf-8"))
    # of what, and that they are estimates, at the end of every row
    assert header[-4:] == ["build", "day", "written", "caution"]
    assert {tuple(row[-4:-1]) for row in rows} == {("Road six (invented)", "mild", "2031-03-09")}
    assert {row[-1] for row in rows} == {CAUTIONS["general"]}
    header = header[:-4]
    numbers = np.array([[float(v or "nan") for v in row[:-4]] for row in rows])
    where = {name: k for k, name in enumerate(header)}
    assert len(where) == len(header)
    assert all(name.endswith("]") for name in header)
    own = window.line.snapshot.match
    for before, one in (
        ("", own),
        ("small one: ", pinned_match(window, 0)),
        ("large one: ", pinned_match(window, 1)),
    ):
        wheel = numbers[:, where[f"{before}Power, as on the day, wheel [hp]"]]
        np.testing.assert_allclose(to_si(wheel, "hp", "power"), one.line.wheel_power_w, rtol=1e-6)
        boost = numbers[:, where[f"{before}Boost, gauge, boost [psi]"]]
        np.testing.assert_allclose(
            to_si(boost, "psi", "pressure"), one.line.boost_gauge_pa, rtol=1e-6, atol=1e-3
        )
    stock = numbers[:, where["stock: Power, as on the day, flywheel [hp]"]]
    expected = window.line.snapshot.stock.flywheel_power_w
    np.testing.assert_allclose(to_si(stock, "hp", "power"), expected, rtol=1e-6)
    target = numbers[:, where["Power, as on the day, target [hp]"]]
    np.testing.assert_allclose(to_si(target, "hp", "power"), own.build.target.power, rtol=1e-6)


def test_a_line_on_other_speeds_keeps_its_own_rows(sample_build):
    build = sample_build("frame-95-middle")
    own = strips_of(match(build, rpm=[3000.0, 5000.0]), ("boost",), US_CHARTS)
    other = strips_of(match(build, rpm=[4000.0, 5000.0]), ("boost",), US_CHARTS)
    header, rows = table(strips_csv(own, [(other, "pin")]))
    assert header == [
        "engine speed [rpm]", "Boost, gauge, boost [psi]", "pin: Boost, gauge, boost [psi]"
    ]  # fmt: skip
    assert [row[0] for row in rows] == ["3000", "4000", "5000"]
    assert [[bool(cell) for cell in row[1:]] for row in rows] == [
        [True, False], [False, True], [True, True]
    ]  # fmt: skip
    assert rows[2][1] == rows[2][2]


def test_a_strip_alone_leaves_no_widget(window, tmp_path):
    before = set(QApplication.topLevelWidgets())
    for kind in ("png", "svg", "csv"):
        window.work.exporting.write(ExportChoice("boost", kind), tmp_path / f"a.{kind}")
        assert (tmp_path / f"a.{kind}").stat().st_size > 400
    assert set(QApplication.topLevelWidgets()) == before
    with pytest.raises(KeyError):
        window.line.drawing.export("png", tmp_path / "b.png", "torque")


def test_no_map_no_export_of_it(window, tmp_path):
    window.document.edit("drive.kind", "none")
    for _ in range(4):
        QApplication.processEvents()
        window.recompute.compute()
    charts = charts_of(window.line.map, window.line.strips)
    assert MAP not in charts
    assert ALL_STRIPS in charts
    window.work.exporting.write(ExportChoice(ALL_STRIPS, "csv"), tmp_path / "a.csv")
    header, rows = table((tmp_path / "a.csv").read_text(encoding="utf-8"))
    assert rows[5][header.index("Power, as on the day, flywheel [kW]")]
