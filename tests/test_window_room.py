"""Room of the compressor map in the window, and the sheet of keys."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QApplication

from app.gui.actions import ACTIONS
from app.gui.document import Document
from app.gui.keys_sheet import KeysSheet, key_rows
from app.gui.rail import PLACES
from app.gui.window import Window
from app.paths import sample_builds
from engine_model import load_build


@pytest.fixture
def window(qtbot, preferences, tmp_path):
    preferences.change(hints_seen=True)
    document = Document(load_build(sample_builds()["road-six"]), None)
    one = Window(document, preferences, tmp_path / "journal")
    one.resize(1280, 720)
    qtbot.addWidget(one, before_close_func=lambda w: w.document.undo.setClean())
    one.show()
    qtbot.waitUntil(lambda: one.line.snapshot is not None, timeout=10_000)
    return one


def share(window):
    for _ in range(5):
        QApplication.processEvents()
    chart = window.line.map
    return chart.width() * chart.height() / (window.width() * window.height())


def test_the_map_keeps_its_share_of_a_small_window(window):
    assert (window.width(), window.height()) == (1280, 720)
    assert share(window) >= 0.36
    fold = window.actions_by_name["fold_panels"]
    assert fold.shortcut() == QKeySequence("F9")
    fold.trigger()
    assert share(window) >= 0.50
    fold.trigger()
    assert share(window) >= 0.36


def test_every_key_stands_on_the_sheet(qtbot):
    sheet = KeysSheet()
    qtbot.addWidget(sheet)
    text = sheet.text.toPlainText()
    for row in ACTIONS:
        assert not row.keys or row.keys in text
    headings = [title for title, _ in key_rows()]
    assert headings == ["Menus", "Everywhere", *(word for _, word, _, _ in PLACES)]
    for word in ("Ctrl+4", "F6", "K, P, E", "S, U, C, I", "Backspace", "free stretch"):
        assert word in text


def test_the_key_opens_the_sheet(window, monkeypatch):
    opened = []
    monkeypatch.setattr(KeysSheet, "exec", lambda sheet: opened.append(sheet))
    action = window.actions_by_name["show_keys"]
    assert action.shortcut() == QKeySequence("F1")
    action.trigger()
    assert len(opened) == 1
