"""A window with two pins on a fixed date, for the tests of exports."""

import datetime
import os
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from PySide6.QtWidgets import QApplication, QMessageBox

import app.gui.exporting as exporting_module
from app.gui.document import Document
from app.gui.window import Window
from app.paths import sample_builds
from app.present.pins import make_pin
from engine_model.files.build_file import load_build

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

PULLEY = "drive.blower_pulley_diameter"
TODAY = datetime.date(2031, 3, 9)
SVG = "{http://www.w3.org/2000/svg}"


class FixedDate(datetime.date):
    @classmethod
    def today(cls):
        return TODAY


@pytest.fixture
def window(qtbot, preferences, tmp_path, monkeypatch):
    """The bench on a sample with two pins, drawn."""
    monkeypatch.setattr(exporting_module.datetime, "date", FixedDate)
    build = load_build(sample_builds()["road-six"])
    small = make_pin(build.with_value(PULLEY, 0.066), "small one")
    large = make_pin(build.with_value(PULLEY, 0.081), "large one")
    document = Document(replace(build, pins=(small, large)), None)
    made = Window(document, preferences, tmp_path / "journal")
    made.resize(1280, 720)
    qtbot.addWidget(made, before_close_func=lambda w: w.document.undo.setClean())
    made.show()
    qtbot.waitUntil(lambda: len(made.line.map.lines[1]) == 2, timeout=10000)
    made.recompute.compute()
    QApplication.processEvents()
    assert [name for _, name in made.line.map.lines[1]] == ["small one", "large one"]
    return made


@pytest.fixture
def told(monkeypatch):
    """What the boxes of the exports told."""
    words = []
    monkeypatch.setattr(QMessageBox, "warning", lambda *a: words.append(a[2]))
    return words


def svg_texts(path):
    root = ElementTree.parse(path).getroot()
    return {"".join(one.itertext()).strip() for one in root.iter(f"{SVG}text")}, root
