"""What a new user stumbled over at names of files, shelf, pins, compressor maps and notices."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from dataclasses import replace

import pytest
from pins_bench import Bench
from PySide6.QtCore import QSettings
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from app.fields import try_list, unit_of, units_of
from app.gui.file_names import BUILD, MAP, FileKind, ask_open, ask_save, plain_name
from app.gui.panels.pins_model import Cell
from app.gui.panels.pins_table import Cells
from app.gui.preferences import Preferences
from app.gui.shelf_dialog import ShelfDialog
from app.paths import sample_builds, sample_maps
from app.present.map_words import limit_words, map_facts
from app.present.pin_table import columns_for, difference, figures_of, used_difference, value_text
from app.present.pins import make_pin, shelf_pins
from engine_model.files.build_file import load_build
from engine_model.files.map_file import load_map
from engine_model.inputs import NAMED_DAYS, Pin
from engine_model.matching import match
from engine_model.units import QUANTITIES

START = load_build(sample_builds()["road-six"])
PULLEY = "drive.blower_pulley_diameter"
SHELF = (0.060, 0.066, 0.072)


@pytest.fixture
def asked(monkeypatch):
    """File dialogs answered at once with a name; what each began with."""

    class Answers:
        name = ""

    def answer(owner, title, start, kinds):
        Answers.began.append(start)
        return str(Answers.name), kinds

    Answers.began = []
    monkeypatch.setattr(QFileDialog, "getOpenFileName", answer)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", answer)
    return Answers


@pytest.fixture
def owner(qtbot):
    made = QWidget()
    qtbot.addWidget(made)
    return made


# names of files


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("customer-one", "customer-one.build.json"),
        ("customer.one", "customer.one.build.json"),
        ("customer.build.json", "customer.build.json"),
        ("customer.JSON", "customer.JSON"),
    ],
)
def test_a_name_gets_its_ending(asked, owner, preferences, tmp_path, typed, written):
    asked.name = tmp_path / typed
    assert ask_save(owner, preferences, BUILD, "Road-six.build.json") == tmp_path / written


def test_what_is_there_under_the_whole_name_is_asked_about(
    asked, owner, preferences, tmp_path, monkeypatch
):
    (tmp_path / "one.build.json").write_text("old", encoding="utf-8")
    asked.name, told = tmp_path / "one", []
    buttons = QMessageBox.StandardButton
    monkeypatch.setattr(QMessageBox, "question", lambda *a: told.append(a[2]) or buttons.No)
    assert ask_save(owner, preferences, BUILD, "x") is None
    assert told == ["one.build.json is there already. Replace it?"]
    monkeypatch.setattr(QMessageBox, "question", lambda *a: buttons.Yes)
    assert ask_save(owner, preferences, BUILD, "x") == tmp_path / "one.build.json"


def test_each_kind_begins_where_it_was_last(asked, owner, preferences, tmp_path):
    builds, maps = tmp_path / "builds", tmp_path / "maps"
    for folder in (builds, maps):
        folder.mkdir()
    preferences.remember_file(str(builds / "last.build.json"))
    asked.name = maps / "one.map.json"
    assert ask_open(owner, preferences, MAP) == maps / "one.map.json"
    assert asked.began[-1] == str(builds)  # nothing of this kind was asked for yet
    asked.name = ""
    assert ask_open(owner, preferences, MAP) is None
    assert asked.began[-1] == str(maps)
    assert ask_open(owner, preferences, BUILD) is None
    assert asked.began[-1] == str(builds)
    chart = FileKind("chart", "a chart", "PNG (*.png)", (".png",))
    ask_save(owner, preferences, chart, "map.png")
    assert asked.began[-1] == str(builds / "map.png")
    ask_save(owner, preferences, BUILD, str(maps / "named.build.json"))
    assert asked.began[-1] == str(maps / "named.build.json")
    # kept between runs; a folder that is gone is left out
    again = Preferences(QSettings(preferences._settings.fileName(), QSettings.Format.IniFormat))
    assert again.folder_of("map") == str(maps)
    maps.rmdir()
    assert again.folder_of("map") == ""


def test_a_title_makes_a_name_of_a_file():
    assert plain_name("Blue wagon / 3.2 L") == "Blue-wagon-3-2-L"
    assert plain_name("???") == "build"


# the shelf


def test_every_fault_of_a_list_is_told(preferences, qtbot):
    values, faults = try_list("60, bananas, 63 mm, 9 m", "length", "Pulleys", 0.04, 0.25)
    assert values == (0.060, 0.063)
    assert [fault.value for fault in faults] == ["bananas", "9 m"]
    dialog = ShelfDialog(preferences)
    qtbot.addWidget(dialog)
    dialog.boxes["pulleys"].set_text("bananas, 900 mm")
    dialog.boxes["belts"].set_text("nope mm")
    assert dialog.read_shelf() is None
    told = dialog.boxes["pulleys"].sentence.text().splitlines()
    assert [line.split(" given")[0] for line in told] == ["bananas", "900 mm"]
    assert dialog.boxes["belts"].sentence.text().startswith("nope mm given")


def test_an_empty_shelf_shows_its_form(preferences, qtbot):
    dialog = ShelfDialog(preferences)
    qtbot.addWidget(dialog)
    assert "mm" in dialog.boxes["cores"].edit.placeholderText()
    for name in ("pulleys", "belts", "injectors"):
        # what the pattern shows is read
        pattern = dialog.boxes[name].edit.placeholderText()
        assert pattern.startswith("none yet, e.g. ")
        dialog.boxes[name].set_text(pattern.removeprefix("none yet, e.g. "))
    assert dialog.read_shelf() is not None


def test_watts_are_not_among_the_units_to_choose():
    assert "W" not in units_of("power")
    assert {unit_of("power", "si"), unit_of("power", "us")} <= set(units_of("power"))
    assert "W" in {unit.symbol for unit in QUANTITIES["power"].units}  # still typed


# pins


def test_a_size_that_is_pinned_already_is_left_out():
    held = make_pin(START.with_value(PULLEY, 0.066), "mine")
    lean = Pin("lean", ((PULLEY, 0.060),))
    build = replace(START, pins=(held, lean))
    assert [pin.name for pin in shelf_pins(build, SHELF)] == ["72 mm"]
    # a change that no field shows makes no other build; one that is shown does
    loss = build.value("driveline.loss")
    hair = build.with_value("driveline.loss", loss + 1e-5)
    assert [pin.name for pin in shelf_pins(hair, SHELF)] == ["72 mm"]
    other = build.with_value("driveline.loss", loss + 0.01)
    assert [pin.name for pin in shelf_pins(other, SHELF)] == ["66 mm", "72 mm"]


@pytest.fixture(scope="module")
def compared():
    day = NAMED_DAYS["mild"]
    made = []
    for diameter in (0.0663, *(0.060 + 0.0015 * k for k in range(20))):
        one = match(START.with_value(PULLEY, diameter), day)
        made.append(figures_of("x", one.line, one.build.engine.limiter, one.ledger))
    return made


def test_a_difference_is_that_of_the_numbers_shown(compared):
    present, *pins = compared
    count = 0
    for figures in pins:
        for column in columns_for():
            here, there = (float(value_text(column, one)) for one in (figures, present))
            assert float(difference(column, figures, present)) == pytest.approx(here - there)
            raw = column.value(figures) - column.value(present)
            count += column.kind == "boost" and round(raw / 1e5, 2) != round(here - there, 2)
    assert count > 0  # the sum differed before, so this test can fail
    shares = [100.0 * one.tightest.used for one in compared]
    for used, figures in zip(shares[1:], pins, strict=True):
        change = float(used_difference(figures, present))
        assert change == pytest.approx(used - shares[0], abs=1.0)


def test_a_difference_without_room_takes_a_line_of_its_own(qtbot):
    metrics = QFontMetrics(QWidget().font())
    cell = Cell("over 153 % (+34), Boost, freezing day")
    whole = metrics.horizontalAdvance("over 153 % (+34)")
    assert Cells.lines_of(cell, metrics, whole) == ["over 153 % (+34)", "Boost", "freezing day"]
    parted = ["over 153 %", "(+34)", "Boost", "freezing day"]
    assert Cells.lines_of(cell, metrics, whole - 1) == parted


def test_the_whole_table_opens_as_wide_as_it_is(tmp_path, qtbot):
    bench = Bench(tmp_path)
    qtbot.addWidget(bench.panel)
    bench.panel.pins.pin_shelf()
    bench.recompute.compute()
    qtbot.waitUntil(lambda: not bench.panel.lines.is_busy, timeout=5000)
    window = bench.panel.window_made()
    window.resize(300, 100)
    window.fit_to_table()
    room = window.screen().availableGeometry().width()
    across = window.table.names.sizeHint().width() + window.table.horizontalHeader().length()
    assert window.width() >= min(across, room - 48)
    assert window.width() <= room


# compressor maps


def test_the_outlines_are_told_as_the_map_labels_them():
    shares = [100.0 * one.efficiency for one in START.blower.compressor_map.islands]
    assert max(shares) == pytest.approx(76.5)
    assert dict(map_facts(START.blower.compressor_map))["Islands"].endswith("to 76.5 %")


def test_a_change_of_the_impellers_limit_is_told():
    larger = load_map(sample_maps()["frame-95-large"])
    top = larger.maximum_speed
    typed = START.with_value("blower.maximum_impeller_speed", 82e3)
    kept = replace(typed, blower=replace(typed.blower, compressor_map=larger))
    words = f"Impeller speed limit 82000 rpm (typed), as before; the map's is {top:.0f} rpm"
    assert limit_words(typed, kept).startswith(words)
    freed = kept.with_value("blower.maximum_impeller_speed", None)
    words = f"Impeller speed limit {top:.0f} rpm (the map's), was 82000 rpm"
    assert limit_words(typed, freed).startswith(words)
    silent = replace(freed, blower=replace(freed.blower, compressor_map=replace(
        larger, maximum_speed=None)))  # fmt: skip
    words = "No impeller speed limit is known, was 82000 rpm"
    assert limit_words(typed, silent).startswith(words)
