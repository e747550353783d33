"""Slider move to painted pixels in the real window, with the shares of model, present and paint.

Run with ``--benchmark-enable -s``; under a display with ``QT_QPA_PLATFORM=xcb``. In the normal
run a few ticks are driven once, so that the road stays open.
"""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication

from app.gui.document import Document
from app.gui.preferences import Preferences
from app.gui.window import Window
from app.paths import sample_builds
from engine_model import load_build

ROOT = Path(__file__).parent.parent.parent
TICKS = 500


@pytest.fixture(params=[6, 4], ids=["belt holds", "belt slips"])
def window(request, qtbot, tmp_path):
    settings = QSettings(str(tmp_path / "set.ini"), QSettings.Format.IniFormat)
    build = load_build(sample_builds()["road-six"]).with_value("drive.ribs", request.param)
    document = Document(build, None)
    one = Window(document, Preferences(settings), tmp_path / "journal")
    one.resize(1400, 850)
    qtbot.addWidget(one, before_close_func=lambda w: w.document.undo.setClean())
    one.show()
    for _ in range(20):
        QApplication.processEvents()
        time.sleep(0.01)
    return one


def positions(slider, count):
    """There and back by three steps of the slider, never resting."""
    low, high = round(0.12 * slider.maximum()), round(0.5 * slider.maximum())
    half = [*range(low, high, 3), *range(high, low, -3)]
    return [half[i % len(half)] for i in range(count)]


def drag(window, count):
    """Times of each tick and of its parts [s]; the pace timer is waited for between ticks."""
    slider, shares = window.line.sliders.pulley, {"model": [], "present": []}
    recompute, place = window.recompute, window.line
    snapshot, show = recompute._snapshot, place.show_snapshot

    def timed(name, call):
        def run(*words):
            start = time.perf_counter()
            result = call(*words)
            shares[name].append(time.perf_counter() - start)
            return result

        return run

    recompute._snapshot = timed("model", snapshot)
    recompute.ready.disconnect(show)
    shown = timed("present", show)
    recompute.ready.connect(shown)
    totals = []
    slider.setSliderDown(True)
    for position in positions(slider, count):
        while recompute._timer.isActive():
            QApplication.processEvents()
            time.sleep(0.001)
        QApplication.processEvents()
        start = time.perf_counter()
        slider.setValue(position)
        QApplication.processEvents()
        totals.append(time.perf_counter() - start)
    slider.setSliderDown(False)
    recompute.ready.disconnect(shown)
    recompute.ready.connect(show)
    recompute._snapshot = snapshot
    # the release computes all days once more: not a tick
    return np.array(totals), {name: np.array(v[:count]) for name, v in shares.items()}


def milliseconds(values):
    return f"median {1e3 * np.median(values):.2f}, p95 {1e3 * np.percentile(values, 95):.2f} ms"


def test_slider_move_to_painted_pixels(window, benchmark):
    count = TICKS if benchmark.enabled else 12
    drag(window, 10)
    totals, shares = drag(window, count)
    assert len(shares["model"]) >= 0.95 * count
    rest = totals[: len(shares["model"])] - shares["model"] - shares["present"]
    print(f"\n    {count} ticks, slider move to painted: {milliseconds(totals)}")
    for name, values in (*shares.items(), ("paint and the rest", rest)):
        print(f"    {name}: {milliseconds(values)}")
    slider = window.line.sliders.pulley
    steps = iter(positions(slider, 100_000))

    def tick():
        slider.setValue(next(steps))
        QApplication.processEvents()

    benchmark(tick)


START = """
import sys, time
start = time.perf_counter()
{imports}
from PySide6.QtCore import QEvent, QObject, QSettings, QTimer
from PySide6.QtWidgets import QApplication
{body}
class First(QObject):
    painted = False
    def eventFilter(self, what, event):
        if not self.painted and event.type() == QEvent.Type.Paint:
            self.painted = True
            print(time.perf_counter() - start, flush=True)
            {after}
        return False
first = First()
getattr(window, "viewport", lambda: window)().installEventFilter(first)
window.show()
{alive}
application.exec()
"""

BARE = START.format(
    imports="import pyqtgraph as pg",
    body="application = QApplication([])\nwindow = pg.PlotWidget()\nwindow.plot([1, 2, 3])",
    after="QTimer.singleShot(0, QApplication.quit)",
    alive="",
)
BENCH = START.format(
    imports="",
    body="""
from pathlib import Path
from app.launch import can_open_window
assert can_open_window()
from app.gui.window import make_application, open_window
application = make_application()
folder = Path(sys.argv[1]).parent
window = open_window(
    None, QSettings(sys.argv[1], QSettings.Format.IniFormat), folder / "journal"
)
""",
    after="pass",
    alive="""
def look():
    if getattr(window, "line", None) and window.line.snapshot:
        QTimer.singleShot(0, alive)  # after the paint of the first result
    else:
        QTimer.singleShot(1, look)
def alive():
    print(time.perf_counter() - start, flush=True)
    QApplication.quit()
look()
""",
)


def started(text, folder):
    """Times from the start of the interpreter to what a program prints [s]."""
    done = subprocess.run(
        [sys.executable, "-c", text, str(folder / "set.ini")],
        capture_output=True, text=True, timeout=60, check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    return [float(word) for word in done.stdout.split()]


def test_first_paint_beside_a_bare_plot_window(tmp_path, benchmark):
    count = 7 if benchmark.enabled else 1
    bare = np.median([started(BARE, tmp_path)[0] for _ in range(count)])
    paint, alive = np.median([started(BENCH, tmp_path) for _ in range(count)], axis=0)
    print(
        f"\n    bare plot window {bare:.3f} s; bench: first paint {paint:.3f} s, ratio "
        f"{paint / bare:.2f}; everything alive {alive:.3f} s"
    )
    assert 0.0 < paint < alive
    benchmark(lambda: None)
