"""The Compressors place without its window, and rows made by hand, for its tests."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from dataclasses import replace

import numpy as np
import pytest
from conftest import read_sample_map
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget

from app.gui.document import Document
from app.gui.places.compressors.place import CompressorsPlace
from app.gui.recompute import Recompute
from app.paths import sample_builds
from app.present.compressor_shown import DONE, ShownRow
from engine_model import load_build
from engine_model.results import Entry
from engine_model.studies.compressor_records import ACCEPTED, CompressorRow, DayNumbers, Setting

WAIT = 20_000
MIDDLE, SMALL, LARGE = (f"sample:frame-95-{name}" for name in ("middle", "small", "large"))


@pytest.fixture
def make_place(qtbot, preferences):
    """A place on the default sample with two maps ticked, on one day, worked out."""
    made = []

    def make(name="road-six", ticks=((LARGE, False),), change=None):
        preferences.change(map_ticks=ticks)
        build = load_build(sample_builds()[name])
        document = Document(build if change is None else build.with_values(change), None)
        recompute = Recompute(document)
        host = QWidget()
        qtbot.addWidget(host)
        host.resize(1200, 700)
        place = CompressorsPlace(document, recompute, preferences)
        place.setParent(host)
        place.resize(1200, 700)
        made.append((host, place))
        for day in ("hot", "freezing", "hot and high"):
            place.controls.day_ticks._off.add(day)
        host.show()
        place.show()
        recompute.compute()
        settle(qtbot, place)
        return document, recompute, place

    yield make
    for _, place in made:
        place.end()


def is_idle(place):
    feed = place.feed
    timers = (feed._rest, feed._show, feed.candidates.library._settle)
    works = (feed.run, feed.overlay, feed.candidates.library)
    return not any(t.isActive() for t in timers) and not any(w.is_busy for w in works)


def settle(qtbot, place):
    """Let everything be read, worked out, laid over and painted."""
    for _ in range(3):
        QApplication.processEvents()
        qtbot.waitUntil(lambda: is_idle(place), timeout=WAIT)
    QApplication.processEvents()


def shown(place):
    """Titles in the order of the table, shortened to the trim."""
    return [one.title.partition(", ")[2].partition(" ")[0] for one in place.table.rows_model.rows]


def cell(place, row, head):
    """Text of a cell by the first words of its column's title, on one line."""
    model = place.table.rows_model
    for column in range(model.columnCount()):
        told = model.headerData(column, Qt.Orientation.Horizontal)
        if " ".join(told.split()).startswith(head):
            return " ".join(str(model.index(row, column).data()).split())
    raise KeyError(head)


def made_row(title, power, *, marks=(), used=0.9, standing=ACCEPTED, speeds=1, place=0):
    """A row by hand: no study stands behind it."""
    cmap = replace(read_sample_map("frame-95-middle"), title=title)
    entry = Entry("boost", "parts", "close", used, 50e3, 55e3, "Pa", 6800.0, "mild", "by hand")
    at = np.full(speeds, power / 2.0)
    day = DayNumbers("mild", power, power, 6000.0, 5e4, 1e4, 0.7, at, entry, None)
    setting = Setting(0.07, 0.18, 6)
    return CompressorRow(
        place,
        cmap,
        standing,
        "",
        tuple(marks),
        setting=setting,
        tightest=entry,
        shares=(used,),
        wheel_power_peak_w=power,
        power_day="mild",
        weighted_efficiency=0.7,
        efficiency_day="mild",
        boost_peak_pa=5e4,
        drive_power_peak_w=1e4,
        days=(day,),
    )


def made_shown(title, power, status=DONE, speeds=(), **values):
    row = made_row(title, power, speeds=max(len(speeds), 1), **values)
    return ShownRow(title, title, "by hand", status, row, "", False, tuple(speeds))
