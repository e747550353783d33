"""Rows of the compressor study: free shafts, knock, crank pulleys and ribs, marks, what fails."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from compressor_cases import CLOSER, best_of, sample_build, sweep, told, trims, with_pulley

from app.paths import sample_maps
from engine_model.compressor.map_data import SpeedLine
from engine_model.errors import InputError
from engine_model.files.map_file import load_map
from engine_model.studies import compressor_numbers
from engine_model.studies.compressor_records import ACCEPTED, AIMS, UNFIT, CompressorAim
from engine_model.studies.compressor_study import compressor_study

BURN = {**CLOSER, "bounds.knock_retard": 4.6, "bounds.cylinder_pressure": 84e5}
ROOMY = {"bounds.boost": 100e3, "bounds.charge_temperature": 360.0}
NARROW = {"blower_pulleys": (0.0645, 0.0675), "pulley_step": 1e-3}


def days_of(build, *names):
    return [build.known_days()[name] for name in names]


def sentence_of(ranking):
    """All that a ranking says but the lines; nan is told alike."""
    names = [one.name for one in dataclasses.fields(ranking.rows[0]) if one.name != "days"]
    return [[repr(getattr(row, name)) for name in names] for row in ranking.rows]


def test_knock_and_cylinder_pressure_count_where_they_have_a_bound(monkeypatch):
    monkeypatch.setattr(compressor_numbers, "COARSE", 7)
    build = sample_build("road-six", BURN)
    days = days_of(build, "mild")
    sizes = [round(k * 3e-4, 9) for k in range(226, 199, -1)]
    allowed = sweep(build, days, sizes, with_pulley)
    free = compressor_study(
        sample_build("road-six", CLOSER), [build.blower.compressor_map], days,
        CompressorAim("power", (0.0600, 0.0678), 3e-4),
    )  # fmt: skip
    assert len(allowed) > 3
    for aim in AIMS:
        question = CompressorAim(aim, (0.0600, 0.0678), 3e-4)
        (row,) = compressor_study(build, [build.blower.compressor_map], days, question).rows
        mine = best_of(allowed, aim)
        assert row.setting.blower_pulley == mine.size
        assert told(row)[:2] == mine.tightest[:2]
        assert told(row)[2:] == pytest.approx(mine.tightest[2:], rel=1e-12)
        assert row.room.setting.blower_pulley == allowed[-1].size
        assert row.room.stop.code in ("knock_retard", "cylinder_pressure")
    # they decide: without them a smaller pulley would do
    assert free.rows[0].setting.blower_pulley < allowed[-1].size


def with_boost(build, boost):
    """The schedule of a free shaft scaled to a highest boost, by hand."""
    highest = max(value for _, value in build.drive.boost_schedule)
    scaled = tuple(
        (share, value * (boost / highest)) for share, value in build.drive.boost_schedule
    )
    return build.with_value("drive.boost_schedule", scaled)


def test_a_free_shaft_has_a_boost_in_the_place_of_the_pulley(monkeypatch):
    monkeypatch.setattr(compressor_numbers, "COARSE", 7)
    build = sample_build("free-shaft-four", ROOMY)
    days = days_of(build, "mild")
    boosts = [float(1000 * k) for k in range(60, 101, 2)]
    allowed = sweep(build, days, boosts, with_boost)
    assert 3 < len(allowed) < len(boosts)
    for aim in AIMS:
        question = CompressorAim(aim, boosts=(60e3, 100e3), boost_step=2e3)
        (row,) = compressor_study(build, [build.blower.compressor_map], days, question).rows
        mine = best_of(allowed, aim)
        assert (row.standing, row.setting.boost) == (ACCEPTED, mine.size)
        assert told(row)[:2] == mine.tightest[:2]
        assert told(row)[2:] == pytest.approx(mine.tightest[2:], rel=1e-12)
        assert row.room.setting.boost == allowed[-1].size
        assert max(value for _, value in row.setting.boost_schedule) == pytest.approx(mine.size)
        # the shaft power that the turbine must give is told, the crank pays nothing
        shaft = np.nanmax(row.days[0].line.drive_power_w)
        assert row.drive_power_peak_w == shaft > 5e3


def test_crank_pulleys_and_ribs_are_the_best_of_each_alone():
    build = sample_build("road-six", CLOSER)
    days, maps = days_of(build, "mild"), trims()[:1]
    cranks, ribs = (0.174, 0.180), (6, 10)
    whole = CompressorAim("power", crank_pulleys=cranks, ribs=ribs, **NARROW)
    (row,) = compressor_study(build, maps, days, whole).rows
    alone = []
    for crank in cranks:
        for count in ribs:
            one = build.with_values({"drive.crank_pulley_diameter": crank, "drive.ribs": count})
            question = CompressorAim("power", **NARROW)
            (found,) = compressor_study(one, maps, days, question).rows
            if found.standing == ACCEPTED:
                alone.append((found.wheel_power_peak_w, crank, count))
    power, crank, count = max(alone, key=lambda item: item[0])
    assert (row.setting.crank_pulley, row.wheel_power_peak_w) == (crank, power)
    assert row.setting.ribs in ribs
    assert len(alone) < 4 or count in ribs


def test_maps_that_say_less_are_marked_and_ranked_apart():
    build = sample_build("road-six", CLOSER)
    own = trims()[0]
    bare = dataclasses.replace(own, title="bare", islands=())
    static = dataclasses.replace(own, title="static", pressure_basis="total_to_static")
    ranking = compressor_study(
        build, [bare, own, static], days_of(build, "mild"), CompressorAim(**NARROW)
    )
    assert ranking.rows[0].title == own.title
    assert [row.group for row in ranking.rows] == ["full", "marked", "marked"]
    marks = {row.title: row.marks for row in ranking.rows}
    assert marks["bare"] == ("efficiency_assumed",)
    assert marks["static"] == ("pressure_static",)
    assert all(row.setting is not None for row in ranking.rows)
    typed = next(row for row in ranking.rows if row.title == "bare")
    assert typed.weighted_efficiency == pytest.approx(build.blower.typed_efficiency)


def test_a_map_that_cannot_be_fitted_is_a_row_with_a_sentence():
    build = sample_build("road-six")
    own = trims()[0]
    nothing = dataclasses.replace(
        own, title="nothing",
        speed_lines=tuple(
            SpeedLine(n, ((0.1, float("nan")), (0.2, float("nan")))) for n in (3e4, 6e4)
        ),
    )  # fmt: skip
    tiny = load_map(sample_maps()["turbo-52"])
    ranking = compressor_study(
        build, [nothing, tiny], days_of(build, "mild"), CompressorAim(**NARROW)
    )
    rows = {row.place: row for row in ranking.rows}
    assert rows[0].standing == UNFIT
    assert rows[0].why.startswith("cannot be fitted or solved: ")
    assert rows[1].standing == "refused"
    assert rows[1].tightest.code == "choke_margin"
    assert ranking.winner is None
    assert [row.place for row in ranking.rows] == [1, 0]


def test_rows_do_not_depend_on_their_neighbours():
    build = sample_build("road-six", CLOSER)
    days, maps = days_of(build, "mild", "freezing"), trims()
    together = compressor_study(build, maps, days, CompressorAim(**NARROW))
    for row in together.rows:
        alone = compressor_study(build, [maps[row.place]], days, CompressorAim(**NARROW)).rows[0]
        moved = dataclasses.replace(alone, place=row.place)
        assert sentence_of(together)[together.rows.index(row)] == sentence_of(
            dataclasses.replace(together, rows=(moved,))
        )[0]  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "question", "field"),
    [
        ({"drive.kind": "none"}, {}, "drive.kind"),
        ({"target.power": None}, {}, "target.power"),
        ({"drive.kind": "free_shaft", "drive.boost_schedule_basis": "absolute"}, {},
         "drive.boost_schedule_basis"),
        ({"drive.kind": "free_shaft", "drive.boost_schedule": ((0.2, 0.0), (0.8, 0.0))}, {},
         "drive.boost_schedule"),
        ({"target.day": "hot"}, {}, "days"),
        ({}, {"ribs": (99,)}, "drive.ribs"),
        ({}, {"blower_pulleys": (0.06004, 0.06006)}, "pulley_step"),
    ],
)  # fmt: skip
def test_what_cannot_be_asked_is_refused(changes, question, field):
    build = sample_build("road-six", changes)
    with pytest.raises(InputError) as refused:
        compressor_study(build, trims(), days_of(build, "mild"), CompressorAim(**question))
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("question", "field"),
    [
        ({"aim": "cheap"}, "aim"),
        ({"blower_pulleys": (0.09, 0.06)}, "blower_pulleys"),
        ({"blower_pulleys": (0.01, 0.06)}, "blower_pulleys"),
        ({"boosts": (0.0, 1e5)}, "boosts"),
        ({"pulley_step": 0.0}, "pulley_step"),
        ({"boost_step": 1e-3}, "boost_step"),
    ],
)
def test_a_question_that_cannot_be_is_refused(question, field):
    with pytest.raises(InputError) as refused:
        CompressorAim(**question)
    assert refused.value.field == field
