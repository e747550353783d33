"""The window: opens alive, sliders move each other, edits undo, themes and units switch."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication, QMessageBox

from app.gui.document import Document
from app.gui.hints import HintBar
from app.gui.new_build import new_customer_build
from app.gui.preferences import Shelf
from app.gui.window import Window
from app.paths import sample_builds
from app.present.sentences import sentence
from engine_model import load_build, match, pulley_for_boost
from engine_model.inputs import Pin

PULLEY = "drive.blower_pulley_diameter"


@pytest.fixture
def open_window(qtbot, preferences, tmp_path):
    def make(name="road-six"):
        document = Document(load_build(sample_builds()[name]), None)
        window = Window(document, preferences, tmp_path / "journal")
        window.resize(1280, 720)
        qtbot.addWidget(window, before_close_func=lambda w: w.document.undo.setClean())
        window.show()
        return window

    return make


def settle(window):
    """Let the pace timer run out and everything be painted."""
    for _ in range(6):
        QApplication.processEvents()
        window.recompute.compute()


def press_at(qtbot, slider, share):
    x = round(slider.width() * share)
    qtbot.mousePress(slider, Qt.MouseButton.LeftButton, pos=QPoint(x, 10))
    return x


@pytest.mark.parametrize("name", sorted(sample_builds()))
def test_opens_alive_on_every_sample(open_window, name):
    window = open_window(name)
    settle(window)
    snapshot = window.line.snapshot
    assert snapshot is not None
    expected = match(load_build(sample_builds()[name]), window.document.day)
    np.testing.assert_array_equal(snapshot.match.line.boost_gauge_pa, expected.line.boost_gauge_pa)
    assert set(snapshot.by_day) == set(window.document.build.known_days())
    assert not window.isWindowModified()


def test_dragging_the_pulley_moves_the_boost_and_is_one_undo_step(qtbot, open_window):
    window = open_window()
    settle(window)
    sliders = window.line.sliders
    before = window.document.build
    boost_before = sliders.boost.real()
    x = press_at(qtbot, sliders.pulley, 0.5)
    for step in range(12):
        qtbot.mouseMove(sliders.pulley, QPoint(x - 6 * step, 10))
    window.recompute.compute()
    assert window.line.snapshot.days_are_old
    qtbot.mouseRelease(sliders.pulley, Qt.MouseButton.LeftButton, pos=QPoint(x - 66, 10))
    settle(window)
    after = window.document.build.value(PULLEY)
    assert after != before.value(PULLEY)
    assert sliders.pulley_box.value == after
    assert sliders.boost.real() != boost_before
    assert not window.line.snapshot.days_are_old
    assert window.document.undo.count() == 1
    window.work.undo()
    assert window.document.build is before


def test_boost_slider_stores_the_pulley_that_gives_it(qtbot, open_window):
    window = open_window()
    settle(window)
    sliders = window.line.sliders
    x = press_at(qtbot, sliders.boost, 0.25)
    qtbot.mouseRelease(sliders.boost, Qt.MouseButton.LeftButton, pos=QPoint(x, 10))
    settle(window)
    asked = sliders.boost.real()
    expected = pulley_for_boost(window.document.build, window.document.day, asked, 6800.0)
    assert window.document.build.value(PULLEY) == pytest.approx(expected.diameter, abs=2e-6)
    boost = window.line.snapshot.match.line.boost_gauge_pa[-1]
    assert boost == pytest.approx(asked, abs=5.0)


def test_boost_that_cannot_be_had_is_said(open_window):
    window = open_window()
    settle(window)
    window.line.sliders.speed.setValue(2000)
    window.line.sliders.boost.moved.emit(1.4e5)
    assert window.line.words.isVisible()
    assert "1.40 bar at 2000 rpm cannot be had: the most is" in window.line.words.text()


def test_boost_that_overspeeds_the_impeller_is_said(open_window):
    window = open_window()
    settle(window)
    window.line.sliders.boost.moved.emit(0.9e5)
    settle(window)
    window.line.sliders.boost.moved.emit(0.9e5)
    words = window.line.words.text()
    assert words.startswith("0.90 bar needs a 5")
    assert "% over its limit at 7480 rpm" in words


def test_change_of_day_moves_boost_never_the_pulley(open_window):
    window = open_window()
    settle(window)
    pulley = window.document.build.value(PULLEY)
    boost = window.line.snapshot.match.line.boost_gauge_pa[-1]
    window.top.day.setCurrentText("freezing")
    settle(window)
    assert window.document.build.value(PULLEY) == pulley
    assert window.line.snapshot.match.line.boost_gauge_pa[-1] > 1.08 * boost
    assert window.document.undo.count() == 0


def test_snapping_rests_on_the_shelf(qtbot, open_window, preferences):
    window = open_window()
    settle(window)
    preferences.change(snapping=True)
    x = press_at(qtbot, window.line.sliders.pulley, 0.41)
    qtbot.mouseRelease(window.line.sliders.pulley, Qt.MouseButton.LeftButton, pos=QPoint(x, 10))
    shelf = preferences.choices.shelf.pulleys
    assert window.document.build.value(PULLEY) in shelf


def test_banner_warns_of_what_is_over(open_window):
    window = open_window()
    settle(window)
    assert window.line.ledger.banner.text().startswith("OVER: Boost 109 % on the freezing day")
    window.document.edit("bounds.boost", None)
    window.document.edit("bounds.charge_temperature", 343.15)
    window.document.edit("drive.tension_allowance", 180.0)
    settle(window)
    assert window.line.ledger.banner.text() == "Nothing in parts is over on any day judged."


def test_themes_and_units_switch_without_an_edit(open_window, preferences):
    window = open_window()
    settle(window)
    before = window.grab().toImage()
    window.actions_by_name["toggle_theme"].trigger()
    window.actions_by_name["toggle_units"].trigger()
    settle(window)
    assert preferences.choices.theme == "dark"
    assert window.line.sliders.pulley_box.text() == "2.598 in"
    assert "hp" in window.top.target.text()
    assert window.document.undo.count() == 0
    after = window.grab().toImage()
    assert after.pixelColor(640, 5).lightness() < before.pixelColor(640, 5).lightness()


def test_a_broken_file_leaves_the_open_build(open_window, tmp_path, monkeypatch):
    window = open_window()
    told = []
    monkeypatch.setattr(QMessageBox, "warning", lambda *words: told.append(words[-1]))
    file = tmp_path / "broken.build.json"
    file.write_text('{"format": "pulleywright-build", "version": 9}', encoding="utf-8")
    before = window.document.build
    window.work.open_path(file)
    assert window.document.build is before
    assert len(told) == 1
    assert "broken.build.json was not opened." in told[0]
    assert "version" in told[0]


def test_save_and_open_come_back_as_left(open_window, tmp_path):
    window = open_window()
    window.document.edit(PULLEY, 0.0712)
    assert window.isWindowModified()
    window.document.save(tmp_path / "mine.build.json")
    assert not window.isWindowModified()
    left = window.document.build
    window.document.take(load_build(sample_builds()["tow-eight"]), None)
    window.work.open_path(tmp_path / "mine.build.json")
    assert window.document.build == left


def test_classroom_covers_answers_until_a_key(qtbot, open_window):
    window = open_window()
    settle(window)
    window.actions_by_name["toggle_classroom"].trigger()
    settle(window)
    assert window.isFullScreen()
    assert not window.line.answers.isVisible()
    assert not window.line.side.isVisible()
    window.line.reveal_answers()
    assert window.line.ledger.isVisible()
    window.line.reveal_answers()
    assert not window.line.ledger.isVisible()
    window.actions_by_name["toggle_classroom"].trigger()
    assert window.line.ledger.isVisible()
    assert window.line.fields.isVisible()


def test_every_action_has_a_tip_and_keys_are_unique():
    from app.gui.actions import ACTIONS

    keys = [row.keys for row in ACTIONS if row.keys]
    assert len(keys) == len(set(keys))
    assert all(row.tip for row in ACTIONS)


def test_exported_picture_is_what_the_screen_shows(open_window, tmp_path):
    """The axes' numbers stand where the screen has them, at twice the pixels."""
    from PySide6.QtCore import QSize
    from PySide6.QtGui import QImage

    window = open_window()
    settle(window)
    window.line.drawing.export("png", tmp_path / "map.png")
    written = QImage(str(tmp_path / "map.png"))
    screen = window.line.map.viewport().grab().toImage()
    size = QSize(screen.width(), screen.height())
    assert written.size() == 2 * size

    def dark(image):
        """Share of dark pixels in every column of the band of the flow axis' numbers."""
        small = image.scaled(size).convertToFormat(QImage.Format.Format_Grayscale8)
        rows = np.array(
            [
                [small.pixelColor(x, y).lightness() < 140 for x in range(size.width())]
                for y in range(size.height() - 44, size.height() - 24)
            ]
        )
        return np.convolve(rows.mean(axis=0), np.ones(9) / 9, mode="same")

    one, other = dark(screen), dark(written)
    assert np.corrcoef(one, other)[0, 1] > 0.8


