"""The window on the Pulleys place, for its tests."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import QPointF
from PySide6.QtWidgets import QApplication

from app.gui.document import Document
from app.gui.window import Window
from app.paths import sample_builds
from engine_model import load_build

WAIT = 20_000


@pytest.fixture
def open_place(qtbot, preferences, tmp_path):
    preferences.change(hints_seen=True)

    def make(name="road-six", changes=None):
        build = load_build(sample_builds()[name])
        if changes:
            build = build.with_values(changes)
        window = Window(Document(build, None), preferences, tmp_path / "journal")
        window.resize(1280, 720)
        qtbot.addWidget(window, before_close_func=lambda w: w.document.undo.setClean())
        window.show()
        qtbot.waitUntil(lambda: window.line.snapshot is not None, timeout=WAIT)
        window.rail.show_place("pulleys")
        settle(qtbot, window)
        return window, window.place

    return make


def settle(qtbot, window):
    """Let everything be computed, worked out and painted."""
    for _ in range(4):
        QApplication.processEvents()
        window.recompute.compute()
    place = window.places_by_key["pulleys"]
    qtbot.waitUntil(lambda: not place.feed.study.is_busy, timeout=WAIT)
    for _ in range(4):
        QApplication.processEvents()


def on_line(place):
    """Widget position on the line of the present pulley."""
    chart = place.span_chart
    return chart.mapFromScene(chart._box.mapToScene(QPointF(chart.present_x, 220.0)))
