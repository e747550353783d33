"""What the charts write: PNG, SVG, CSV, and the picture of a match."""

import csv
import io
import os
import subprocess
import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QWidget

from app.chart_tools.export import export_csv, export_png, export_svg, picture_of
from app.chart_tools.palette import DARK, LIGHT
from app.charts.compressor_chart import CompressorChart
from app.charts.picture import map_picture, marks_of, write_match_picture
from app.charts.strips_chart import StripsChart
from app.present.series import (
    STRIPS,
    US_CHARTS,
    line_csv,
    line_series,
    map_axes,
    map_csv,
    map_series,
    strips_csv,
    strips_of,
)
from engine_model.matching import match
from engine_model.units import to_si

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


@pytest.fixture(scope="module")
def case(sample_build, sample_surface):
    build = sample_build(
        "frame-95-middle", drive__blower_pulley_diameter=0.056, target__power=300e3
    )
    surface = sample_surface("frame-95-middle")
    return match(build, surface=surface), surface


@pytest.fixture
def charts(qtbot, case):
    """A compressor chart over strips, both laid out."""
    result, surface = case
    sheet = QWidget()
    sheet.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    qtbot.addWidget(sheet)
    sheet.resize(800, 700)
    axes = map_axes(surface.compressor_map)
    chart, strips = CompressorChart(sheet), StripsChart(sheet)
    chart.setGeometry(0, 0, 800, 450)
    strips.setGeometry(0, 450, 800, 250)
    sheet.show()
    chart.set_map(map_series(surface, axes))
    chart.set_line(line_series(result.line, axes))
    strips.set_strips(strips_of(result))
    QApplication.processEvents()
    yield chart, strips
    sheet.hide()


@pytest.mark.parametrize("scale", [1.0, 2.0, 0.5])
def test_a_png_has_the_size_asked_and_the_line_in_it(charts, tmp_path, scale):
    export_png(charts, tmp_path / "out.png", LIGHT.background, scale)
    image = QImage(str(tmp_path / "out.png"))
    assert (image.width(), image.height()) == (800 * scale, 700 * scale)
    assert image.pixelColor(0, 0).name() == LIGHT.background
    rows = range(0, round(200 * scale), 2)
    found = {image.pixelColor(x, y).name() for x in range(image.width()) for y in rows}
    assert len(found & set(LIGHT.ramp)) > 4


def test_an_export_draws_what_the_screen_shows(charts):
    chart, _ = charts
    kept = chart.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    assert picture_of([chart], LIGHT.background, 1.0) == kept


def test_a_png_that_cannot_be_written_says_so(charts, tmp_path):
    with pytest.raises(OSError, match="there is no folder"):
        export_png(charts, tmp_path / "missing" / "out.png", LIGHT.background)
    with pytest.raises(ValueError, match="scale 99"):
        export_png(charts, tmp_path / "out.png", LIGHT.background, 99.0)


def test_an_svg_keeps_its_texts(charts, tmp_path):
    export_svg(charts, tmp_path / "out.svg", LIGHT.background, "a match")
    root = ElementTree.parse(tmp_path / "out.svg").getroot()
    name = "{http://www.w3.org/2000/svg}"
    texts = {"".join(one.itertext()).strip() for one in root.iter(f"{name}text")}
    assert root.get("viewBox") == "0 0 800 700"
    assert {"surge side", "choke side", "76.5 %", "85", "Boost, gauge [bar]"} <= texts
    assert any("Corrected air flow" in text for text in texts)
    assert any("54" in text or "kW" in text for text in texts)
    assert len(list(root.iter(f"{name}polyline"))) > 20
    # no picture inside: curves are vectors
    assert list(root.iter(f"{name}image")) == []


def table(text):
    rows = list(csv.reader(io.StringIO(text)))
    return rows[0], rows[1:]


