"""The Compressors place: ranks, marks what is old, lays over, takes, undoes, exports."""

from __future__ import annotations

import csv
import io

import pytest
from PySide6.QtCore import Qt

from app.chart_tools.palette import LIGHT
from app.gui.commands import RecordCommand
from app.present.compressor_shown import DONE, OLD, WAITING
from engine_model.studies.compressor_records import POWER, CompressorAim
from engine_model.studies.compressor_study import compressor_study
from tests.chart_cases import colours
from tests.compressors_hand import LARGE, MIDDLE, SMALL, cell, make_place, settle, shown

__all__ = ["make_place"]
TICK = Qt.ItemDataRole.CheckStateRole


def test_rows_are_the_study_s_and_one_is_taken_as_one_step(qtbot, make_place):
    document, recompute, place = make_place()
    build = document.build
    maps = [one.compressor_map for one in place.feed.candidates.chosen]
    days = [build.known_days()["mild"]]
    expected = compressor_study(build, maps, days, CompressorAim())
    assert [one.title for one in place.table.rows_model.rows[:2]] == [
        row.title for row in expected.rows
    ]
    best = expected.rows[0]
    assert cell(place, 0, "Pulley") == f"{best.setting.blower_pulley * 1e3:.1f}"
    assert cell(place, 0, "Wheel power") == f"{best.wheel_power_peak_w / 1e3:.1f}"
    assert place.answer.text().startswith(f"<b>{best.title}")
    assert "overspeeds can burst" in place.controls.caution.text()
    for widget in (place.table, place.chart, place.controls.work.bar, place.bar.days):
        assert widget.accessibleName()
    # the two best are laid over each other at once
    assert [one.name for one in place.chart.series.maps] == [row.title for row in expected.rows]
    # taken
    undone = document.undo.count()
    place.table.taken.emit(place.table.rows_model.rows[0].key)
    new = document.build
    assert document.undo.count() == undone + 1
    assert new.blower.compressor_map == best.compressor_map
    assert new.drive.blower_pulley_diameter == best.setting.blower_pulley
    assert "Taken: " in place.words.text()
    recompute.compute()
    settle(qtbot, place)
    # what was worked out holds: the study does not depend on the present pulley
    assert {one.status for one in place.feed.rows if one.row} == {DONE}
    assert place.table.rows_model.rows[0].is_own
    command = document.undo.command(document.undo.index() - 1)
    assert isinstance(command, RecordCommand)
    assert command.place == "compressors"
    document.undo.undo()
    assert document.build is build
    assert place.words.isHidden()
    document.undo.setClean()


def test_a_change_makes_rows_old_until_they_are_worked_out(qtbot, make_place):
    document, recompute, place = make_place()
    run = place.feed.run
    before = place.feed.rows[0].row.wheel_power_peak_w
    document.edit("cooler.effectiveness", 0.5)
    recompute.compute()
    place.feed.show_rows()
    assert {one.status for one in place.feed.rows if one.row} == {OLD}
    assert "as of the last run" in place.answer.text()
    assert cell(place, 0, "Standing").endswith("as of the last run")
    assert not place.detail.take.isEnabled()
    place.table.taken.emit(place.table.rows_model.rows[0].key)
    assert "wait until" in place.words.text()
    # under way, stopped, begun again
    place.feed.ask(forced=False)
    assert run.is_busy
    place.controls.work.cancel.click()
    assert not run.is_busy
    assert place.controls.work.state.text().startswith("Stopped.")
    place.feed.ask(forced=False)
    assert not run.is_busy
    place.controls.work.again.click()
    assert run.is_busy
    settle(qtbot, place)
    assert {one.status for one in place.feed.rows if one.row} == {DONE}
    assert place.feed.rows[0].row.wheel_power_peak_w != before
    assert place.controls.work.state.text() == ""
    # a drag only marks
    recompute.set_dragging(True)
    document.edit("cooler.effectiveness", 0.6)
    recompute.compute()
    place.feed.show_rows()
    assert not place.feed._rest.isActive()
    assert {one.status for one in place.feed.rows if one.row} == {OLD}
    document.undo.setClean()


