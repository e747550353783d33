"""Five thousand ticks of the pulley slider in the real window: memory and references stay.

PySide 6.12 under Python 3.11 loses a reference to None with every call that returns it, until
the process aborts; the count of None is watched for that.
"""

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import gc
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, QTimer
from PySide6.QtWidgets import QApplication, QLabel

from app.gui.document import Document
from app.gui.preferences import Preferences
from app.gui.window import Window
from app.paths import sample_builds
from engine_model import load_build

TICKS, SETTLED = 5000, 1000
PAGE = os.sysconf("SC_PAGE_SIZE")


def resident():
    """Memory of this process in the machine [bytes]."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * PAGE


def test_calls_that_return_none_keep_its_references(qtbot):
    label = QLabel("one")
    qtbot.addWidget(label)
    timer = QTimer()
    before = sys.getrefcount(None)
    for _ in range(200):
        label.setText("two")
        label.update()
        timer.setInterval(5)
    assert abs(sys.getrefcount(None) - before) < 50


@pytest.mark.long
@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="memory is read from /proc")
def test_soak_of_the_whole_window(qtbot, tmp_path):
    settings = QSettings(str(tmp_path / "set.ini"), QSettings.Format.IniFormat)
    document = Document(load_build(sample_builds()["road-six"]), None)
    window = Window(document, Preferences(settings), tmp_path / "journal")
    window.resize(1400, 850)
    qtbot.addWidget(window, before_close_func=lambda w: w.document.undo.setClean())
    window.show()
    qtbot.waitUntil(lambda: window.line.snapshot is not None, timeout=10_000)
    window.recompute._timer.setInterval(0)
    slider = window.line.sliders.pulley
    low, high = round(0.12 * slider.maximum()), round(0.5 * slider.maximum())
    there_and_back = [*range(low, high, 3), *range(high, low, -3)]
    snapshots = []
    window.recompute.ready.connect(lambda s: snapshots.append(id(s)))
    sizes, nones = {}, {}
    slider.setSliderDown(True)
    for tick in range(1, TICKS + 1):
        slider.setValue(there_and_back[tick % len(there_and_back)])
        QApplication.processEvents()
        if tick in (SETTLED, TICKS):
            gc.collect()
            sizes[tick], nones[tick] = resident(), sys.getrefcount(None)
    slider.setSliderDown(False)
    growth = sizes[TICKS] / sizes[SETTLED] - 1.0
    print(f"\n    {len(snapshots)} results in {TICKS} ticks; memory {100 * growth:+.2f} %")
    assert len(snapshots) > 0.9 * TICKS
    assert growth <= 0.02
    assert abs(nones[TICKS] - nones[SETTLED]) < 2000
    # one drag is one step
    assert document.undo.count() == 1