def test_strips_csv_gives_the_match_back(case, tmp_path):
    result, _ = case
    keys = [strip.key for strip in STRIPS]
    export_csv(strips_csv(strips_of(result, keys, US_CHARTS)), tmp_path / "out.csv")
    header, rows = table((tmp_path / "out.csv").read_text(encoding="utf-8"))
    assert header[0] == "engine speed [rpm]"
    assert all(name.endswith("]") and "[" in name for name in header)
    numbers = np.array([[float(v or "nan") for v in row] for row in rows])
    where = {name: k for k, name in enumerate(header)}
    line = result.line
    assert np.allclose(numbers[:, 0], line.engine_speed_rpm, rtol=1e-6)
    wheel = to_si(numbers[:, where["Power, as on the day, wheel [hp]"]], "hp", "power")
    assert np.allclose(wheel, line.wheel_power_w, rtol=1e-6)
    charge = numbers[:, where["Charge temperature, manifold [°F]"]]
    assert np.allclose(to_si(charge, "°F", "temperature"), line.manifold_temperature_k, rtol=1e-6)


def test_line_csv_gives_flow_ratio_and_region(case):
    result, surface = case
    axes = map_axes(surface.compressor_map, "lb/min")
    header, rows = table(line_csv(line_series(result.line, axes)))
    assert header[1] == "Corrected air flow [lb/min] at 25 °C, 100 kPa"
    flow = to_si(np.array([float(row[1]) for row in rows]), "lb/min", "mass_flow")
    assert np.allclose(flow, result.line.corrected_flow_kg_s, rtol=1e-6)
    assert [row[3] for row in rows] == result.line.region.tolist()


def test_map_csv_holds_every_curve(case):
    _, surface = case
    series = map_series(surface)
    header, rows = table(map_csv(series))
    assert header[:2] == ["curve", "value"]
    assert "[kg/s]" in header[2]
    speeds = {float(row[1]) for row in rows if row[0] == "speed line [rpm]"}
    levels = {float(row[1]) for row in rows if row[0] == "efficiency outline [-]"}
    assert speeds == set(surface.line_speeds.tolist())
    assert levels == {island.efficiency for island in surface.compressor_map.islands}
    assert {"surge line", "choke line", "past choke [rpm]"} <= {row[0] for row in rows}


def test_nothing_computed_is_blank_in_csv(case):
    result, surface = case
    line = result.line.part(slice(0, 0))
    header, rows = table(line_csv(line_series(line, map_axes(surface.compressor_map))))
    assert (len(header), rows) == (4, [])
    assert strips_csv(()) == "engine speed [rpm]\n"


@pytest.mark.parametrize(("size", "palette"), [((1400, 1100), LIGHT), ((700, 900), DARK)])
def test_the_picture_of_a_match(qtbot, case, tmp_path, size, palette):
    result, surface = case
    before = set(QApplication.topLevelWidgets())
    map_picture(result, surface, tmp_path / "m.png", size, palette)
    image = QImage(str(tmp_path / "m.png"))
    assert (image.width(), image.height()) == size
    assert image.pixelColor(1, 1).name() == palette.background
    assert set(QApplication.topLevelWidgets()) - before == set()


def test_the_picture_of_a_build_without_a_compressor(qtbot, case, tmp_path):
    stock = case[0].build.with_values({"drive.kind": "none"})
    write_match_picture(match(stock), tmp_path / "m.png")
    assert QImage(str(tmp_path / "m.png")).width() == 1400


def test_only_entries_of_a_place_on_the_line_are_marked(case):
    ledger = case[0].ledger
    marks = marks_of(ledger)
    states = {entry.code: entry.state for entry in ledger}
    assert {mark.text for mark in marks} == {
        code
        for code in (
            "surge_margin",
            "choke_margin",
            "charge_temperature",
            "boost",
            "inlet_depression",
        )
        if states[code] in ("close", "over")
    }
    assert marks


ALONE = """
import sys
from pathlib import Path
from app.charts.picture import write_match_picture
from engine_model import match
from tests.conftest import make_build
write_match_picture(match(make_build("turbo-52", drive__kind="free_shaft")), Path(sys.argv[1]))
"""


def test_the_picture_is_written_without_a_display(tmp_path, monkeypatch):
    monkeypatch.delenv("QT_QPA_PLATFORM", raising=False)
    monkeypatch.delenv("DISPLAY", raising=False)
    target = tmp_path / "alone.png"
    done = subprocess.run(
        [sys.executable, "-c", ALONE, str(target)],
        cwd=Path(__file__).parents[1],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert QImage(str(target)).width() == 1400