def test_units_there_and_back_leave_the_map_as_it_was(open_window):
    window = open_window()
    settle(window)
    before = window.line.map._box.viewRange()
    window.actions_by_name["toggle_units"].trigger()
    settle(window)
    window.actions_by_name["toggle_units"].trigger()
    settle(window)
    np.testing.assert_allclose(window.line.map._box.viewRange(), before, rtol=1e-6)


def test_a_warning_of_the_slider_goes_with_the_next_edit(open_window):
    window = open_window()
    settle(window)
    window.line.sliders.speed.setValue(2000)
    window.line.sliders.boost.moved.emit(1.4e5)
    assert window.line.words.isVisible()
    window.work.undo()
    assert not window.line.words.isVisible()


def test_a_new_build_takes_the_shelf_along(open_window, preferences, tmp_path):
    preferences.change(shelf=Shelf(pulleys=(0.06, 0.0635), cores=("tall core",), shop="Our shop"))
    window = open_window()
    settle(window)
    window.work.take_new(new_customer_build("Blue wagon"))
    window.document.save(tmp_path / "blue.build.json")
    kept = load_build(tmp_path / "blue.build.json").shelf
    assert (kept.pulleys, kept.cores, kept.shop) == ((0.06, 0.0635), ("tall core",), "Our shop")
    # a later change of the shelf leaves it alone
    preferences.change(shelf=Shelf(pulleys=(0.07,)))
    assert window.document.build.shelf.pulleys == (0.06, 0.0635)
    # until it is asked for, as one step
    preferences.change(shelf=Shelf(injectors=(550e-6 / 60.0, 650e-6 / 60.0)))
    window.actions_by_name["take_shelf"].trigger()
    assert window.document.undo.undoText() == "Take the shop's shelf"
    small = {"engine.fuel": "E85", "fuel_system.injector_flow": 400e-6 / 60.0}
    window.document.edit_many(small, "Small injectors")
    settle(window)
    duty = next(e for e in window.line.snapshot.match.ledger if e.code == "injector_duty")
    told = sentence(duty, window.document.build)
    assert "486 cc/min each would keep 85 %, on the shelf 550 cc/min" in told
    window.document.undo.undo()
    window.document.undo.undo()
    assert window.document.build.shelf.pulleys == (0.06, 0.0635)


