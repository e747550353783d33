"""What a new user stumbled over at sliders, top bar, title and text size."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import itertools
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QLabel, QWidget

from app.gui.document import Document
from app.gui.new_build import new_customer_build
from app.gui.panels.slider_ranges import pulley_range
from app.gui.text_size import SIZES
from app.gui.title_dialog import TitleDialog
from app.gui.widgets.floating import PassingWords
from app.gui.window import Window
from app.paths import sample_builds
from engine_model import load_build

PULLEY = "drive.blower_pulley_diameter"
KEY = Qt.Key


@pytest.fixture
def window(qtbot, preferences, tmp_path):
    document = Document(load_build(sample_builds()["road-six"]), None)
    made = Window(document, preferences, tmp_path / "journal")
    made.resize(1280, 720)
    qtbot.addWidget(made, before_close_func=lambda w: w.document.undo.setClean())
    made.show()
    settle(made)
    return made


def settle(window):
    """Let the pace timer run out and everything be painted."""
    for _ in range(3):
        QApplication.processEvents()
        window.recompute.compute()


def pulley(window):
    return window.document.build.value(PULLEY)


def at_text(window, percent):
    window.preferences.change(text_scale=percent / 100.0)
    settle(window)


def test_keys_step_the_sizes_of_the_shelf_where_it_snaps(window):
    sliders = window.line.sliders
    shelf = window.preferences.choices.shelf.pulleys
    window.preferences.change(snapping=True)
    window.document.edit(PULLEY, 0.0662)
    settle(window)
    for widget in (sliders.pulley, sliders.pulley_box):
        window.document.edit(PULLEY, 0.0662)
        at = next(i for i, size in enumerate(shelf) if size > 0.0662)
        for key, size in (
            (KEY.Key_Up, shelf[at]),
            (KEY.Key_Up, shelf[at + 1]),
            (KEY.Key_PageUp, shelf[at + 4]),
            (KEY.Key_Down, shelf[at + 3]),
            (KEY.Key_PageDown, shelf[at]),
        ):
            QTest.keyClick(widget, key)
            settle(window)
            assert pulley(window) == size
    QTest.keyClick(sliders.pulley, KEY.Key_Home)
    assert pulley(window) == shelf[0]
    QTest.keyClick(sliders.pulley, KEY.Key_End)
    assert pulley(window) == shelf[-1]


def test_more_boost_by_keys_is_the_next_smaller_size(window):
    window.preferences.change(snapping=True)
    for widget in (window.line.sliders.boost, window.line.sliders.boost_box):
        window.document.edit(PULLEY, 0.072)
        QTest.keyClick(widget, KEY.Key_Up)
        assert pulley(window) == 0.069
        QTest.keyClick(widget, KEY.Key_Down)
        assert pulley(window) == 0.072


def test_keys_are_fine_where_nothing_snaps(window):
    QTest.keyClick(window.line.sliders.pulley, KEY.Key_Up)
    assert pulley(window) == pytest.approx(0.0661)


def test_home_is_a_whole_size_and_the_handle_stands_whole(window):
    slider = window.line.sliders.pulley
    QTest.keyClick(slider, KEY.Key_Home)
    settle(window)
    assert pulley(window) == 0.054
    handle = slider._handle()
    assert handle.left() >= 2  # the frame of the focus has room
    QTest.keyClick(slider, KEY.Key_End)
    settle(window)
    assert slider._handle().right() <= slider.width() - 3
    assert pulley_range((0.060, 0.105), 0.066) == (0.054, 0.111)
    assert pulley_range((0.060, 0.105), 0.054) == (0.054, 0.111)


@pytest.mark.parametrize("percent", [100, 150, 200])
def test_sliders_and_day_stay_usable_at_every_text_size(window, percent):
    at_text(window, percent)
    sliders, top = window.line.sliders, window.top
    digit = sliders.fontMetrics().horizontalAdvance("0")
    for slider in (sliders.pulley, sliders.boost):
        assert slider.width() >= 18 * digit
        labels = slider.placed_labels()
        assert len(labels) >= 3
        for before, after in itertools.pairwise(labels):
            assert before[1] < after[0]
        small = QFontMetrics(slider._small_font())
        assert slider.height() - slider._tick_top >= small.height()
    # nothing of the bar has gone behind its sign for more
    assert top.day.isVisible()
    assert top.day.mapTo(window, top.day.rect().bottomRight()).x() < window.width()
    assert top.widgetForAction(window.actions_by_name["toggle_units"]).isVisible()


def test_a_wrong_value_is_marked_and_told_clear_of_the_maps_title(window):
    sliders, words = window.line.sliders, window.line.words
    sliders.boost_box.setText("9 bar")
    sliders.boost_box.editingFinished.emit()
    settle(window)
    assert sliders.boost_box.property("wrong")
    assert words.text() == "9 bar given; allowed: 0.01 bar to 5.00 bar"
    title = next(box for text, box in window.line.map.placed_texts if "Bench frame" in text)
    canvas = window.line.map.mapTo(window.line, window.line.map.rect().topLeft())
    assert words.y() > canvas.y() + title.top + title.height
    sliders.boost_box.setText("0.4 bar")
    sliders.boost_box.editingFinished.emit()
    settle(window)
    assert not sliders.boost_box.property("wrong")
    assert not words.isVisible()


def test_the_boost_of_a_free_shaft_has_the_whole_row(window):
    beside = window.line.sliders.boost.width()
    window.document.edit("drive.kind", "free_shaft")
    settle(window)
    sliders = window.line.sliders
    assert sliders.pulley.isHidden()
    assert sliders.boost.width() > beside
    assert sliders.boost.x() < sliders.width() / 3
    window.work.undo()
    settle(window)
    assert sliders.boost.width() == beside
    assert sliders.pulley.isVisible()


def test_an_empty_box_says_nothing_given(window):
    said = []
    window.line.sliders.said.connect(said.append)
    box = window.line.sliders.pulley_box
    box.setText("")
    box.editingFinished.emit()
    assert said[-1].startswith("nothing given; allowed: ")


def test_a_speed_out_of_range_is_refused_in_words(window):
    speed = window.line.sliders.speed
    speed.lineEdit().setText("99999 rpm")
    QTest.keyClick(speed, KEY.Key_Return)
    assert speed.value() == 6800
    words = "99999 rpm given; allowed: 1000 to 6800 rpm; still at 6800 rpm"
    assert window.line.words.text() == words
    speed.lineEdit().setText("4200")
    QTest.keyClick(speed, KEY.Key_Return)
    assert speed.value() == 4200


def test_another_build_begins_at_its_own_limiter(window):
    window.line.sliders.speed.setValue(6200)
    window.document.edit(PULLEY, 0.07)
    settle(window)
    assert window.line.sliders.speed.value() == 6200
    window.document.undo.setClean()
    window.work.take_new(new_customer_build("Blue wagon"))
    settle(window)
    assert window.line.sliders.speed.value() == int(window.document.build.engine.limiter)


def test_title_and_notes_are_edited_as_one_step(window, monkeypatch):
    def run(dialog):
        assert dialog.title.text() == "Road six"
        dialog.title.setText("  Blue   wagon ")
        dialog.notes.setPlainText("Second visit")
        return QDialog.DialogCode.Accepted

    monkeypatch.setattr(TitleDialog, "exec", run)
    before = window.document.build
    window.actions_by_name["edit_title"].trigger()
    build = window.document.build
    assert (build.title, build.notes) == ("Blue wagon", "Second visit")
    assert replace(build, title=before.title, notes=before.notes) == before
    assert window.windowTitle().startswith("Blue wagon [*]")
    assert window.top.title.text().startswith("Blue wagon")
    assert window.document.undo.count() == 1
    window.work.undo()
    assert window.windowTitle().startswith("Road six [*]")
    monkeypatch.setattr(TitleDialog, "exec", lambda dialog: QDialog.DialogCode.Rejected)
    QTest.mouseClick(window.top.title, Qt.MouseButton.LeftButton)
    assert window.document.build is before


def test_a_build_for_a_customer_asks_for_its_title(window, monkeypatch):
    answers = [QDialog.DialogCode.Rejected, QDialog.DialogCode.Accepted]

    def run(dialog):
        assert dialog.title.text() == ""
        dialog.title.setText("Green estate")
        return answers.pop(0)

    monkeypatch.setattr(TitleDialog, "exec", run)
    action = window.new_menu.actions()[0]
    before = window.document.build
    action.trigger()
    assert window.document.build is before
    action.trigger()
    assert window.document.build.title == "Green estate"
    assert window.document.build.given == frozenset()
    assert window.document.undo.count() == 0


def test_the_target_follows_the_unit_of_power(window):
    assert "Target 225.0 kW" in window.top.target.text()
    window.preferences.change(units=(("power", "hp"),))
    # 225 kW over 745.69987 W, the mechanical horsepower of NIST SP 811
    assert "Target 301.7 hp" in window.top.target.text()


def test_text_sizes_are_chosen_in_per_cent_and_told(window):
    menu = window.text_menu
    assert menu.title() == "&Text size (100 %)"
    assert [action.data() for action in menu.actions()] == list(SIZES)
    menu.actions()[SIZES.index(130)].trigger()
    assert window.preferences.choices.text_scale == 1.3
    assert menu.title() == "&Text size (130 %)"
    assert [a.data() for a in menu.actions() if a.isChecked()] == [130]
    window.actions_by_name["text_larger"].trigger()
    assert window.preferences.choices.text_scale == 1.5
    assert window.line.words.text() == "Text size 150 %"
    window.preferences.change(text_scale=0.8)
    assert [a.data() for a in menu.actions() if a.isChecked()] == []
    for _ in range(2):
        window.actions_by_name["text_smaller"].trigger()
        assert window.preferences.choices.text_scale == 0.75


def test_no_tab_changes_the_width_of_the_column(window):
    side = window.line.side
    width = side.width()
    for index in range(side.count()):
        side.setCurrentIndex(index)
        settle(window)
        assert side.width() == width
    window.work.pin_line()
    settle(window)
    window.work.undo()
    settle(window)
    assert side.width() == width
    for index in range(1, side.count()):
        leaf = side.widget(index)
        assert leaf.widget().minimumSizeHint().width() <= leaf.viewport().width()


def test_links_take_the_colour_of_another_theme(window):
    label = QLabel('<a href="x">three links</a>', window)
    label.resize(200, 30)
    label.show()

    def colors():
        image = label.grab().toImage()
        spots = ((x, y) for x in range(image.width()) for y in range(image.height()))
        return {image.pixelColor(x, y).name() for x, y in spots}

    # the accents of the two themes
    assert "#2f5d8a" in colors()
    window.preferences.change(theme="dark")
    settle(window)
    assert "#7fb0de" in colors()
    assert "#2f5d8a" not in colors()


def test_words_stand_where_they_are_told_to(qtbot):
    host = QWidget()
    qtbot.addWidget(host)
    anchor = QWidget(host)
    anchor.setGeometry(20, 10, 560, 280)
    words = PassingWords(host, anchor, lambda: (40, 50, 120))
    host.resize(600, 300)
    host.show()
    words.say("Something that is rather long and wraps in a narrow room")
    assert words.pos() == anchor.pos() + QPoint(40, 50)
    assert words.width() <= 120
