"""What a new user stumbled over in ledger, *Why*, fields and days, and stays mended."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import dataclasses
import re

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication, QLabel

from app.fields import FIELD
from app.gui.day_edits import put_day
from app.gui.document import Document
from app.gui.new_build import new_customer_build
from app.gui.recompute import Recompute
from app.gui.theme import surfaces
from app.gui.window import Window
from app.paths import sample_builds
from app.present.ledger_words import NOTHING_OVER, why_markup, why_title
from app.present.sentences import TITLES, percent
from app.present.unbroken import broken
from engine_model import load_build
from engine_model.counted_inputs import assumed_inputs, count_inputs, unused_inputs
from engine_model.inputs import NAMED_DAYS, Build, Drive

NAN = float("nan")
UNBLOWN = Build(drive=Drive(kind="none"))
OVER_REV = ("parts", "Impeller", "impeller_speed_over_rev")


@pytest.fixture
def window(qtbot, preferences, tmp_path):
    """An active window on the default sample, at the smallest usual size."""
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


def click(qtbot, window, key):
    """Click a row of the ledger, its parents unfolded."""
    tree = window.line.ledger.tree
    item = window.line.ledger._items[key]
    tree.scrollToItem(item)
    spot = tree.visualItemRect(item).center()
    qtbot.mouseClick(tree.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    settle(window)
    qtbot.waitUntil(lambda: not window.line._why_timer.isActive())


# days that came and went


def days_of(ledger):
    keys = [key for key in ledger._items if key[:3] == OVER_REV and len(key) == 4]
    item = ledger._items[OVER_REV]
    rows = [item.child(k).text(0) for k in range(item.childCount())]
    assert sorted(rows) == sorted(key[3] for key in keys)
    return rows


def test_a_day_that_is_gone_leaves_no_row(window):
    line, document = window.line, window.document
    line.side.setCurrentIndex(1)
    days = line.side.days
    before = days_of(line.ledger)
    days.add_day()
    settle(window)
    assert days_of(line.ledger) == [*before, "new day"]
    days.name.setText("Track at 1800 m")
    days.name.editingFinished.emit()
    settle(window)
    assert days_of(line.ledger) == [*before, "Track at 1800 m"]
    line.ledger.tree.setCurrentItem(line.ledger._items[(*OVER_REV, "Track at 1800 m")])
    days.remove_chosen()
    settle(window)
    assert days_of(line.ledger) == before
    window.work.undo()
    settle(window)
    document.take(new_customer_build("Another"), None)
    settle(window)
    assert days_of(line.ledger) == list(NAMED_DAYS)
    assert set(line.ledger._looks) <= set(line.ledger._items)


def test_while_dragging_only_days_of_the_build_are_told(document):
    recompute, found = Recompute(document), []
    recompute.ready.connect(found.append)
    shore = dataclasses.replace(NAMED_DAYS["mild"], name="shore")
    without = document.build
    document.replace(put_day(without, shore), frozenset({"days"}), "Add a day")
    recompute.compute()
    assert "shore" in found[-1].by_day
    recompute.set_dragging(True)
    document.replace(without, frozenset({"days"}), "Take it away")
    recompute.compute()
    assert found[-1].days_are_old
    assert set(found[-1].by_day) == set(NAMED_DAYS)
    recompute.set_dragging(False)


def test_a_new_build_forgets_what_was_renamed(window):
    window.line.side.setCurrentIndex(1)
    days = window.line.side.days
    days.add_day()
    days.name.setText("Track")
    days.name.editingFinished.emit()
    assert days._other_name
    window.document.take(new_customer_build(""), None)
    assert not days._other_name


# the banner


def test_the_banner_tells_a_target_that_is_not_reached(window):
    assert NOTHING_OVER not in window.line.ledger.banner.text()
    window.document.edit_many({"bounds.boost": None, "target.power": 4e5}, "Ask for more")
    window.document.edit("bounds.charge_temperature", 350.0)
    window.document.edit("drive.tension_allowance", 180.0)
    settle(window)
    told = window.line.ledger.banner
    assert "kW short of 400.0 kW" in told.text()
    assert told.property("short")
    assert not told.property("alarm")


# why


def test_why_says_value_bound_state_and_that_a_missed_shift_is_not_drawn(qtbot, window):
    window.document.edit("drive.blower_pulley_diameter", 0.0565)
    settle(window)
    window.line.ledger._items[OVER_REV[:2]].setExpanded(True)
    click(qtbot, window, OVER_REV)
    why = window.line.why
    found = window.line.ledger._entries[OVER_REV]
    assert why.isVisible()
    assert f"{found.value:.0f} rpm at 7480 rpm, most 82000 rpm" in (broken(why.about.text()))
    assert f": {found.state}, {percent(found.used)} used." in broken(why.about.text())
    assert "A missed shift is not drawn: the line ends at the limiter, 6800 rpm." in broken(
        why.about.text()
    )
    assert "not drawn" in window.line.ledger.detail.text()
    assert window.line.ledger.banner.text().count("\n") == 0
    assert broken(why.about.text())[:30] in why.as_text()


def test_why_of_another_day_says_so_and_leads_there(qtbot, window):
    ledger = window.line.ledger
    for depth in (2, 3):
        ledger._items[("parts", "Charge air", "charge_temperature")[:depth]].setExpanded(True)
    click(qtbot, window, ("parts", "Charge air", "charge_temperature", "hot"))
    why = window.line.why
    assert why.title.text().endswith("on the hot day (the charts show mild)")
    link = re.search(r'href="([^"]+)">show this day<', broken(why.about.text()))[1]
    assert "show this day" not in why.as_text()
    why.about.linkActivated.emit(link)
    settle(window)
    qtbot.waitUntil(lambda: not window.line._why_timer.isActive())
    assert window.document.day.name == "hot"
    assert why.title.text().endswith("on the hot day")
    assert "href" not in broken(why.about.text())


def test_an_entry_without_an_engine_speed_is_told_in_words(qtbot, window):
    why, build = window.line.why, window.document.build
    click(qtbot, window, ("trust", "Inputs"))
    assert why.title.text() == "Why: Assumed inputs"
    text = why.words.toPlainText()
    assert f"{len(build.given)} given, {len(assumed_inputs(build))} assumed" in text
    assert text.count(": ") == len(assumed_inputs(build))
    assert window.line.drawing.cursor is None
    assert not why.tree.isVisible()
    assert "driveline loss: 15.0 %" in why.as_text()
    why.followed.emit("driveline.loss")
    assert QApplication.focusWidget().accessibleName() == "Driveline loss"
    click(qtbot, window, ("trust", "Compressor map"))
    assert why.title.text() == "Why: Quality of the compressor map"
    assert "efficiency traced" in why.words.toPlainText().casefold()
    click(qtbot, window, ("parts", "Surge"))
    assert why.tree.isVisible()
    assert not why.words.isVisible()
    assert why.title.text().startswith("Why: Surge margin at ")


def test_words_of_why_for_every_entry(window):
    build = window.document.build
    for one in window.line.snapshot.match.ledger:
        assert TITLES[one.code] in why_title(one, "mild")
        shown = why_markup(one, build, "mild")
        assert "href" not in shown
        other = why_markup(dataclasses.replace(one, day="hot"), build, "mild")
        assert ("href" in other) == (one.code not in ("assumed_inputs", "map_quality"))


def test_the_keys_reach_the_ledger_and_the_focus_alone_opens_nothing(qtbot, window):
    line, tree = window.line, window.line.ledger.tree
    line.sliders.pulley_box.setFocus()
    window.actions_by_name["fold_panels"].trigger()
    qtbot.keyClick(line.sliders.pulley_box, Qt.Key.Key_G, Qt.KeyboardModifier.ControlModifier)
    settle(window)
    assert tree.hasFocus()
    assert tree.currentItem() is not None
    assert not line.why.isVisible()
    qtbot.keyClick(tree, Qt.Key.Key_Down)
    assert line.why.isVisible()
    line.close_why()
    window.document.edit("drive.blower_pulley_diameter", 0.07)
    settle(window)
    assert not line.why.isVisible()
    qtbot.keyClick(tree, Qt.Key.Key_Return)
    assert line.why.isVisible()
    line.go_to_ledger()
    assert line.sliders.pulley_box.hasFocus()


# given and assumed


@pytest.mark.parametrize("name", [*sample_builds(), ""])
def test_dots_list_and_headline_count_the_same(qtbot, window, name):
    build = load_build(sample_builds()[name]) if name else new_customer_build("")
    window.document.take(build, None)
    fields = window.line.fields
    assumed = count_inputs(build)[0]
    assert len(assumed_inputs(build)) == assumed
    dots = {path for path, rows in fields.rows.items() if all(row.mark.text() for row in rows)}
    assert dots == set(assumed_inputs(build))
    fields.headline.linkActivated.emit("assumed")
    shown = [row for rows in fields.rows.values() for row in rows if row.isVisible()]
    assert fields.only.isChecked()
    assert len(shown) == assumed
    assert f"{assumed} assumed" in fields.headline.accessibleName()
    fields.only.setChecked(False)
    assert not fields.folds[1].body.isVisible()


def test_a_field_just_given_stays_in_the_list_and_one_asked_for_comes_back(window):
    fields, document = window.line.fields, window.document
    fields.only.setChecked(True)
    row = fields.rows["driveline.loss"][-1]
    document.edit("driveline.loss", 0.12)
    assert row.isVisible()
    assert not row.mark.text()
    window.work.undo()
    assert row.mark.text()
    fields.reveal(frozenset({"engine.displacement"}))
    assert not fields.only.isChecked()
    assert QApplication.focusWidget().accessibleName() == "Displacement"


def test_fields_of_another_drive_stand_apart(window):
    fields, document = window.line.fields, window.document
    home = [row.field.path for row in fields.findChildren(type(fields.rows["drive.ribs"][0]))]
    for kind in ("belt", "free_shaft", "none", "belt"):
        document.edit("drive.kind", kind)
        unused = unused_inputs(document.build)
        for path, rows in fields.rows.items():
            assert fields.unused.isAncestorOf(rows[-1]) == (path in unused)
        ten = [row for row in fields.rows["drive.blower_pulley_diameter"] if row.isVisible()]
        assert bool(ten) == (kind == "belt")
    assert "drive.boost_schedule" in unused
    order = [path for path in home if path.startswith("drive.") and path not in unused]
    drive = next(fold for fold in fields.folds if fold.head.text() == "Drive")
    rows = sorted(
        (row for rows in fields.rows.values() for row in rows if drive.isAncestorOf(row)),
        key=lambda row: drive.rows.indexOf(row),
    )
    in_group = [row.field.path for row in rows]
    assert in_group == [p for p in FIELD if p.startswith("drive.") and p not in unused]
    assert set(in_group) == set(order)


# room


def test_the_headline_keeps_its_room(window):
    fields = window.line.fields
    place = fields.ten.y()
    for text in ("22 given", "<br>".join(["22 given, 36 assumed; these"] * 4)):
        fields.headline.setText(text)
        settle(window)
        assert fields.ten.y() == place


def test_names_reach_as_far_as_their_states_leave_them_room(window):
    ledger = window.line.ledger
    item = ledger._items[("target", "Asked")]
    ledger.tree.set_name(item, "Asked on hot and high")
    left = ledger.tree.visualItemRect(item).left() + ledger.tree.iconSize().width() + 12
    room = ledger.tree.rows.edge(item) - left
    metrics = ledger.tree.fontMetrics()
    assert metrics.horizontalAdvance("Asked on hot and high") < room
    assert ledger.tree.columnWidth(0) - left < room - 10


def test_links_take_the_colour_of_the_theme(window):
    link = {}
    for theme in ("light", "dark"):
        window.preferences.change(theme=theme)
        settle(window)
        label: QLabel = window.line.fields.headline
        wanted = QColor(surfaces(theme)["accent"])
        image = label.grab().toImage()
        link[theme] = sum(
            abs(image.pixelColor(x, y).hue() - wanted.hue()) < 8
            and image.pixelColor(x, y).saturation() > 90
            for x in range(0, image.width(), 2)
            for y in range(image.height())
        )
    assert min(link.values()) > 20