def test_undo_and_redo_say_what_they_act_on(open_window):
    window = open_window()
    settle(window)
    undo, redo = window.actions_by_name["undo"], window.actions_by_name["redo"]
    assert not undo.isEnabled()
    window.document.edit(PULLEY, 0.07)
    assert undo.text() == "&Undo change blower pulley"
    assert undo.isEnabled()
    undo.trigger()
    assert redo.text() == "&Redo change blower pulley"
    assert not undo.isEnabled()
    assert window.document.build.value(PULLEY) == pytest.approx(0.066)
    pin = Pin("cold & hot")
    window.document.replace(
        replace(window.document.build, pins=(pin,)), frozenset({"pins"}), f"Pin {pin.name}"
    )
    assert undo.text() == "&Undo pin cold && hot"


def test_hints_stand_under_the_line_place_only(open_window, preferences):
    preferences.change(hints_seen=False)
    window = open_window()
    settle(window)
    (hints,) = window.findChildren(HintBar)
    assert hints.isVisible()
    window.rail.show_place("trace")
    assert not hints.isVisible()
    window.rail.show_place("line")
    assert hints.isVisible()
    window.set_classroom(True)
    assert not hints.isVisible()
    window.set_classroom(False)
    assert hints.isVisible()
    hints.enough.click()
    window.rail.show_place("trace")
    window.rail.show_place("line")
    assert not hints.isVisible()
    window.places_by_key["trace"].end()
