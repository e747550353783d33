"""The Surge place: scenes, knobs, time, the run kept, the cover, exports and films."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest
from PIL import Image, ImageColor
from PySide6.QtCore import QPointF, Qt
from PySide6.QtWidgets import QApplication

from app.chart_tools.palette import DARK, LIGHT
from app.gui.commands import RecordCommand
from app.gui.places.surge.charts_export import MAP, TIME
from app.gui.places.surge.film import MOST_FRAMES, Film, gif_bytes, numbered
from app.gui.places.surge.film_dialog import FilmDialog
from app.gui.places.surge.player import Player
from app.gui.places.surge.scene_bar import SceneDialog
from app.present.surge_scenes import STANDARD_SCENES
from app.present.surge_words import answer_words
from engine_model.inputs import Scene
from engine_model.studies.surge_run import run_scene
from tests.surge_hands import make_place, settle

__all__ = ["make_place"]
VALVE = "surge.valve_diameter"


def test_a_scene_runs_and_tells_its_answer(qtbot, make_place):
    document, _, place = make_place(has_band=True)
    direct = run_scene(document.build, document.day, STANDARD_SCENES[0])
    assert answer_words(direct) in place.answer.text()
    assert "With a 40.0 mm valve at 6800 rpm it does not reverse." in place.answer.text()
    assert place.bar.question.text() == STANDARD_SCENES[0].question
    assert "are estimates" in place.run_page.facts.text()
    assert "No holding an engine in surge" in place.controls.caution.text()
    assert "Pressure ratio without flow" in place.controls.numbers.text()
    assert place.feed.shown.series.is_whole
    for name in place.exports.titles:
        assert place.chart_of(name).accessibleName()
    # each knob says what it is
    for row in place.controls.rows.values():
        assert (row.box or row.choice).toolTip()
    # the gap between the small-signal limit and the traced line is told on the map
    assert "of the traced surge line" in " ".join(place.run_page.map.words)


def test_a_knob_runs_the_scene_again_and_the_run_kept_stays(qtbot, make_place):
    _document, _, place = make_place()
    place.feed.keep_or_drop()
    kept = place.feed.ghost
    place.controls.rows[VALVE].turned.emit(VALVE, 0.05)
    assert place.feed.scenes.is_changed
    assert place.bar.changed.text() == "changed"
    settle(qtbot, place)
    assert not place.feed.shown.found.cycles.reverses
    assert place.feed.ghost is kept
    assert "lift, no valve" in place.run_page.transport.keep.text()
    assert any("kept: lift, no valve" in text for text in place.run_page.time.words)
    assert any("kept: lift, no valve" in text for text in place.run_page.map.words)
    place.feed.keep_or_drop()
    assert place.feed.ghost is None
    # a value that cannot be is told and changes nothing
    before = place.feed.scenes.scene
    place.feed.scenes.turn("surge.valve_lag", -1.0)
    assert place.feed.scenes.scene == before
    assert place.words.text()
    place.feed.scenes.reset()
    assert not place.feed.scenes.is_changed
    assert place.feed.scenes.scene == STANDARD_SCENES[0]


def test_scenes_are_saved_renamed_and_deleted_as_one_step_each(make_place):
    document, _, place = make_place()
    scenes, build = place.feed.scenes, document.build
    scenes.turn("surge.duct_length", 0.9)
    scenes.save_as(Scene("mine", "lift", scenes.scene.knobs, "What now?"))
    assert document.undo.count() == 1
    assert document.build.scenes[0].knobs == ((VALVE, None), ("surge.duct_length", 0.9))
    assert place.bar.combo.currentText() == "mine (build)"
    assert place.bar.question.text() == "What now?"
    command = document.undo.command(0)
    assert isinstance(command, RecordCommand)
    assert command.place == "surge"
    scenes.turn("surge.duct_length", 0.7)
    scenes.save()
    assert dict(document.build.scenes[0].knobs)["surge.duct_length"] == 0.7
    scenes.rename("yours", "And now?")
    assert [one.name for one in document.build.scenes] == ["yours"]
    scenes.delete()
    assert document.build.scenes == ()
    assert scenes.name == "lift"
    assert document.undo.count() == 4
    for _ in range(4):
        document.undo.undo()
    assert document.build is build
    document.undo.setClean()


def test_a_name_that_is_taken_is_refused_with_a_sentence(qtbot):
    dialog = SceneDialog("Save", Scene("lift"), frozenset({"lift"}))
    qtbot.addWidget(dialog)
    assert "another name" in dialog.fault.text()
    ok = dialog.buttons.buttons()[0]
    assert not ok.isEnabled()
    dialog.name.setText("other")
    assert ok.isEnabled()
    dialog.name.setText("  ")
    assert not ok.isEnabled()


def test_time_is_scrubbed_stepped_and_slowed(qtbot, make_place):
    _, _, place = make_place()
    player, chart = place.player, place.run_page.time
    player.go_to(0.3)
    series = place.feed.shown.series
    assert place.run_page.map.shown_index == round(0.3 / (series.time[1] - series.time[0]))
    qtbot.keyClick(place, Qt.Key.Key_Right)
    assert player.time == pytest.approx(0.3 + 0.02 / 16)
    qtbot.keyClick(place, Qt.Key.Key_BracketRight)
    assert player.speed == 1 / 4
    qtbot.keyClick(place, Qt.Key.Key_Home)
    assert player.time == 0.0
    # the mouse: a place in the plot is a time
    view = chart.views[1]
    frame = view.plot.fixed.frame
    at = frame.point(0.25, 0.0)[0]
    position = chart.mapFromScene(view.plot.box.mapToScene(QPointF(at, 0.5 * frame.height)))
    qtbot.mousePress(chart.viewport(), Qt.MouseButton.LeftButton, pos=position)
    assert player.time == pytest.approx(0.25, abs=0.003)
    # the page turns where the cursor leaves it
    player.go_to(0.65)
    low, high = chart._across
    assert low < 0.65 < high
    assert high - low == pytest.approx(0.5)
    # the next scene by a key, for a class that sees no panel
    qtbot.keyClick(place, Qt.Key.Key_PageDown)
    assert place.feed.scenes.name == "lift-with-valve"
    settle(qtbot, place)


def test_the_player_stops_at_the_end_or_begins_again():
    player = Player()
    player.end, player.speed = 0.5, 1.0
    player.play()
    player.go_to(0.499)
    player._last -= 0.1
    player.tick()
    assert not player.is_playing
    assert player.time == 0.5
    player.loops = True
    player.play()
    player.go_to(0.499)
    player._last -= 0.1
    player.tick()
    assert player.is_playing
    assert player.time == 0.0
    player.pause()


def test_the_cover_takes_the_answer_and_its_numbers_away(make_place):
    _, _, place = make_place()
    place.set_classroom(True)
    assert place.is_covered
    assert place.answer.isHidden()
    assert place.controls.isHidden()
    assert place.bar.question.isVisible()
    assert not any("%" in text for text in place.run_page.map.words)
    assert place.valve_page._across.isHidden()
    place.reveal_answers()
    assert place.answer.isVisible()
    assert any("%" in text for text in place.run_page.map.words)
    place.set_classroom(False)
    assert place.controls.isVisible()


def test_the_run_is_exported_as_numbers_and_pictures(make_place, tmp_path):
    _, _, place = make_place()
    run = place.feed.shown.found.run
    with place.shown(TIME) as chart:
        rows = list(csv.DictReader(io.StringIO(chart.numbers)))
        chart.write("png", tmp_path / "time.png", 1.0, place.exports.caption("si", "Our shop"))
    assert len(rows) == run.time.size
    flows = np.array([float(row["flow [kg/s]"]) for row in rows])
    assert flows == pytest.approx(run.flow, rel=1e-6, abs=1e-9)
    assert "estimates" in rows[0]["caution"]
    with place.shown(MAP) as chart:
        chart.write("svg", tmp_path / "map.svg", 1.0)
        assert any("estimate" in words for _, words in chart.key)
    assert (tmp_path / "time.png").stat().st_size > 10_000
    assert "<svg" in (tmp_path / "map.svg").read_text(encoding="utf-8")


def test_films_are_written_with_their_pictures(qtbot, make_place, preferences, tmp_path):
    _, _, place = make_place()
    for ending in (".gif", ".png"):
        write_film(qtbot, place, preferences, tmp_path, ending)


def write_film(qtbot, place, preferences, tmp_path, ending):
    dialog = FilmDialog(place, preferences, LIGHT)
    qtbot.addWidget(dialog)
    dialog.start.setValue(0.19)
    dialog.count.setValue(4)
    dialog.step.setValue(8.0)
    path = tmp_path / f"lift{ending}"
    dialog.write_to(path)
    qtbot.waitUntil(lambda: dialog.state.text() != "", timeout=20_000)
    assert dialog.state.text().startswith("Written")
    if ending == ".gif":
        with Image.open(path) as film:
            assert film.n_frames == 4
            assert film.info["duration"] == 50
            film.seek(3)
            pixels = np.asarray(film.convert("RGB"), dtype=float).reshape(-1, 3)
            # the operating point keeps its colour, though it covers few pixels
            wanted = ImageColor.getrgb(LIGHT.over)
            assert (np.abs(pixels - wanted).max(axis=1) < 12).sum() > 60
    else:
        assert sorted(one.name for one in tmp_path.glob("*.png")) == [
            numbered(path, k).name for k in range(4)
        ]
    # cancelled: nothing is written
    other = tmp_path / f"other{ending}"
    dialog.write_to(other)
    dialog.reject()
    assert dialog.state.text() == "Cancelled."
    QApplication.processEvents()
    assert not other.exists()
    dialog.done(0)


def test_a_film_has_its_bounds():
    film = Film(0.0, 1e-3, 10 * MOST_FRAMES, 50, "")
    assert len(film.times()) == MOST_FRAMES
    frames = [Image.new("RGB", (8, 6), (k * 40, 0, 0)).quantize(4) for k in range(3)]
    with Image.open(io.BytesIO(gif_bytes(frames, 100))) as made:
        assert (made.n_frames, made.size, made.info["loop"]) == (3, (8, 6), 0)


def test_units_and_colours_follow_the_preferences(qtbot, make_place, preferences):
    _, _, place = make_place()
    preferences.change(theme="dark", system="us")
    settle(qtbot, place)
    assert place.run_page.map._palette.name == DARK.name
    assert "psi abs" in place.answer.text()
    assert any("psi abs" in text for text in place.run_page.time.words)
