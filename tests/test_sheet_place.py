"""The Build sheet place in the window: preview, paper, notes as steps of undo, PDF."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
import sheet_cases as cases
from PySide6.QtTest import QTest

from app.gui.document import Document
from app.gui.places.sheet.preview import WHOLE
from app.gui.window import Window
from app.paths import sample_builds
from app.present.sheet_words import MeasuredPower
from engine_model.files.build_file import load_build

WAIT = 20_000


@pytest.fixture
def window(qtbot, preferences, tmp_path):
    preferences.change(hints_seen=True)
    build = load_build(sample_builds()["road-six"])
    made = Window(Document(build, None), preferences, tmp_path / "journal")
    made.resize(1280, 720)
    qtbot.addWidget(made, before_close_func=lambda w: w.document.undo.setClean())
    made.show()
    qtbot.waitUntil(lambda: made.line.snapshot is not None, timeout=WAIT)
    made.rail.show_place("sheet")
    qtbot.waitUntil(lambda: made.place.preview.pages is not None, timeout=WAIT)
    return made


def words_of(place):
    return " ".join(cases.texts(cases.pdf(place.preview.pages.source)))


def test_the_place(qtbot, window, tmp_path):
    """One window for all of it: a window is what costs."""
    place = window.place
    look_at_pages(place)
    type_notes(window, place, tmp_path)
    follow(qtbot, window, place)
    hide_from_a_class(place)


def look_at_pages(place):
    window = place.window()
    assert window.rail._buttons["sheet"].toolTip() == "Build sheet (Ctrl+7)"
    assert place.bar.number.text() == "page 1 of 3"
    place.bar.after.click()
    assert place.bar.number.text() == "page 2 of 3"
    # A4 is 210 mm by 297 mm, letter 8.5 in by 11 in
    assert place.preview.views[0].height() / place.preview.views[0].width() == pytest.approx(
        297 / 210, abs=2e-3
    )
    place.set_paper("letter")
    assert place.preview.views[0].height() / place.preview.views[0].width() == pytest.approx(
        11 / 8.5, abs=2e-3
    )
    place.fit()
    assert place.bar.zoom.currentText() == WHOLE
    assert place.preview.views[0].height() <= place.preview.viewport().height()
    # what is drawn is no blank page
    picture = place.preview.views[0].grab().toImage()
    seen = {picture.pixel(x, y) for x in range(0, 200, 3) for y in range(0, 200, 3)}
    assert len(seen) > 10


def type_notes(window, place, tmp_path):
    """Notes are one step, printed at once, taken back in their place."""
    before = window.document.build.notes
    place.notes.setFocus()
    place.notes.selectAll()
    QTest.keyClicks(place.notes, "Bolts checked twice.")
    assert window.document.build.notes == before
    file = tmp_path / "sheet.pdf"
    assert place.save(file)
    assert window.document.build.notes == "Bolts checked twice."
    assert "Bolts checked twice." in " ".join(cases.texts(file.read_bytes()))
    assert cases.sizes(file.read_bytes())[0] == pytest.approx((612.0, 792.0), abs=1.0)
    assert place.words.text() == f"Written: sheet.pdf in {tmp_path}"
    window.rail.show_place("line")
    window.work.undo()
    assert window.place is place
    assert window.document.build.notes == place.notes.toPlainText() == before

    # a folder that is not there: a sentence, nothing left behind
    assert not place.save(tmp_path / "gone" / "sheet.pdf")
    assert "there is no folder" in place.words.text()
    assert [one.name for one in tmp_path.glob("*.pdf")] == ["sheet.pdf"]


def follow(qtbot, window, place):
    assert "225.0 kW wheel" in words_of(place)
    window.document.edit("target.power", 230e3)
    place.set_measured(MeasuredPower(220e3, "wheel", "SAE J1349, 2004 form"))
    qtbot.waitUntil(lambda: not place._timer.isActive() and not place._stale, timeout=WAIT)
    told = words_of(place)
    assert "230.0 kW wheel" in told
    assert "220.0 kW wheel" in told
    assert "no pull attached" not in told


def hide_from_a_class(place):
    place.set_classroom(True)
    assert place.cover.isVisible()
    assert not place.preview.isVisible()
    place.reveal_answers()
    assert place.preview.isVisible()
    assert not place.side.isVisible()
    place.set_classroom(False)
    assert place.side.isVisible()
    assert not place.cover.isVisible()
