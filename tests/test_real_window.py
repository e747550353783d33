"""The program itself in a real window: both sliders dragged, a bad unit typed, theme, sizes.

Needs Xvfb and xdotool; the places of the widgets are read off a twin of the window in this
process. What the program did is read from its journal.
"""

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import json
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QSettings
from PySide6.QtWidgets import QApplication

from app.gui.document import Document
from app.gui.preferences import Preferences
from app.gui.window import Window
from app.paths import sample_builds
from engine_model import load_build

ROOT = Path(__file__).parent.parent
pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(
        not (shutil.which("Xvfb") and shutil.which("xdotool")), reason="needs Xvfb and xdotool"
    ),
]


class Screen:
    """A program on a screen of its own, with mouse and keys."""

    def __init__(self, folder):
        read, write = os.pipe()
        self.server = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write), "-screen", "0", "2600x1500x24"],
            pass_fds=[write], stderr=subprocess.DEVNULL,
        )  # fmt: skip
        os.close(write)
        self.display = ":" + os.read(read, 20).decode().strip()
        os.close(read)
        self.folder = folder
        config = folder / "config" / "Pulleywright"
        config.mkdir(parents=True)
        (config / "Pulleywright.conf").write_text("[General]\n")
        self.environment = {
            **os.environ,
            "DISPLAY": self.display,
            "QT_QPA_PLATFORM": "xcb",
            "XDG_CONFIG_HOME": str(folder / "config"),
            "XDG_DATA_HOME": str(folder / "data"),
            "PYTHONPATH": str(ROOT),
        }
        self.program = subprocess.Popen(
            [sys.executable, "-m", "app"], env=self.environment, cwd=folder,
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        )  # fmt: skip

    def do(self, *words):
        done = subprocess.run(
            ["xdotool", *map(str, words)], env=self.environment, capture_output=True, text=True,
            timeout=30, check=True,
        )  # fmt: skip
        return done.stdout.strip()

    def drag(self, start, stop, steps=12):
        self.do("mousemove", *start, "mousedown", 1)
        for k in range(1, steps + 1):
            x = round(start[0] + (stop[0] - start[0]) * k / steps)
            self.do("mousemove", x, stop[1], "sleep", 0.02)
        self.do("mouseup", 1)

    def build(self):
        """The unsaved build as the journal holds it."""
        files = list(self.folder.rglob("*.journal.json"))
        if not files:
            return None
        try:
            return json.loads(files[0].read_text())
        except json.JSONDecodeError:
            return None

    def pulley(self):
        held = self.build()
        return None if held is None else _find(held, "blower_pulley_diameter_m")

    def wait(self, what, seconds=15.0):
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            if what():
                return
            time.sleep(0.05)
        raise AssertionError(f"not within {seconds} s; pulley {self.pulley()}")

    def close(self):
        self.program.terminate()
        self.told = self.program.communicate(timeout=10)[0].decode()
        self.server.terminate()
        self.server.wait(timeout=10)


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
    screen = Screen(tmp_path)
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
