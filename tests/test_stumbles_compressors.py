"""What a first user of the Compressors place stumbled over, each mended once."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import csv
import io
from dataclasses import replace

import pytest
from conftest import read_sample_map
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from app.chart_tools.axis import QuietAxis, halves
from app.chart_tools.palette import LIGHT
from app.gui.panels.map_chooser import with_map
from app.gui.places.compressors.controls import working_words
from app.gui.places.compressors.library import FolderCounts, passed_over, plain_fault
from app.gui.places.compressors.model import CompressorModel, Look
from app.gui.places.compressors.overlay_feed import left_out_words
from app.gui.places.compressors.taking import taken_build
from app.paths import sample_builds, sample_maps
from app.present.compressor_columns import columns_of, standing_cell, standing_text
from app.present.compressor_order import by_rank, table_csv
from app.present.compressor_sayings import entry_short, tightest_short
from app.present.compressor_shown import OLD
from app.present.compressor_tables import whose_words
from app.present.compressor_words import answer_words
from app.present.map_words import limit_words
from engine_model import load_build, match
from engine_model.results import Entry
from engine_model.studies.compressor_records import (
    EFFICIENCY,
    POWER,
    REFUSED,
    TARGET_HEADROOM,
    CompressorAim,
)
from engine_model.studies.compressor_sizes import with_candidate
from engine_model.studies.compressor_study import compressor_study
from tests.compressors_hand import SMALL, cell, made_shown, make_place, settle

__all__ = ["make_place"]
BUILD = load_build(sample_builds()["road-six"])
LIMIT, STEP_UP = "blower.maximum_impeller_speed", "blower.step_up"
DAYS = tuple(BUILD.known_days())


# the typed limit of the impeller


def studied(build, *maps):
    question = CompressorAim(aim=POWER, blower_pulleys=(0.06, 0.09))
    found = compressor_study(build, maps, [build.known_days()["mild"]], question)
    return {row.title: row for row in found.rows}


def test_a_typed_limit_binds_a_copy_as_it_binds_the_own():
    own = BUILD.blower.compressor_map
    copy = replace(own, title="a copy of the same trim")
    # so low that nothing else stops the pulley first
    build = BUILD.with_values({LIMIT: 60e3, "target.power": None})
    rows = studied(build, own, copy)
    first, other = rows[own.title], rows[copy.title]
    assert own.maximum_speed == 96e3
    assert other.setting == first.setting
    assert other.wheel_power_peak_w == first.wheel_power_peak_w
    assert (other.impeller_limit, other.impeller_limit_from) == (60e3, "build")
    assert whose_words(other) == "60000 rpm, yours; the map's is 96000 rpm"
    # what is taken has it still, and what is taken after that
    taken, paths = taken_build(build, other)
    again, _ = taken_build(taken, first)
    third, _ = taken_build(again, other)
    assert LIMIT not in paths
    for one in (taken, again, third):
        assert one.blower.maximum_impeller_speed == 60e3
        assert LIMIT in one.given
    # a match of its own: no impeller spins faster than was typed
    ledger = {entry.code: entry for entry in match(taken, build.known_days()["mild"]).ledger}
    for code in ("impeller_speed", "impeller_speed_over_rev"):
        assert ledger[code].bound == 60e3
        assert ledger[code].value <= 60e3
    assert "60000 rpm (typed), as before" in limit_words(build, taken)


def test_the_maps_own_limit_binds_where_it_is_the_lower_and_nothing_typed_is_lost():
    low = replace(read_sample_map("frame-95-middle"), maximum_speed=70e3)
    build = BUILD.with_value(LIMIT, 82e3)
    row = studied(build, low)[low.title]
    assert (row.impeller_limit, row.impeller_limit_from) == (70e3, "map")
    assert whose_words(row) == "70000 rpm, the map's"
    taken = with_candidate(build, low)
    assert taken.blower.maximum_impeller_speed == 82e3
    words = limit_words(build, taken)
    assert words.startswith("Impeller speed limit 70000 rpm (the map's), was 82000 rpm; the typed")
    # through a map of a lower limit and back: the typed one binds as before
    back = with_candidate(taken, BUILD.blower.compressor_map)
    assert back.blower.maximum_impeller_speed == 82e3


def test_a_typed_step_up_stays_where_the_candidate_has_none():
    geared = read_sample_map("frame-95-middle")
    bare = replace(geared, built_in_step_up=1.0)
    build = BUILD.with_value(STEP_UP, 3.1)
    assert with_candidate(build, bare).blower.step_up == 3.1
    assert STEP_UP in with_candidate(build, bare).given
    gone = with_candidate(build, geared)
    assert gone.blower.step_up is None
    assert limit_words(build, gone).endswith("step-up 3.6 (the map's), was 3.1 (typed).")


def test_the_chooser_of_maps_keeps_the_limit_even_without_the_step_up():
    build = BUILD.with_values({STEP_UP: 3.1, LIMIT: 82e3})
    new = with_map(build, read_sample_map("frame-95-large"), "belt", False)
    assert (new.blower.step_up, new.blower.maximum_impeller_speed) == (None, 82e3)
    assert LIMIT in new.given


def test_a_row_says_whose_limit_is_tightest():
    entry = Entry("impeller_speed", "parts", "close", 0.98, 80e3, 82e3, "rpm", 6800.0, "hot", "")
    assert entry_short(entry, "build").endswith("98 % of yours, hot")
    assert entry_short(entry, "map").endswith("98 % of the map's, hot")


# days, ages, equals


def test_a_limit_is_kept_on_the_days_judged():
    one = replace(made_shown("one", 150e3), not_judged=("hot", "freezing"))
    told = "keeps every limit on the days judged; not judged: hot, freezing"
    assert standing_text(one) == told
    assert standing_cell(one) == "keeps on days judged;\nnot judged: hot, …"
    assert standing_text(replace(one, status=OLD)) == f"{told}; as of the last run"
    _, rows = answer_words((one,), BUILD, POWER, ("mild",))
    rest = [name for name in DAYS if name != "mild"]
    assert any(row.endswith(f"not judged: {', '.join(rest)}.") for row in rows)
    assert not any("not judged" in row for row in answer_words((one,), BUILD, POWER, DAYS)[1])


def test_an_older_row_is_never_before_a_new_one():
    new = made_shown("new", 150e3)
    old = replace(made_shown("old", 250e3, status=OLD), aim=TARGET_HEADROOM)
    assert [one.title for one in by_rank((old, new), POWER)] == ["new", "old"]
    verdict, rows = answer_words((old, new), BUILD, POWER, ("mild",))
    assert verdict.startswith("new with")
    assert verdict.endswith("so far (1 as of the last run)")
    assert "Grey rows are of: reach the target with most headroom, on the mild day" in rows[-1]
    verdict, rows = answer_words((old,), BUILD, POWER, ("mild",))
    assert "old" not in verdict
    assert rows[0].startswith("Its question: reach the target with most headroom")
    assert rows[-1].startswith("Aim: most power")


@pytest.mark.parametrize(
    ("aim", "change", "other"),
    [
        (POWER, {"wheel_power_peak_w": 149.5e3}, {"wheel_power_peak_w": 149e3}),
        (EFFICIENCY, {"weighted_efficiency": 0.698}, {"weighted_efficiency": 0.69}),
        (TARGET_HEADROOM, {"shares": (0.905,)}, {"shares": (0.92,)}),
    ],
)
def test_what_is_practically_equal_is_said(aim, change, other):
    best = made_shown("best", 150e3)
    near = replace(made_shown("near", 150e3), row=replace(best.row, **change))
    far = replace(made_shown("far", 150e3), row=replace(best.row, **other))
    verdict, rows = answer_words((best, near), BUILD, aim, DAYS)
    assert verdict.endswith(", practically equal to near")
    assert any(row.startswith("Practically equal (within ") for row in rows)
    assert "practically" not in answer_words((best, far), BUILD, aim, DAYS)[0]


def test_what_differs_among_equals_is_said():
    best = made_shown("best", 150e3)
    row = replace(best.row, shares=(0.8,), weighted_efficiency=0.71, wheel_power_peak_w=149.9e3)
    _, rows = answer_words((best, replace(best, title="near", row=row)), BUILD, POWER, DAYS)
    assert any(
        "tightest 80 % in place of 90.0 %, +1.0 points of efficiency." in one for one in rows
    )


def test_no_winner_names_what_stops_the_nearest():
    hot = Entry(
        "charge_temperature", "parts", "over", 1.2, 338.0, 333.15, "K", 6800.0, "hot", "by hand"
    )
    one = made_shown("near", 150e3, standing=REFUSED)
    one = replace(one, row=replace(one.row, tightest=hot))
    verdict, _ = answer_words((one,), BUILD, POWER, DAYS)
    # 333.15 K less 273.15
    assert verdict.endswith(": near is stopped by charge temperature 60.0 °C, hot day")


def test_equal_headroom_names_the_next_limit():
    fixed = Entry("piston_speed", "parts", "close", 0.95, 19.0, 20.0, "m/s", 6800.0, "hot", "")
    one = made_shown("one", 150e3)
    row = replace(one.row, tightest=fixed, next_tightest=one.row.tightest, tightest_is_fixed=True)
    assert tightest_short(row).endswith("95 % at any size, next: Boost 90.0 %, mild")
    column = next(c for c in columns_of(free_shaft=False) if c.key == "tightest")
    assert column.help.endswith("Equal: the next tightest decides")


def test_the_study_knows_which_tightest_no_size_moves():
    build = BUILD.with_values({"bounds.piston_speed": 24.0, "target.power": None})
    row = studied(build, build.blower.compressor_map)[build.blower.compressor_map.title]
    codes = {row.tightest.code, row.next_tightest.code}
    assert len(codes) == 2
    assert row.tightest.used >= row.next_tightest.used


# the table


def test_power_and_target_name_their_days():
    one = made_shown("one", 150e3)
    days = (one.row.days[0], replace(one.row.days[0], day="hot and high"))
    target = Entry("target_power", "target", "clear", 0.9, 150e3, 135e3, "W", 6000.0, "mild", "")
    row = replace(one.row, days=days, power_day="hot and high", target=target, target_margin_w=15e3)
    columns = columns_of(free_shaft=False, has_target=True)
    model = CompressorModel()
    look = Look("si", {}, None, lambda shown: None)
    model.show((replace(one, row=row, is_own=True),), columns, look)
    keys = [column.key for column in columns]
    told = {k: model.index(0, keys.index(k)).data().split() for k in ("power", "target", "name")}
    assert told["power"] == ["150.0,", "hot", "and", "high"]
    assert told["target"] == ["+15.0,", "mild"]
    head, cells = csv.reader(io.StringIO(table_csv((replace(one, row=row),), columns, ())))
    found = dict(zip(head, cells, strict=True))
    assert (found["Wheel power, peak [kW]"], found["day of the power"]) == ("150.0", "hot and high")
    assert found["day of the target"] == "mild"


def test_the_fourth_row_is_said_not_to_be_drawn():
    rows = [made_shown(name, 150e3) for name in "abcde"]
    assert left_out_words(rows[:3]) == ("", "")
    assert left_out_words(rows[:4]) == ("Not drawn: the 4th row (3 at most)", "Not drawn: d")
    assert "the 4th to 5th row" in left_out_words(rows)[0]


# files


def test_files_that_are_no_maps_are_told_in_plain_words(tmp_path):
    def made(data):
        path = tmp_path / "one.map.json"
        path.write_bytes(data)
        return plain_fault(path)

    build = sample_builds()["road-six"].read_bytes()
    assert made(build) == "not a compressor map: it is a build file"
    assert made(b"") == made(b" \n") == "empty file"
    assert made(b"\x89PNG\r\n\x1a\n\x00") == made(b"abc\x00\x01") == "not readable text"
    assert made(b"some words") == "not a compressor map: other text"
    assert made(b"[1, 2]") == "not a compressor map: it is other data"
    # nearly a map: its own faults say more
    assert made(sample_maps()["turbo-52"].read_bytes()[:-9]) == ""


def test_the_folder_counts_what_it_does_not_show(tmp_path):
    for name in ("a.map.json", "b.MAP.JSON", "notes.txt", ".hidden"):
        (tmp_path / name).write_text("", encoding="utf-8")
    (tmp_path / "folder").mkdir()
    assert passed_over(str(tmp_path)) == 1
    words = "1 map, 6 files with faults; 1 other name passed over: maps end in .map.json"
    assert FolderCounts(1, 6, 1).words() == words
    assert FolderCounts(2).words() == "2 maps"


# the place


def test_nothing_moves_under_the_pointer_and_the_aim_says_what_is_wrong(qtbot, make_place):
    document, recompute, place = make_place(ticks=())
    boxes = place.controls.day_ticks.boxes

    def levels():
        QApplication.processEvents()
        return [box.mapTo(place, box.rect().topLeft()).y() for box in boxes.values()]

    still = levels()
    work = place.controls.work
    for busy, words in ((True, working_words(8, 50)), (False, "As of the last run.")):
        work.set_busy(busy)
        work._show_work(shown=busy)
        work.set_state(words)
        assert levels() == still
    work.set_state("Stopped. Grey rows are not worked out.")
    work.again.show()
    assert levels() == still
    work.again.hide()
    for aim in (POWER, TARGET_HEADROOM):
        place.controls.aims[aim].click()
    # blanked: told beside the aim, in grey, over no title
    document.edit("target.power", None)
    recompute.compute()
    settle(qtbot, place)
    assert place.controls.aim_fault.text().startswith("No target is set")
    assert place.words.isHidden()
    assert {one.status for one in place.feed.rows if one.row} == {OLD}
    assert "as of the last run" in place.answer.text()
    assert levels() == still
    place.say("A sentence.")
    top = place.words.mapTo(place, place.words.rect().topLeft()).y()
    assert top >= place.table.mapTo(place, place.table.rect().bottomLeft()).y()
    # another customer's build is judged on every day again
    assert not boxes["hot"].isChecked()
    document.take(BUILD, None)
    recompute.compute()
    settle(qtbot, place)
    assert place.controls.chosen_days(document.build) == DAYS
    assert all(box.isChecked() for box in boxes.values())
    document.undo.setClean()


def test_a_long_title_of_a_left_axis_is_parted(qtbot):
    axis = QuietAxis("left")
    words = "Pressure ratio, total to total [-]"
    axis.set_words(words, LIGHT)
    axis.resize(60.0, 400.0)
    assert "<br" not in axis.label.toHtml()
    axis.resize(60.0, 120.0)
    axis.resizeEvent()
    told = axis.label.toPlainText().split("\n")
    assert [line.strip() for line in told] == halves(words)


def test_what_the_build_has_is_said_first(make_place):
    _, _, place = make_place()
    model = place.table.rows_model
    own = next(row for row, one in enumerate(model.rows) if one.is_own)
    assert model.rows[own].key == SMALL
    told = str(model.index(own, 0).data(Qt.ItemDataRole.DisplayRole))
    assert told.partition("\n")[2].startswith("in this build")
    assert cell(place, own, "Compressor map")
