"""The window on the Surge place, for its tests."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget

from app.gui.document import Document
from app.gui.places.surge import study
from app.gui.places.surge.place import SurgePlace
from app.gui.recompute import Recompute
from app.paths import sample_builds
from engine_model import load_build
from engine_model.studies import bypass_sizing

WAIT = 30_000


@pytest.fixture
def make_place(qtbot, preferences, monkeypatch):
    """The place alone, shown, on a sample build with its first scene run."""
    made = []

    def make(name="road-six", changes=None, *, has_band=False):
        if not has_band:
            # two more runs of every scene, which only one test looks at
            monkeypatch.setattr(study, "zero_flow_band", lambda whole, surface: ())
        # a short run: what is asked of it here is over soon
        build = load_build(sample_builds()[name]).with_values(
            {"surge.duration": 0.6, **(changes or {})}
        )
        document = Document(build, None)
        recompute = Recompute(document)
        place = SurgePlace(document, recompute, preferences)
        host = QWidget()
        host.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
        qtbot.addWidget(host)
        place.setParent(host)
        host.resize(1100, 640)
        place.setGeometry(0, 0, 1100, 640)
        made.append((host, place))
        host.show()
        place.show()
        recompute.compute()
        settle(qtbot, place)
        return document, recompute, place

    yield make
    for _, place in made:
        place.end()


@pytest.fixture
def coarse_valves(monkeypatch):
    """Valves sized coarsely, at the limiter alone: the same by whatever road."""
    monkeypatch.setattr(bypass_sizing, "SHARE_OF_LIMITER", (1.0,))
    monkeypatch.setattr(bypass_sizing, "LOOKED_AT", (0.0, 0.03, 0.05, 0.10))
    monkeypatch.setattr(bypass_sizing, "FINE", 4e-3)
    monkeypatch.setattr(bypass_sizing, "AFTER_LIFT", 0.3)
    monkeypatch.setattr(study, "VALVE_SPEEDS", 2)


def settle(qtbot, place):
    """Let everything asked for come."""
    QApplication.processEvents()
    qtbot.waitUntil(lambda: not place.feed.is_busy, timeout=WAIT)
    QApplication.processEvents()
    place.player.pause()
