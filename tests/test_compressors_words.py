"""Compressors as a table and in words, from rows made by hand."""

import csv
import io
import math
from dataclasses import replace

from app.paths import sample_builds
from app.present.compressor_columns import NAME, columns_of
from app.present.compressor_order import by_column, by_rank, table_csv, table_rows
from app.present.compressor_shown import BROKEN, OFF, OLD, WAITING, ShownRow
from app.present.compressor_words import answer_words, question_fault
from engine_model import load_build
from engine_model.studies.compressor_records import (
    EFFICIENCY_ASSUMED,
    POWER,
    TARGET_HEADROOM,
    Room,
    Setting,
)
from tests.compressors_hand import made_shown

BUILD = load_build(sample_builds()["road-six"])
SMALL = made_shown("small", 150e3, used=0.7)
LARGE = made_shown("large", 180e3, used=0.9)
MARKED = made_shown("marked", 250e3, used=0.1, marks=(EFFICIENCY_ASSUMED,))
WAITS = ShownRow("waits", "waits", "by hand", WAITING)
IS_OFF = ShownRow("off", "off", "by hand", OFF)
BAD = ShownRow("bad", "bad", "by hand", BROKEN, None, "speed_lines: one line")
ALL = (BAD, IS_OFF, MARKED, WAITS, SMALL, LARGE)


def titles(rows):
    return [one.title for one in rows]


def column(columns, key):
    return next(one for one in columns if one.key == key)


def test_the_aim_ranks_and_marked_maps_stand_apart():
    last = ["marked", "waits", "off", "bad"]
    assert titles(by_rank(ALL, POWER)) == ["large", "small", *last]
    assert titles(by_rank(ALL, TARGET_HEADROOM)) == ["small", "large", *last]


def test_a_column_sorts_within_the_groups():
    columns = columns_of(free_shaft=False, speeds=(3000.0,))
    power = column(columns, "power")
    last = ["marked", "waits", "off", "bad"]
    assert titles(by_column(ALL, power, falling=True)) == ["large", "small", *last]
    assert titles(by_column(ALL, power, falling=False)) == ["small", "large", *last]
    nothing = replace(LARGE, row=replace(LARGE.row, wheel_power_peak_w=math.nan))
    for falling in (True, False):
        assert titles(by_column((nothing, SMALL), power, falling=falling)) == ["small", "large"]
    assert titles(by_column((SMALL, LARGE), NAME, falling=False)) == ["large", "small"]


def test_an_older_answer_is_blank_at_speeds_it_was_not_asked_for():
    one = made_shown("old", 150e3, status=OLD, speeds=(2500.0,))
    columns = columns_of(free_shaft=False, speeds=(2500.0, 4000.0))
    assert column(columns, "power 2500").text(one, "si") == "75.0"
    assert column(columns, "power 4000").text(one, "si") == "--"
    assert column(columns, "standing").text(one, "si") == "keeps every limit, as of the last run"


def test_the_table_as_text_and_as_csv():
    room = Room(Setting(0.0656, 0.18, 6), 160e3, 10e3, None)
    one = replace(SMALL, row=replace(SMALL.row, room=room))
    columns = columns_of(free_shaft=False, has_target=True)
    head, row, bad = table_rows((one, BAD), columns)
    cells = dict(zip(head, row, strict=True))
    assert cells["Wheel power, peak [kW]"] == "150.0"
    assert cells["Room left to grow"] == "+10.0 kW at 65.6 mm"
    assert bad[-1] == "speed_lines: one line"
    text = table_csv((one, MARKED), columns, (("caution", "an estimate"),), "us")
    head, row, marked = csv.reader(io.StringIO(text))
    cells = dict(zip(head, row, strict=True))
    # 10 kW over 0.7457 kW a horsepower; 65.6 mm over 25.4 mm an inch
    assert cells["room left, gain [hp]"] == "13.4"
    assert cells["room left, at pulley [in]"] == "2.583"
    assert cells["caution"] == "an estimate"
    assert "no efficiency in the compressor map" in marked[head.index("marks")]


def test_columns_follow_the_drive_and_the_question():
    keys = [c.key for c in columns_of(free_shaft=False, speeds=(3000.0,), cranks=2)]
    assert keys[:5] == ["name", "standing", "size", "crank", "ribs"]
    assert "power 3000" in keys
    assert "target" not in keys
    keys = [c.key for c in columns_of(free_shaft=True, has_target=True)]
    assert "ribs" not in keys
    assert {"shaft", "target"} <= set(keys)


def test_the_answer_in_words():
    verdict, rows = answer_words(ALL, BUILD, POWER, ("mild", "hot"))
    size = "blower pulley 70.0 mm, crank pulley 180.0 mm, 6 ribs"
    assert verdict == f"large with {size}, so far (1 not worked out yet)"
    assert rows[-1].startswith("Aim: most power, on the days mild, hot")
    assert "uncorrected" in rows[0]
    verdict, _ = answer_words((replace(SMALL, status=OLD),), BUILD, POWER, ("mild",))
    assert verdict.endswith("as of the last run")
    assert "small" not in verdict
    verdict, _ = answer_words((LARGE, replace(SMALL, status=OLD)), BUILD, POWER, ("mild",))
    assert verdict.endswith("so far (1 as of the last run)")
    verdict, rows = answer_words((MARKED, IS_OFF), BUILD, POWER, ("mild",))
    assert any("no map that says all" in row for row in rows)
    assert answer_words((IS_OFF,), BUILD, POWER, ("mild",))[0].startswith("No compressor is chosen")


def test_what_cannot_be_asked_is_told():
    bare = replace(BUILD, target=replace(BUILD.target, power=None))
    assert question_fault(bare, TARGET_HEADROOM, ("mild",)).startswith("No target is set")
    assert question_fault(bare, POWER, ("hot",)) == ""
    told = replace(BUILD, target=replace(BUILD.target, day="mild"))
    assert "mild day" in question_fault(told, POWER, ("hot",))
    assert question_fault(told, POWER, ("hot", "mild")) == ""
