"""What a new user stumbled over at the fields: refusals, samples, units, shelf, words."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from pathlib import Path
from types import SimpleNamespace

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest

from app.cli import apply_sets, find_build, near_paths
from app.fields import FIELD, write_value
from app.gui import window, work
from app.gui.document import Document
from app.gui.file_names import BUILD, _remembered
from app.gui.panels.days_panel import DaysPanel
from app.gui.panels.fields_panel import FieldsPanel
from app.gui.panels.why_panel import WhyPanel
from app.gui.preferences import Shelf
from app.gui.recompute import Recompute
from app.gui.shelf_dialog import ShelfDialog
from app.paths import is_shipped, sample_builds
from app.present.unbroken import broken, unbroken
from engine_model import load_build
from engine_model.matching import match
from engine_model.steps import match_steps
from engine_model.units import to_si

SIX = load_build(sample_builds()["road-six"])
SHARE = "engine.ethanol_share"
WRONG = {"bounds.air_meter": "abc", "bounds.manifold_sensor": "-1", "bounds.torque": "1e99"}


@pytest.fixture
def document():
    return Document(SIX, None)


@pytest.fixture
def panel(document, preferences, hosted):
    made = hosted(FieldsPanel(document, Recompute(document), preferences))
    yield made
    made.study.cancel()


def enter(box, text):
    box.selectAll()
    QTest.keyClick(box, Qt.Key.Key_Delete)
    QTest.keyClicks(box, text)
    QTest.keyClick(box, Qt.Key.Key_Return)


def row_of(panel, path):
    return panel.rows[path][-1]


def refuse(panel):
    for path, text in WRONG.items():
        enter(row_of(panel, path).editor, text)


def stands(panel, path):
    """Whether a text that was refused stands, framed and with its sentence."""
    row = row_of(panel, path)
    told = "allowed:" in row.sentence.text() and row.editor.property("wrong") is True
    assert told == row.is_refused == (row.editor.text() == WRONG[path])
    return told


# a text that was refused


def test_a_refusal_stands_whatever_is_entered_elsewhere(panel, document, preferences):
    refuse(panel)
    enter(row_of(panel, "bounds.knock_retard").editor, "4")
    assert document.build.bounds.knock_retard == 4.0
    document.edit("engine.displacement", 3.3e-3)  # on which blank ones hang
    assert all(stands(panel, path) for path in WRONG)
    preferences.change(system="us")
    assert all(stands(panel, path) for path in WRONG)
    enter(row_of(panel, "bounds.torque").editor, "400 lb ft")
    assert document.build.bounds.torque == pytest.approx(542.3, rel=1e-4)  # 1.355818 N m each
    assert row_of(panel, "bounds.torque").sentence.text() == ""
    assert all(stands(panel, path) for path in ("bounds.air_meter", "bounds.manifold_sensor"))


def test_a_refusal_goes_with_escape_or_the_old_text(panel):
    refuse(panel)
    QTest.keyClick(row_of(panel, "bounds.air_meter").editor, Qt.Key.Key_Escape)
    assert not stands(panel, "bounds.air_meter")
    box = row_of(panel, "bounds.manifold_sensor").editor
    box.selectAll()
    QTest.keyClick(box, Qt.Key.Key_Delete)  # blank again, which it was
    assert not stands(panel, "bounds.manifold_sensor")
    assert stands(panel, "bounds.torque")


def test_another_build_or_undo_puts_the_values_back(panel, document):
    enter(row_of(panel, "bounds.torque").editor, "500")

    def undo():
        document.edit("bounds.knock_retard", 4.0)
        document.undo.undo()
        assert row_of(panel, "bounds.torque").editor.text() == "500 N m"

    again = lambda: document.replace(SIX, frozenset(), "Read again")  # noqa: E731
    for put_back in (undo, again, lambda: document.take(SIX, None)):
        refuse(panel)
        assert all(stands(panel, path) for path in WRONG)
        put_back()
        assert not any(stands(panel, path) for path in WRONG)


def test_a_refusal_on_a_day_stands_until_another_day_is_edited(document, preferences, hosted):
    days = hosted(DaysPanel(document, preferences))
    days.choose("hot")
    row = days.rows["day.altitude"]
    enter(row.editor, "high")
    enter(days.rows["day.temperature"].editor, "35")
    assert (row.editor.text(), row.is_refused) == ("high", True)
    assert "allowed:" in row.sentence.text()
    days.choose("mild")
    assert (row.editor.text(), row.sentence.text()) == ("0 m", "")


# a fuel that takes no share


def test_methanol_beside_a_share_says_what_to_do_until_another_choice(panel, document):
    document.edit_many({"engine.fuel": "E85", SHARE: 0.7}, "set")
    here, other = panel.rows["engine.fuel"]
    box = other.editor
    for key in (Qt.Key.Key_Home, Qt.Key.Key_End):  # petrol is taken, methanol is not
        QTest.keyClick(box, key)
    assert document.build.engine.fuel == box.currentData() == "petrol"
    assert row_of(panel, SHARE).sentence.text() == ""
    for row in (here, other):
        assert row.sentence.text() == 'empty "Ethanol in it" first: methanol takes no share'
    box.activated.emit(box.findData("petrol"))  # as a click on the word shown does
    assert (here.sentence.text(), other.sentence.text()) == ("", "")


# a sample is a copy


def test_a_sample_opened_by_name_or_path_has_no_file_yet(tmp_path, preferences):
    sample = sample_builds()["road-six"]
    assert is_shipped(sample)
    own = tmp_path / "mine.build.json"
    own.write_bytes(sample.read_bytes())
    document = Document(SIX, None)
    for path, kept in ((sample, None), (own, own), (Path(os.path.relpath(sample)), None)):
        document.open(path)
        assert (document.path, document.is_saved) == (kept, True)
    for kind, path in ((BUILD, sample), (BUILD, own)):
        _remembered(preferences, kind, path)
    assert preferences.folder_of(BUILD.key) == str(tmp_path)


def test_bench_with_the_name_of_a_sample_asks_where_to_save(monkeypatch, tmp_path):
    sample = find_build("road-six")
    before = sample.read_bytes()
    stood = SimpleNamespace(show=lambda: None, preferences=SimpleNamespace())
    stood.preferences.remember_file = stood.say_done = lambda words: None
    stood.line = stood
    monkeypatch.setattr(
        window, "Window", lambda document, *_: stood.__dict__.update(document=document) or stood
    )
    settings = QSettings(str(tmp_path / "set.ini"), QSettings.Format.IniFormat)
    document = window.open_window(sample, settings).document
    document.edit("bounds.torque", 500.0)
    asked, mine = [], tmp_path / "mine.build.json"
    monkeypatch.setattr(work, "ask_save", lambda *said: asked.append(said) or mine)
    monkeypatch.setattr(work, "Exporting", lambda _: None)
    assert work.Work(stood).save_build()
    assert len(asked) == 1
    assert not Path(asked[0][3]).is_absolute()
    assert load_build(mine).bounds.torque == 500.0
    assert sample.read_bytes() == before


# the shelf


def test_a_shelf_reads_back_as_it_was_typed(preferences, qtbot):
    """439.99998 cc/min is no size; 10.5 cc/min go on 1 lb/h at 0.720 g/cc (common practice)."""
    dialog = ShelfDialog(preferences)
    qtbot.addWidget(dialog)
    for name, box in dialog.boxes.items():
        said = box.edit.placeholderText()
        assert said.startswith("none yet"), name
    for text in ("440 cc/min, 550 cc/min, 1000 cc/min", "123.4567 cc/min", "42 lb/h"):
        dialog.boxes["injectors"].set_text(text)
        dialog.accept()
        kept = preferences.choices.shelf.injectors
        dialog.show_shelf(preferences.choices.shelf)
        assert dialog.boxes["injectors"].text == text
        assert dialog.read_shelf().injectors == kept
    assert 60e6 * kept[0] == pytest.approx(42 * 10.5, rel=1e-4)
    dialog.boxes["injectors"].set_text("5.37 gal/h")  # whole in no unit shown
    kept = dialog.read_shelf().injectors
    preferences.change(shelf=Shelf(injectors=kept))
    dialog.show_shelf(preferences.choices.shelf)
    assert dialog.read_shelf().injectors == kept
    preferences.change(shelf=Shelf(injectors=(7.333333e-6,)))  # as it was kept before
    dialog.show_shelf(preferences.choices.shelf)
    assert dialog.boxes["injectors"].text == "440 cc/min"
    dialog.boxes["injectors"].set_text("42, 4e5 lb/h")
    assert dialog.read_shelf() is None
    assert "lb/h" in dialog.boxes["injectors"].sentence.text()


# units


BLANK_UNITS = {
    "bounds.cylinder_pressure": ("bar abs", "psi abs"),
    "bounds.manifold_sensor": ("bar abs", "psi abs"),
    "bounds.exhaust_pressure": ("bar", "psi"),
    "bounds.boost": ("bar", "psi"),
    "bounds.torque": ("N m", "lb ft"),
    "fuel_system.pump_flow": ("L/h", "gal/h"),
}


def test_a_blank_box_shows_what_a_bare_number_would_mean(panel, document, preferences):
    document.edit_many(dict.fromkeys(BLANK_UNITS), "Blank")
    for system in ("us", "si"):
        preferences.change(system=system)
        for path, units in BLANK_UNITS.items():
            box = row_of(panel, path).editor
            assert (box.text(), box.placeholderText()) == ("", units[system == "us"])
    for path, (unit, _) in BLANK_UNITS.items():
        field, box = FIELD[path], row_of(panel, path).editor
        half = field.row.high / 2.0
        enter(box, str(half / to_si(1.0, field.unit("si"), field.quantity)))
        assert document.build.value(path) == pytest.approx(half)
        assert box.text().endswith(f" {unit}")


def test_an_absolute_bound_takes_no_gauge_pressure(panel, document):
    row = row_of(panel, "bounds.manifold_sensor")
    enter(row.editor, "2 bar gauge")
    assert "absolute" in row.sentence.text()
    enter(row.editor, "3 bar abs")
    assert document.build.bounds.manifold_sensor == pytest.approx(3e5)
    assert row.editor.text() == "3.00 bar abs"


def test_an_octane_number_has_no_idle_decimals():
    octane = FIELD["engine.octane"]
    assert [write_value(octane, one) for one in (105.0, 98.5, 100.0)] == ["105", "98.5", "100"]


def test_injectors_are_read_in_pounds_an_hour_at_their_density(panel, document):
    """42 lb/h x 10.5 cc/min = 441 cc/min at 0.720 g/cc (common practice); by the litre else."""
    flow, rated = "fuel_system.injector_flow", "fuel_system.injector_rating_density"
    box = row_of(panel, flow).editor
    enter(box, "42 lb/h")
    assert 60e6 * document.build.value(flow) == pytest.approx(441.0, rel=1e-4)
    document.edit(rated, 800.0)
    enter(box, "42 lb/h")
    assert 60e6 * document.build.value(flow) == pytest.approx(441.0 * 0.9, rel=1e-4)
    enter(box, "42 lb/psi")
    assert "allowed:" in row_of(panel, flow).sentence.text()
    assert "10.5 cc/min" in box.toolTip()
    sets = apply_sets(SIX, [f"{flow}=42 lb/h", f"{rated}=0.8 g/cc"])
    assert sets.value(flow) == document.build.value(flow)


# words


def test_why_breaks_no_unit_and_cuts_no_name(hosted):
    joined = unbroken("belt 213.3 ft/s at 6800 rpm, and/or 3 of 4")
    assert joined == "belt 213.3\u00a0ft/\u2060s at 6800\u00a0rpm, and/or 3 of 4"
    assert broken(joined) == "belt 213.3 ft/s at 6800 rpm, and/or 3 of 4"
    panel = hosted(WhyPanel())
    panel.resize(300, 600)
    build = SIX.with_value("fuel_system.pump_flow", 1e-4)
    steps = match_steps(match(build), 6000.0)
    panel.show_steps(steps, "us", "Why")
    tree = panel.tree
    heights = {item.name: tree.visualItemRect(item).height() for item in panel._items.values()}
    line = tree.fontMetrics().height()
    long = max(heights, key=tree.fontMetrics().horizontalAdvance)
    assert heights[long] >= 2 * line
    assert min(heights.values()) < 2 * line


def test_no_less_advance_is_said_in_words():
    build = SIX.with_values({"engine.fuel": "E85"})
    note = next(s.note for s in match_steps(match(build), 3000.0) if s.station == "burn")
    assert note == "No less advance than stock by this estimate."


def test_a_wrong_path_is_answered_with_its_neighbours():
    assert near_paths("cooler.efectiveness").startswith("cooler.effectiveness")
    assert near_paths("fuel_system.injector_flw").startswith("fuel_system.injector_flow")
    inside = near_paths("cooler.x").split(", ")
    assert set(inside) == {path for path in FIELD if path.startswith("cooler.")}
    assert near_paths("") == near_paths("colour") == "a path such as engine.displacement"
