"""The grid of pulleys against single matches, cell by cell; nothing of the study in between."""

from __future__ import annotations

import itertools
import math

import pytest
from span_matches import CAPPED, PULLEY, road_six_and_surface

from engine_model.errors import InputError
from engine_model.matching import match
from engine_model.studies.pulley_grid import pulley_grid
from engine_model.studies.span_records import NO_BALANCE, WorstCase

CRANK = "drive.crank_pulley_diameter"
BLOWER = (0.052, 0.066, 0.0732, 0.095, 0.125)
CRANKS = (0.15, 0.178, 0.21)
DAYS = ("mild", "freezing", "hot and high")


@pytest.fixture(scope="module")
def road_six():
    return road_six_and_surface()


BELT_HOLDS = {"drive.ribs": 20, "target.power": None, "bounds.belt_speed": 120.0}


def parts_at(build, surface, days):
    """Entries of parts and target of single matches, judged ones only."""
    known = build.known_days()
    every = [e for day in days for e in match(build, known[day], surface=surface).ledger]
    return [e for e in every if e.part in ("parts", "target") and not math.isnan(e.used)]


def slips(entries):
    """Whether the belt slips: then grip is over, and the rest is judged on two lines."""
    return any(e.code == "belt_slip" and e.value > 0.0 for e in entries)


def assert_cell(cell, entries, diameter):
    assert cell.diameter == diameter
    if cell.entry is not None and cell.entry.code == NO_BALANCE:
        assert all(e.used <= 1.0 for e in entries)
        return
    if slips(entries):
        assert cell.state == "over"
        return
    most = max(entries, key=lambda e: e.used)
    assert cell.entry.used == pytest.approx(most.used, rel=1e-9)
    assert cell.state == most.state
    same = {(e.code, e.day) for e in entries if e.used >= most.used * (1.0 - 1e-12)}
    assert (cell.entry.code, cell.entry.day) in same


def test_crank_pulleys_agree_with_single_matches(road_six):
    # the target would be over in every cell
    build, surface = road_six[0].with_value("target.power", None), road_six[1]
    days = [build.known_days()[name] for name in DAYS]
    grid = pulley_grid(build, days, BLOWER, crank_diameters=CRANKS, surface=surface)
    assert (grid.rows, grid.blower_diameters, grid.days) == (CRANKS, BLOWER, DAYS)
    states = set()
    for (r, crank), (c, blower) in itertools.product(enumerate(CRANKS), enumerate(BLOWER)):
        one = build.with_values({CRANK: crank, PULLEY: blower})
        assert_cell(grid.cells[r][c], parts_at(one, surface, DAYS), blower)
        states.add(grid.cells[r][c].state)
    assert states == {"close", "over"}


def test_ribs_agree_with_single_matches(road_six):
    build, surface = road_six
    days = [build.known_days()[name] for name in DAYS]
    grid = pulley_grid(build, days, BLOWER[:3], ribs=(4, 8), surface=surface)
    assert grid.rows == (4.0, 8.0)
    for (r, ribs), (c, blower) in itertools.product(enumerate((4, 8)), enumerate(BLOWER[:3])):
        one = build.with_values({"drive.ribs": ribs, PULLEY: blower})
        assert_cell(grid.cells[r][c], parts_at(one, surface, DAYS), blower)


def test_the_bypass_stuck_shut_is_judged_on_the_freezing_day_too(road_six):
    build, surface = road_six[0].with_values({**CAPPED, **BELT_HOLDS}), road_six[1]
    mild = build.known_days()["mild"]
    worst = WorstCase(bypass_stuck_shut=True)
    sizes = (0.062, 0.069)
    grid = pulley_grid(build, [mild], sizes, crank_diameters=(0.178,), worst=worst, surface=surface)
    shut = build.with_value("bypass.boost_cap", None)
    for cell, blower in zip(grid.cells[0], sizes, strict=True):
        change = {CRANK: 0.178, PULLEY: blower}
        entries = parts_at(build.with_values(change), surface, ("mild",))
        entries += parts_at(shut.with_values(change), surface, ("mild", "freezing"))
        assert_cell(cell, entries, blower)
    assert {cell.case for cell in grid.cells[0]} == {"bypass stuck shut"}


def test_without_a_missed_shift_nothing_is_judged_at_the_over_rev(road_six):
    build, surface = road_six
    mild = build.known_days()["mild"]
    sizes, worst = (0.050, 0.058), WorstCase(missed_shift=False)
    grid = pulley_grid(build, [mild], sizes, crank_diameters=(0.178,), worst=worst, surface=surface)
    for cell, blower in zip(grid.cells[0], sizes, strict=True):
        one = build.with_values({"engine.over_rev": 6800.0, CRANK: 0.178, PULLEY: blower})
        entries = [
            e for e in parts_at(one, surface, ("mild",)) if e.code != "impeller_speed_over_rev"
        ]
        assert_cell(cell, entries, blower)


def test_cells_do_not_depend_on_their_neighbours(road_six):
    build, surface = road_six
    days = [build.known_days()[name] for name in DAYS]
    whole = pulley_grid(build, days, BLOWER, crank_diameters=CRANKS, surface=surface)
    alone = pulley_grid(build, days, BLOWER[2:3], crank_diameters=CRANKS[1:2], surface=surface)
    assert alone.cells[0][0] == whole.cells[1][2]


def test_every_call_of_the_match_can_end_it(road_six):
    build, surface = road_six
    days = [build.known_days()["mild"]]

    class EndedError(Exception):
        pass

    def end():
        raise EndedError

    with pytest.raises(EndedError):
        pulley_grid(build, days, BLOWER, ribs=(6,), surface=surface, on_step=end)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({}, "one of the two"),
        ({"crank_diameters": (0.1,), "ribs": (6,)}, "one of the two"),
        ({"ribs": (60,)}, "drive.ribs"),
        ({"crank_diameters": (5.0,)}, "drive.crank_pulley_diameter"),
    ],
)
def test_what_cannot_be_asked_is_refused(road_six, values, words):
    build, surface = road_six
    with pytest.raises(InputError, match=words):
        pulley_grid(build, [build.known_days()["mild"]], BLOWER, surface=surface, **values)


def test_refuses_no_days_no_columns_and_no_belt(road_six):
    build, surface = road_six
    mild = [build.known_days()["mild"]]
    with pytest.raises(InputError, match="days"):
        pulley_grid(build, [], BLOWER, ribs=(6,), surface=surface)
    for columns in ((), (1.0,)):
        with pytest.raises(InputError, match="blower_diameters"):
            pulley_grid(build, mild, columns, ribs=(6,), surface=surface)
    free = build.with_value("drive.kind", "free_shaft")
    with pytest.raises(InputError, match=r"drive\.kind"):
        pulley_grid(free, mild, BLOWER, ribs=(6,), surface=surface)
