"""The Dyno place in the window: a log read, its columns, runs, corrections, what it says."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import QMimeData, QPoint, Qt, QUrl
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QApplication

from app.gui.document import Document
from app.gui.places.dyno.place import COLUMNS, POWER, RECONCILE
from app.gui.window import Window
from app.paths import sample_builds, sample_pulls
from app.present.pull_kept import mappings_of
from engine_model import load_build

WAIT = 20_000

GUESSED = "rpm,power,extra\n" + "".join(
    f"{n},{n / 40 if n != 3000 else 'x'},{n / 50}\n" for n in range(2000, 6001, 100)
)


@pytest.fixture
def open_place(qtbot, preferences, tmp_path):
    preferences.change(hints_seen=True)
    window = Window(
        Document(load_build(sample_builds()["road-six"]), None), preferences, tmp_path / "journal"
    )
    window.resize(1280, 720)
    qtbot.addWidget(window, before_close_func=lambda w: w.document.undo.setClean())
    window.show()
    qtbot.waitUntil(lambda: window.line.snapshot is not None, timeout=WAIT)
    window.rail.show_place("dyno")
    QApplication.processEvents()
    return window, window.place


def settle(qtbot, place):
    feed = place.feed
    for _ in range(2):
        QApplication.processEvents()
        qtbot.waitUntil(
            lambda: not (feed.reading.is_busy or feed.comparing.is_busy
                         or feed.reconciling.is_busy or feed.advice.is_busy),
            timeout=WAIT,
        )  # fmt: skip
        QApplication.processEvents()


def read(qtbot, place, path):
    place.feed.open(path)
    settle(qtbot, place)


def box_at(place, row, column):
    return place.columns.table.cellWidget(row, column)


def choose(box, key):
    box.setCurrentIndex(box.findData(key))
    box.activated.emit(box.currentIndex())


def test_a_sample_is_shown_reconciled_and_put_in_as_one_step(qtbot, open_place):
    window, place = open_place
    assert window.rail._buttons["dyno"].toolTip() == "Dyno (Ctrl+6)"
    assert "carbon monoxide" in place.controls.caution.text()
    assert "tie down" in place.controls.caution.text()
    assert not place.reconcile_page.ask.isEnabled()
    read(qtbot, place, sample_pulls()["belt-slip"])
    assert place.pages.currentIndex() == POWER
    assert "kW wheel at" in place.answer.text()
    assert "as on the day, uncorrected" in place.answer.text()
    words = " ".join(place.chart.words)
    for one in ("promised: 225.0 kW wheel", "expected", "smoothed over 100 rpm", "readings"):
        assert one in words
    choose(place.controls.basis, "flywheel")
    assert "Flywheel power, as on the day" in " ".join(place.chart.words)
    assert place.corrections.table.rowCount() == 7
    assert "Why the two differ" in place.corrections.reasons.text()
    with window.place.shown("dyno") as export:
        assert export.numbers.startswith("engine speed [rpm],")
    with window.place.shown("pull_map") as export:
        assert "measured" in export.numbers
    assert "flow inferred from power" in place.map_page.words.text()
    assert place.map_page.chart.lines[1][0][1] == "measured"
    place.reconcile_page.ask.click()
    settle(qtbot, place)
    page = place.reconcile_page
    assert "The belt slips from" in page.says.text()
    assert "If the belt stops slipping: boost" in page.says.text()
    assert "±" in page.table.item(0, 1).text()
    before, undone = window.document.build, window.document.undo.count()
    page.take.click()
    settle(qtbot, place)
    build = window.document.build
    assert window.document.undo.count() == undone + 1
    assert build.value("cooler.effectiveness") != before.value("cooler.effectiveness")
    assert "belt-slip.pull.csv" in build.notes
    assert "slip" not in " ".join(change.path for change in page.found.changes)
    assert "lower pulley" in page.advice.text()
    window.work.undo()
    assert window.document.build == before
    page.next.click()
    assert window.rail._buttons["pulleys"].isChecked()
    window.rail.show_place("sheet")
    assert window.place._measured.basis == "wheel"


def test_columns_are_asked_and_remembered_and_runs_averaged(qtbot, open_place, tmp_path):
    window, place = open_place
    file = tmp_path / "log.csv"
    file.write_text(GUESSED)
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(file))])
    drop = QDropEvent(
        QPoint(9, 9), Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )  # fmt: skip
    place.dropEvent(drop)
    settle(qtbot, place)
    assert place.pages.currentIndex() == COLUMNS
    assert "Row 12: power 'x' given; allowed: a number" in place.columns.told.text()
    assert "1 refused" in place.controls.file.text()
    first = place.feed.found.measured_w["wheel"]
    choose(box_at(place, 1, 3), "kW")
    settle(qtbot, place)
    assert place.feed.found.measured_w["wheel"][-1] > 1.3 * first[-1]
    choose(box_at(place, 1, 4), "flywheel")
    settle(qtbot, place)
    assert place.feed.found.basis == "flywheel"
    choose(box_at(place, 2, 2), "power")
    settle(qtbot, place)
    assert place.feed.pull.layout.mapping.use("power").column == 2
    place.columns.right.click()
    assert place.pages.currentIndex() == POWER
    kept = mappings_of(window.preferences.choices.pull_mappings)
    assert [one.use("power").column for one in kept] == [2]
    choose(box_at(place, 0, 2), "")
    settle(qtbot, place)
    assert "one of engine speed" in place.words.text()
    assert place.feed.found is not None
    missing = tmp_path / "none.csv"
    read(qtbot, place, missing)
    assert "none.csv was not read" in place.words.text()
    # another build is another car
    window.document.take(load_build(sample_builds()["tow-eight"]), None)
    assert place.feed.found is None
    assert place.controls.runs.count() == 0
    window.document.take(load_build(sample_builds()["road-six"]), None)
    QApplication.processEvents()
    read(qtbot, place, sample_pulls()["messy-export"])
    assert place.controls.chosen == (0, 1)
    assert len(place.feed.found.runs) == 2
    assert place.chart.series.panels[0].spreads
    place.controls.runs.item(1).setCheckState(Qt.CheckState.Unchecked)
    settle(qtbot, place)
    assert [run.number for run in place.feed.found.runs] == [1]
    assert not place.chart.series.panels[0].spreads
    place.controls.runs.item(0).setCheckState(Qt.CheckState.Unchecked)
    assert "tick one" in place.words.text()
    place.set_classroom(True)
    assert not place.pages.isTabVisible(RECONCILE)
    place.reveal_answers()
    assert place.pages.isTabVisible(RECONCILE)
