"""A bench of pins for the tests: document, recompute and panel without a window."""

import os

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtWidgets import QWidget

from app.chart_tools.palette import LIGHT
from app.gui import pin_lines
from app.gui.document import Document
from app.gui.panels.pins_panel import PinsPanel
from app.gui.preferences import Preferences, Shelf
from app.gui.recompute import Recompute
from app.gui.theme import state_colors
from app.paths import DEFAULT_SAMPLE, sample_builds
from engine_model.files.build_file import load_build

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

PULLEY = "drive.blower_pulley_diameter"
LONGEST_SLICE = 0.060


class Bench:
    """A document with its panel, wired as the place wires it."""

    def __init__(self, folder, pulleys=(0.063, 0.069, 0.075)):
        settings = QSettings(str(folder / "bench.ini"), QSettings.Format.IniFormat)
        self.preferences = Preferences(settings)
        self.preferences.change(shelf=Shelf(pulleys=pulleys))
        self.document = Document(load_build(sample_builds()[DEFAULT_SAMPLE]))
        self.recompute = Recompute(self.document)
        self.panel = PinsPanel(self.document, self.preferences)
        self.ghosts = []
        self.panel.ghosts_changed.connect(self.ghosts.append)
        self.panel.set_look(LIGHT, state_colors("light"), "si")
        self.recompute.ready.connect(self.panel.show_snapshot)

    def names(self):
        return [pin.name for pin in self.document.build.pins]

    def drawn(self):
        return [name for _, name in self.panel.ghosts]

    def row(self, number):
        model = self.panel.table.differences
        return [model.index(number, k).data() for k in range(model.columnCount())]


@pytest.fixture
def bench(tmp_path, qtbot, monkeypatch):
    made = Bench(tmp_path)
    made.calls = 0
    judge = pin_lines.judge_days

    def counted(*arguments, **words):
        made.calls += 1
        return judge(*arguments, **words)

    monkeypatch.setattr(pin_lines, "judge_days", counted)
    sheet = made.sheet = QWidget()  # never on a screen; kept here, or it would go at once
    sheet.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    qtbot.addWidget(sheet)
    made.panel.setParent(sheet)
    made.panel.setGeometry(0, 0, 1100, 320)
    sheet.show()
    made.panel.show()
    made.recompute.request()
    made.settle = lambda: _settle(qtbot, made)
    made.settle()
    return made


def _settle(qtbot, bench):
    """Wait until the document's state has reached the panel and no pin waits."""

    def done():
        snapshot = bench.panel._snapshot
        assert snapshot is not None
        assert snapshot.match.build is bench.document.build
        assert snapshot.match.day == bench.document.day
        assert not bench.panel.lines.is_busy

    qtbot.waitUntil(done, timeout=4000)
