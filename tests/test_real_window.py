"""The program itself in a real window: both sliders dragged, a bad unit typed, theme, sizes.

Needs Xvfb and xdotool; the places of the widgets are read off a twin of the window in this
process. What the program did is read from its journal.
"""

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import time

import pytest
from PySide6.QtCore import QPoint, QSettings
from PySide6.QtWidgets import QApplication
from real_screen import Screen, needs_screen

from app.gui.document import Document
from app.gui.preferences import Preferences
from app.gui.window import Window
from app.paths import sample_builds
from engine_model import load_build

pytestmark = [pytest.mark.long, needs_screen]


class BuildScreen(Screen):
    """The program, and what it did to the build."""

    def build(self):
        """The unsaved build as the journal holds it."""
        return self.journal(".journal.json")

    def pulley(self):
        held = self.build()
        return None if held is None else _find(held, "blower_pulley_diameter_m")

    def state(self):
        return f"pulley {self.pulley()}"


def _find(held, key):
    if isinstance(held, dict):
        if key in held:
            return held[key]
        held = list(held.values())
    if isinstance(held, list):
        for one in held:
            found = _find(one, key)
            if found is not None:
                return found
    return None


@pytest.fixture
def places(qtbot, tmp_path):
    """Places of the handles and boxes, from a twin of the window at its first size."""
    settings = QSettings(str(tmp_path / "twin.ini"), QSettings.Format.IniFormat)
    document = Document(load_build(sample_builds()["road-six"]), None)
    twin = Window(document, Preferences(settings), tmp_path / "twin")
    qtbot.addWidget(twin)
    twin.show()
    qtbot.waitUntil(lambda: twin.line.snapshot is not None, timeout=10_000)
    QApplication.processEvents()
    sliders = twin.line.sliders

    def on(widget, x, y):
        at = widget.mapTo(twin, QPoint(round(x), round(y)))
        return at.x(), at.y()

    found = {}
    for name, slider in (("pulley", sliders.pulley), ("boost", sliders.boost)):
        handle = slider._x_of(slider.real())
        found[name] = on(slider, handle, 10), on(slider, handle + 50, 10)
    box = sliders.pulley_box
    found["box"] = on(box, box.width() / 2, box.height() / 2)
    return found


def test_dragged_typed_themed_and_resized(tmp_path, places):
    screen = BuildScreen(tmp_path)
    try:
        window = screen.do("search", "--sync", "--onlyvisible", "--name", "Road six").split()[0]
        time.sleep(1.0)
        first = 0.066
        screen.drag(*places["pulley"])
        screen.wait(lambda: screen.pulley() not in (None, first))
        after_pulley = screen.pulley()
        assert after_pulley > first
        screen.do("key", "ctrl+z")
        screen.wait(lambda: screen.pulley() in (None, first))
        screen.drag(*places["boost"])
        screen.wait(lambda: screen.pulley() not in (None, first))
        time.sleep(1.0)  # the journal follows the end of the drag
        after_boost = screen.pulley()
        assert after_boost < first
        screen.do("mousemove", *places["box"], "click", "--repeat", 3, 1)
        screen.do("key", "ctrl+a")
        screen.do("type", "84 bananas")
        screen.do("key", "Return")
        screen.do("key", "ctrl+d")
        for size in ((1280, 720), (2560, 1440), (1400, 850)):
            screen.do("windowsize", "--sync", window, *size)
        time.sleep(1.0)
        assert screen.program.poll() is None
        assert screen.pulley() == after_boost
    finally:
        screen.close()
    assert "Traceback" not in screen.told
    assert "Warning" not in screen.told
