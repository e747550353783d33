"""Files of the Trace place: drafts and maps saved, taken up again, handed over to the build."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog, QMessageBox
from trace_panel_hands import press, write
from trace_place_hands import CONTROL, SHIFT, Bench, Key, along, off, seen, truth

from app.gui.places.trace.kept_pictures import KeptPictures
from engine_model import load_map
from engine_model.tracing.checking import check_file

BUTTON = QMessageBox.StandardButton


@pytest.fixture(scope="module")
def module_bench(qapp, tmp_path_factory):
    bench = Bench(tmp_path_factory.mktemp("bench")).calibrated()
    yield bench
    bench.close()


@pytest.fixture(scope="module")
def next_week(qapp, tmp_path_factory):
    """Another window, in which traces are taken up again."""
    bench = Bench(tmp_path_factory.mktemp("next week"))
    yield bench
    bench.close()


@pytest.fixture
def bench(module_bench):
    yield module_bench.fresh()
    module_bench.stack.setClean()


class Asked:
    """Answers dialogs and keeps what they asked."""

    def __init__(self, monkeypatch):
        self.names, self.suggested, self.titles = [], [], []
        self.answers, self.questions = [], []
        monkeypatch.setattr(QFileDialog, "getSaveFileName", self._save)
        monkeypatch.setattr(QFileDialog, "getOpenFileName", self._open)
        monkeypatch.setattr(QMessageBox, "question", self._question)

    def _save(self, _, title, suggestion, kinds):
        self.titles.append(title)
        self.suggested.append(Path(suggestion).name)
        return (str(self.names.pop(0)) if self.names else ""), kinds

    def _open(self, _, title, folder, kinds):
        self.titles.append(title)
        return (str(self.names.pop(0)) if self.names else ""), kinds

    def _question(self, _, title, words, *buttons):
        self.questions.append(words)
        return self.answers.pop(0)


@pytest.fixture
def asked(monkeypatch):
    return Asked(monkeypatch)


def make_usable(bench):
    bench.lines(31000, 45000, 59000)
    bench.draw("surge_line", truth("surge"), 3)
    bench.rest()
    assert bench.place.needs.is_usable


# saving


def test_a_draft_is_saved_and_later_a_map_beside_it(bench, asked, tmp_path):
    write(bench.place.about.texts["title"], "Page 7, left")
    bench.lines(31000, 45000)
    draft, finished = tmp_path / "page.trace.json", tmp_path / "page.map.json"
    asked.names = [tmp_path / "page"]
    bench.key(Key.Key_S, CONTROL)
    assert asked.suggested == ["page-7-left.trace.json"]
    assert asked.titles == ["Save the draft: no usable map yet"]
    assert bench.words == "Written as a draft, it is no usable compressor map yet: page.trace.json"
    assert bench.document.is_saved
    kept = json.loads(draft.read_text(encoding="utf-8"))
    assert (kept["format"], kept["title"]) == ("pulleywright-trace", "Page 7, left")
    assert any("surge line" in fault.sentence() for fault in check_file(draft))
    bench.lines(59000)
    bench.key(Key.Key_S, CONTROL)  # under its name, nothing is asked
    assert len(asked.suggested) == 1
    assert bench.document.is_saved

    bench.draw("surge_line", truth("surge"), 3)
    asked.names = [finished]
    bench.key(Key.Key_S, CONTROL)  # it is a map by now
    assert asked.suggested[1:] == ["page.map.json"]
    assert bench.words == "Written: page.map.json"
    assert draft.exists()
    assert check_file(finished) == ()
    made = load_map(finished)
    assert [line.corrected_speed for line in made.speed_lines] == [31000.0, 45000.0, 59000.0]
    assert made.provenance.kind == "traced"
    assert "picture_png_base64" not in json.loads(finished.read_text())["trace"]

    whole = finished.read_bytes()
    bench.key(Key.Key_Z, CONTROL)  # no surge line: no draft takes the map's place
    bench.key(Key.Key_S, CONTROL)
    assert asked.suggested[2:] == ["page.trace.json"]
    assert not bench.document.is_saved
    assert finished.read_bytes() == whole


def test_what_is_being_typed_goes_into_the_file(bench, asked, tmp_path):
    make_usable(bench)
    write(bench.place.about.texts["title"], "Typed last", None)
    asked.names = [tmp_path / "a.map.json"]
    bench.key(Key.Key_S, CONTROL)
    assert load_map(tmp_path / "a.map.json").title == "Typed last"


def test_a_completed_name_takes_no_other_file_s_place_unasked(bench, asked, tmp_path):
    make_usable(bench)
    other = tmp_path / "a.map.json"
    other.write_text("mine")
    asked.names, asked.answers = [tmp_path / "a"], [BUTTON.No]
    bench.key(Key.Key_S, CONTROL | SHIFT)
    assert asked.questions == ["a.map.json is there already. Replace it?"]
    assert other.read_text() == "mine"
    assert not bench.document.is_saved


# taking up again


@pytest.mark.parametrize("where", ["beside", "embedded", "another beside", "missing"])
def test_a_trace_is_taken_up_next_week(bench, next_week, asked, tmp_path, where):
    make_usable(bench)
    if where in ("embedded", "another beside"):
        press(bench.place.picture.embed)
    path, trace = tmp_path / "a.map.json", bench.trace
    asked.names = [path]
    bench.key(Key.Key_S, CONTROL)
    if where == "beside":
        shutil.copy(bench.folder / "small-print.png", tmp_path)
    if where == "another beside":  # of the same name
        seen((800, 600), 0.5).image.save(tmp_path / "small-print.png")
    other = next_week
    other.to_front()
    other.document._pictures = KeptPictures()
    other.picture = bench.picture
    asked.names = [path]
    other.key(Key.Key_O, CONTROL)
    other.rest()
    assert other.trace == trace
    assert other.shown() == [
        ("speed", "31\u202f000 rpm", 4, False),
        ("speed", "45\u202f000 rpm", 4, False),
        ("speed", "59\u202f000 rpm", 4, False),
        ("surge", "surge line", 3, False),
    ]
    assert other.document.is_saved
    if where == "missing":
        assert other.words == "Open the picture small-print.png to go on; the curves are here."
        assert other.document.prepared is None
        renamed = tmp_path / "moved.png"
        shutil.copy(bench.folder / "small-print.png", renamed)
        other.open(renamed, bench.picture)  # known by its content, not by its name
        assert other.trace == trace
    assert other.words == ""
    assert other.desk.mode != "points"  # it goes on with the curves
    assert other.document.embed == (where in ("embedded", "another beside"))
    assert other.document.prepared is not None
    other.key(Key.Key_P)
    other.pen("speed_line")
    assert other.place.pen.value == 73000.0  # the guess goes on
    for values in along(truth("speed", 73000.0), 4):
        other.click(other.spot(values))
    other.key(Key.Key_Return)
    curve = other.trace.curves[-1]
    assert curve.value == 73000.0
    assert off(curve.path, truth("speed", 73000.0), other.picture)[1] < 1.5
    other.stack.setClean()


def test_another_trace_is_not_opened_over_an_unsaved_one(bench, asked, tmp_path):
    make_usable(bench)
    asked.names = [tmp_path / "a.map.json"]
    bench.key(Key.Key_S, CONTROL)
    bench.lines(73000)
    trace = bench.trace
    asked.names, asked.answers = [tmp_path / "a.map.json"], [BUTTON.Cancel]
    bench.key(Key.Key_O, CONTROL)
    assert asked.questions == ["The trace has changes that are not saved."]
    assert bench.trace == trace
    asked.names = [tmp_path / "a.map.json"]
    (tmp_path / "a.map.json").write_text("{}")
    asked.answers = [BUTTON.Discard]
    bench.key(Key.Key_O, CONTROL)  # what cannot be opened leaves it there
    assert bench.words.startswith("a.map.json was not opened.")
    assert bench.trace == trace


# handing over


def test_use_in_this_build_is_one_step_and_shows_the_line(bench, asked):
    window, build = bench.window, bench.build
    bench.until(lambda: window.line.snapshot is not None)
    before, line = build.build, window.line.snapshot
    steps = build.undo.index()
    assert not bench.place.needs.use.isEnabled()
    make_usable(bench)
    write(bench.place.about.texts["title"], "Traced just now")
    bench.rest()
    press(bench.place.needs.use)
    assert window.place is window.line
    assert build.undo.index() == steps + 1
    after = build.build
    assert after.blower.compressor_map.title == "Traced just now"
    assert len(after.blower.compressor_map.speed_lines) == 3
    assert after.blower.compressor_map.trace is None  # builds carry no picture
    assert (after.engine, after.drive) == (before.engine, before.drive)
    bench.until(lambda: window.line.snapshot is not line)
    used = window.line.snapshot.match.build
    assert used.blower.compressor_map.title == "Traced just now"
    assert build.undo.undoText() == "Use the compressor map Traced just now"
    bench.key(Key.Key_Z, CONTROL)  # of the build: the Line place is shown
    assert build.build == before
    assert len(bench.trace.curves) == 4
    window.rail.show_place("trace")
    assert window.history.activeStack() is bench.stack


def test_save_and_open_act_on_the_place_that_is_shown(bench, asked, tmp_path):
    bench.lines(31000)
    bench.window.rail.show_place("line")
    asked.names = [tmp_path / "shop.build.json"]
    bench.key(Key.Key_S, CONTROL)
    assert asked.titles == ["Save the build"]
    assert json.loads((tmp_path / "shop.build.json").read_text())["format"] == "pulleywright-build"
    bench.key(Key.Key_O, CONTROL)
    assert asked.titles[1:] == ["Open a build"]
    bench.window.rail.show_place("trace")
    bench.stack.setClean()
    bench.key(Key.Key_S, CONTROL)
    bench.key(Key.Key_O, CONTROL)
    assert asked.titles[2:] == ["Save the draft: no usable map yet", "Take up a trace"]


# leaving


def test_closing_with_an_unsaved_trace_asks(qapp, asked, tmp_path):
    bench = Bench(tmp_path)
    asked.answers = [BUTTON.Cancel, BUTTON.Save, BUTTON.Save]
    write(bench.place.about.texts["title"], "Begun")
    assert not bench.window.close()
    assert bench.window.isVisible()
    assert asked.questions == ["The trace has changes that are not saved."]
    bench.wait(0.5)
    assert bench.place.journal.path.exists()
    assert not bench.window.close()  # saving was given up in its dialog
    asked.names = [tmp_path / "begun"]
    assert bench.window.close()
    assert json.loads((tmp_path / "begun.trace.json").read_text())["title"] == "Begun"
    assert list((tmp_path / "journal").iterdir()) == []
    bench.window.deleteLater()


def test_a_discarded_trace_is_not_offered_again(qapp, asked, tmp_path):
    bench = Bench(tmp_path)
    assert bench.place.may_leave()  # nothing was begun: nothing is asked
    assert asked.questions == []
    write(bench.place.about.texts["title"], "Begun")
    asked.answers = [BUTTON.Discard]
    assert bench.window.close()
    assert len(asked.questions) == 1
    bench.wait(0.5)
    assert not bench.place.journal.path.exists()
    bench.window.deleteLater()