def test_ticks_aims_days_and_lists_ask_again(qtbot, make_place):
    document, _, place = make_place()
    model = place.table.rows_model
    keys = [one.key for one in model.rows]
    place.table.ticked.emit(LARGE, True)
    assert next(one for one in place.feed.rows if one.key == LARGE).status == "off"
    settle(qtbot, place)
    assert next(one for one in place.feed.rows if one.key == LARGE).status == DONE
    at = [one.key for one in model.rows].index(SMALL)
    assert model.setData(model.index(at, 0), Qt.CheckState.Unchecked, TICK)
    settle(qtbot, place)
    assert {one.key for one in model.rows if one.row} == {MIDDLE, LARGE}
    assert set(keys) == {one.key for one in model.rows}
    place.table.setCurrentIndex(model.index(0, 3))
    key = place.table.current_key
    for status in ("off", DONE):
        qtbot.keyClick(place.table, Qt.Key.Key_Space)
        settle(qtbot, place)
        assert next(one for one in place.feed.rows if one.key == key).status == status
        place.table.setCurrentIndex(model.index([o.key for o in model.rows].index(key), 3))
    place.controls.aims[POWER].click()
    place.controls.speeds.edit.setText("3000, 99")
    place.controls.speeds.edit.editingFinished.emit()
    assert "allowed: 500 to 24000 rpm" in place.controls.speeds.sentence.text()
    place.controls.speeds.edit.setText("3000")
    place.controls.speeds.edit.editingFinished.emit()
    place.controls.ribs.edit.setText("6, 8")
    place.controls.ribs.edit.editingFinished.emit()
    settle(qtbot, place)
    assert place.exports.aim == POWER
    assert float(cell(place, 0, "Wheel, at 3000")) < float(cell(place, 0, "Wheel power"))
    # the target's day is not judged: told, and nothing is lost
    place.controls.day_ticks.boxes["hot"].click()
    place.controls.day_ticks.boxes["mild"].click()
    settle(qtbot, place)
    assert "promised on the mild day" in place.controls.aim_fault.text()
    assert {one.status for one in place.feed.rows if one.row} == {OLD}
    assert WAITING not in {one.status for one in place.feed.rows}
    document.undo.setClean()


def test_sorting_laying_over_and_files(qtbot, make_place, preferences, tmp_path):
    document, _, place = make_place(ticks=())
    ranked = shown(place)
    place.table._on_head(2)
    pulleys = [float(cell(place, row, "Pulley")) for row in range(3)]
    assert pulleys == sorted(pulleys)
    place.table._on_head(2)
    assert [float(cell(place, row, "Pulley")) for row in range(3)] == pulleys[::-1]
    place.table._on_head(2)
    assert shown(place) == ranked
    rows = place.table.rows_model.rows
    place.table.choose([one.key for one in rows])
    place.table.chosen.emit()
    settle(qtbot, place)
    assert [one.letter for one in place.chart.series.maps] == ["A", "B", "C"]
    assert set(LIGHT.trio) <= colours(place.chart)
    path = tmp_path / "table.csv"
    place.write_table_to(path)
    told = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8"))))
    assert len(told) == 1 + len(rows)
    assert told[0][-1] == "caution"
    assert told[1][0] == rows[0].title
    preferences.change(system="us")
    settle(qtbot, place)
    inches = float(cell(place, 0, "Pulley"))
    best = place.table.rows_model.rows[0].setting.blower_pulley
    # 0.0254 m an inch
    assert inches == pytest.approx(best / 0.0254, abs=5e-4)
    assert "[lb/min]" in place.chart.series.axes.flow_label
    for kind in ("png", "svg", "csv"):
        with place.shown("compressor_overlay") as chart:
            chart.write(kind, tmp_path / f"a.{kind}", 1.0, place.exports.caption("us", "a shop"))
        assert (tmp_path / f"a.{kind}").stat().st_size > 2000
    assert "operating line" in (tmp_path / "a.csv").read_text(encoding="utf-8")
    place.set_classroom(True)
    assert not place.answer.isVisible()
    assert not place.table.isVisible()
    assert not place.detail.isVisible()
    place.reveal_answers()
    assert place.table.isVisible()
    document.undo.setClean()
