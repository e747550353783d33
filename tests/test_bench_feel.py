"""Feel of the bench: keys, fields shown, texts that fit, nothing that jumps, what is covered."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QApplication

from app.gui.document import Document
from app.gui.panels.sliders_panel import pulley_range
from app.gui.window import Window
from app.paths import sample_builds
from app.present.sentences import TITLES, sentence
from engine_model import load_build

PULLEY = "drive.blower_pulley_diameter"
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def window(qtbot, preferences, tmp_path):
    """A window on the default sample, active, at the smallest usual size."""
    made = Window(
        Document(load_build(sample_builds()["road-six"]), None), preferences, tmp_path / "journal"
    )
    made.resize(1280, 720)
    qtbot.addWidget(made, before_close_func=lambda w: w.document.undo.setClean())
    made.show()
    made.activateWindow()
    qtbot.waitUntil(lambda: QApplication.activeWindow() is made)
    settle(made)
    return made


def settle(window):
    """Let timers run out and everything be laid out."""
    for _ in range(6):
        QApplication.processEvents()
        window.recompute.compute()


def test_keys_of_the_window_work_from_a_text_box(qtbot, window):
    document, fields = window.document, window.line.fields
    before = document.build
    document.edit("engine.displacement", 0.0030)
    fields.headline.linkActivated.emit("engine.displacement")
    box = QApplication.focusWidget()
    assert box.accessibleName() == "Displacement"
    qtbot.keyClick(box, Qt.Key.Key_Z, CONTROL)
    assert document.build is before
    qtbot.keyClick(box, Qt.Key.Key_U, CONTROL)
    assert window.preferences.choices.system == "us"
    # the spin box too
    window.line.sliders.speed.setFocus()
    qtbot.keyClick(
        window.line.sliders.speed, Qt.Key.Key_Z, CONTROL | Qt.KeyboardModifier.ShiftModifier
    )
    assert document.build.value("engine.displacement") == 0.0030


def test_what_is_typed_and_not_entered_keeps_its_own_undo_and_copy(qtbot, window):
    document = window.document
    document.edit("engine.displacement", 0.0030)
    window.line.fields.reveal(frozenset({"engine.displacement"}))
    box = QApplication.focusWidget()
    box.selectAll()
    qtbot.keyClicks(box, "3.4 L")
    qtbot.keyClick(box, Qt.Key.Key_Z, CONTROL)
    assert box.text() != "3.4 L"
    assert document.build.value("engine.displacement") == 0.0030
    box.selectAll()
    qtbot.keyClick(box, Qt.Key.Key_C, CONTROL)
    assert QApplication.clipboard().text() == box.text()


@pytest.mark.parametrize("path", ["engine.rated_flow", "bounds.tip_speed", "target.power"])
def test_a_field_shown_lies_wholly_in_sight_and_is_marked_for_a_moment(qtbot, window, path):
    fields = window.line.fields
    fields.reveal(frozenset({path}))
    row = QApplication.focusWidget().parentWidget()
    assert row.field.path == path
    corner = row.mapTo(fields.viewport(), QPoint(0, 0))
    assert fields.viewport().rect().contains(QRect(corner, row.size()))
    assert row.property("marked")
    settle(window)
    assert row.mapTo(fields.viewport(), QPoint(0, 0)) == corner
    qtbot.waitUntil(lambda: not row.property("marked"), timeout=4000)


def test_what_the_model_derives_stands_in_grey(window):
    fields, document = window.line.fields, window.document
    (row,) = fields.rows["engine.over_rev"]
    # ten per cent over the limiter of 6800 rpm, as its default says
    assert (row.editor.text(), row.editor.placeholderText()) == ("", "7480 rpm")
    assert "derived, now 7480 rpm" in row.editor.toolTip()
    (rated,) = fields.rows["engine.rated_flow"]
    assert rated.editor.placeholderText().endswith(" kg/s")
    document.edit("engine.limiter", 7000.0)
    assert row.editor.placeholderText() == "7700 rpm"
    assert "engine.over_rev" not in document.build.given
    window.preferences.change(system="us")
    assert rated.editor.placeholderText().endswith(" lb/min")
    document.edit("engine.over_rev", 8000.0)
    assert (row.editor.text(), row.editor.placeholderText()) == ("8000 rpm", "rpm")


@pytest.mark.parametrize("scale", [1.0, 1.5])
def test_every_row_of_the_ledger_is_whole(qtbot, window, scale):
    window.preferences.change(text_scale=scale)
    ledger = window.line.ledger
    # rows of heat soak come later: under a row that is unfolded before them they lie folded
    qtbot.waitUntil(lambda: not window.line.studies.soak.study.is_running, timeout=20_000)
    ledger.tree.expandAll()
    settle(window)
    if scale == 1.0:
        assert window.line.answers.width() <= 270
    metrics = ledger.tree.fontMetrics()
    count = 0
    for key, item in ledger._items.items():
        if len(key) == 1:
            continue
        index = ledger.tree.indexFromItem(item)
        rect = ledger.tree.visualRect(index)
        room = rect.width() - ledger.tree.iconSize().width() - 16 - 8
        assert metrics.horizontalAdvance(item.text(0)) <= room, item.text(0)
        assert metrics.horizontalAdvance(item.text(1)) <= ledger.tree.columnWidth(1) - 8
        count += 1
    assert count > 60


def test_a_row_chosen_keeps_its_dial_and_tells_the_whole_sentence(window):
    ledger = window.line.ledger
    item = ledger._items[("parts", "Boost", "boost", "freezing")]
    icon = item.icon(0)
    plain = icon.pixmap(16, QIcon.Mode.Normal).toImage()
    assert icon.pixmap(16, QIcon.Mode.Selected).toImage() == plain
    entry = ledger._entries[("parts", "Boost", "boost", "freezing")]
    words = sentence(entry, window.document.build)
    assert words in ledger.tip_of(item)
    assert TITLES["boost"] in ledger.tip_of(item)


def test_words_that_come_and_go_move_nothing(qtbot, window):
    line = window.line
    places = [w.geometry() for w in (line.across, line.map, line.side, line.answers)]
    line.say("1.20 bar needs a 61 mm pulley: impeller 12 % over its limit at 6500 rpm")
    settle(window)
    assert line.words.isVisible()
    assert line.words.geometry().intersects(line.across.geometry())
    assert [w.geometry() for w in (line.across, line.map, line.side, line.answers)] == places
    line.say_done("Written: map.png")
    assert line.words.text() == "Written: map.png"
    line.say("")
    assert line.words.isVisible()
    line.words._done.setInterval(30)
    line.say_done("Written: map.png")
    qtbot.waitUntil(lambda: not line.words.isVisible(), timeout=2000)


def test_hints_stand_under_the_work_and_cover_nothing(qtbot, window):
    from app.gui.hints import HINTS, HintBar

    (hints,) = window.findChildren(HintBar)
    assert hints.isVisible()
    first = hints.geometry()
    for words in HINTS:
        assert words in hints._words.text()
        assert hints.geometry() == first
        assert first.top() > window.places.geometry().bottom()
        assert first.bottom() <= window.centralWidget().height()
        assert hints._words.height() >= hints._words.heightForWidth(hints._words.width())
        if words is not HINTS[-1]:
            hints.next.click()
            settle(window)
    hints.enough.click()
    settle(window)
    assert not hints.isVisible()
    assert window.preferences.choices.hints_seen


def test_the_slider_reaches_what_the_shelf_has_and_a_margin():
    shelf = tuple(0.060 + 0.003 * k for k in range(16))
    low, high = pulley_range(shelf, 0.066)
    assert 0.050 <= low < 0.060
    assert 0.105 < high <= 0.115
    assert 0.045 / (high - low) > 0.75  # the shelf's share of it
    assert pulley_range(shelf, 0.200)[1] == 0.200
    assert pulley_range((), 0.066) == (0.045, 0.130)


def test_ticks_in_inches_have_two_decimals(window):
    window.preferences.change(system="us")
    labels = [label for _, label in window.line.sliders.pulley._ticks]
    assert labels[:2] == ["2.36", "2.48"]
    window.preferences.change(system="si")
    assert window.line.sliders.pulley._ticks[0][1] == "60"


def test_boxes_grow_with_the_text(window):
    box = window.line.sliders.pulley_box
    small = box.width()
    window.preferences.change(text_scale=1.5)
    settle(window)
    assert box.width() > 1.35 * (small - 20)
    assert box.fontMetrics().horizontalAdvance("250.0 mm") < box.width() - 12
    side = window.line.fields
    for rows in side.rows.values():
        for row in rows:
            if row.isVisible():
                assert (
                    row.mapTo(side.viewport(), QPoint(row.width(), 0)).x()
                    <= side.viewport().width()
                )


def test_a_window_opens_in_the_text_size_chosen(qtbot, preferences, tmp_path):
    preferences.change(text_scale=1.5)
    made = Window(
        Document(load_build(sample_builds()["road-six"]), None), preferences, tmp_path / "journal"
    )
    qtbot.addWidget(made)
    usual = QApplication.instance().property("base_size")
    assert made.line.sliders.pulley_box.font().pointSizeF() == pytest.approx(1.5 * usual)
    preferences.change(text_scale=1.0)


def test_share_asked_and_power_in_hand_are_told_together(window):
    snapshot = window.line.snapshot
    entry = next(e for e in snapshot.match.ledger if e.code == "target_power")
    words = sentence(entry, window.document.build)
    gap = (entry.value - entry.bound) / 1e3
    assert f"the 225.0 kW promised ask {100.0 * 225e3 / entry.value:.0f} % of it" in words
    assert words.endswith(f": {gap:.1f} kW in hand")
    assert "on the mild day" in words
    window.document.show_day("hot")
    settle(window)
    item = window.line.ledger._items[("target", "Asked")]
    assert item.text(0) == "Asked on mild"


def test_classroom_view_covers_every_answer_until_it_is_asked_for(window):
    line = window.line
    window.set_classroom(True)
    line.set_classroom(True)
    settle(window)
    sliders, headers = line.sliders, [one.header for one in line.strips._plots]
    answers = (line.answers, sliders.boost, sliders.boost_box, line.side)
    assert not any(one.isVisible() for one in answers)
    assert sliders.pulley.isVisible()
    assert sliders.pulley_box.isVisible()
    assert window.top.target.text() == ""
    assert all(one.is_covered for one in headers)
    assert not any(one.left.style["showValues"] for one in line.strips._plots)
    power = line.strips._plots[1]
    assert power.series.target.verdict == ""
    window.document.edit(PULLEY, 0.050)
    sliders.said.emit("impeller 31 % over its limit")
    settle(window)
    assert not line.words.isVisible()
    assert power.series.target.verdict == ""
    line.reveal_answers()
    settle(window)
    assert all(one.isVisible() for one in (line.answers, sliders.boost, sliders.boost_box))
    assert power.series.target.verdict != ""
    assert "Target" in window.top.target.text()
    line.set_classroom(False)
    window.set_classroom(False)
    settle(window)
    assert line.side.isVisible()
    assert all(one.left.style["showValues"] for one in line.strips._plots)
