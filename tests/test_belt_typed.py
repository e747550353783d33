"""A belt's layout as typed: read back to the last digit, every fault in a sentence, its words."""

from dataclasses import replace

import numpy as np
import pytest

from app.present.belt_typed import TypedPulley, read_typed, typed_of
from app.present.belt_words import fit_words, told_words
from engine_model.belt_fit import BeltFit, belt_fit, fit_inputs, same_belt_of
from engine_model.belt_plan import BeltPlan, PlanPulley
from engine_model.counted_inputs import assumed_inputs, count_inputs
from engine_model.plan_examples import two_pulleys, with_spring_idler
from engine_model.plan_layout import told_path
from engine_model.sections import Drive
from tests.belt_plans import BLOWER, CRANK, FOUR, IDLER, PAIR, SLID, laid

DRIVE = Drive(crank_pulley_diameter=0.18, blower_pulley_diameter=0.08)


@pytest.mark.parametrize("units", ["si", "us"])
def test_what_is_shown_reads_back_to_the_last_digit(units):
    odd = replace(FOUR, pulleys=(CRANK, replace(IDLER, x=0.160012345), *FOUR.pulleys[2:]))
    for plan in (PAIR, SLID, FOUR, odd):
        reading = read_typed(typed_of(plan, units), DRIVE, units)
        assert (reading.plan, reading.fault) == (plan, None)


def test_a_bare_number_is_in_the_unit_of_its_heading():
    typed = typed_of(PAIR, "us")
    typed.pulleys[1].cells["x"].text = "12"
    assert read_typed(typed, DRIVE, "us").plan.pulleys[1].x == pytest.approx(12 * 0.0254)
    typed.pulleys[1].cells["x"].text = "310 mm"
    assert read_typed(typed, DRIVE, "us").plan.pulleys[1].x == pytest.approx(0.310)


def change(**values):
    def act(typed):
        for name, text in values.items():
            row, key = name.split("_", 1)
            typed.pulleys[int(row[1:])].cells[key].text = text

    return act


def rename(typed):
    typed.pulleys[1].name = " "


def slack_pulley(typed):
    typed.pulleys.append(TypedPulley("idler", "idler"))


def crossed(typed):
    typed.tensioner.cells["arm"]["low"].text = "5"


@pytest.mark.parametrize(
    ("act", "row", "key", "sentence"),
    [
        (
            change(p1_x="hello"), 1, "x",
            "Pulley 2 (idler), x: hello given; allowed: a length (m, mm, cm, in, ft); a finite "
            "number must come first",
        ),
        (
            change(p2_y="9000"), 2, "y",
            "Pulley 3 (blower), y: 9000 given; allowed: -3000.0 mm to 3000.0 mm",
        ),
        (
            rename, 1, "name",
            "Pulley 2, name: nothing given; allowed: a name",
        ),
        (
            slack_pulley, 4, "x",
            "Pulley 5 (idler), x: nothing given; allowed: a length (m, mm, cm, in, ft); the text "
            "is empty",
        ),
        (
            crossed, None, "travel",
            "Tensioner, travel: 5 to 15 deg given; allowed: low at most 0 (as it stands now), high "
            "at least 0, and not both 0",
        ),
        (
            change(p2_x="120"), None, "",
            "Belt: crank and blower with centres 120.0 mm apart given; allowed: more than "
            "130.0 mm, so that the two do not overlap",
        ),
    ],
)  # fmt: skip
def test_the_first_fault_is_told_with_its_place(act, row, key, sentence):
    typed = typed_of(FOUR)
    act(typed)
    fault = read_typed(typed, DRIVE).fault
    assert (fault.row, fault.key, fault.sentence) == (row, key, sentence)


def test_a_belt_that_misses_a_pulley_is_told():
    typed = typed_of(FOUR)
    typed.pulleys[1].cells["y"].text = "-200"
    reading = read_typed(typed, DRIVE)
    assert reading.plan is not None  # a layout, though not one to run with
    start, end = (
        "Belt: idler with a wrap of -",
        (" deg given; allowed: a wrap above 0: the belt must bend round every pulley"),
    )
    assert reading.fault.sentence.startswith(start)
    assert reading.fault.sentence.endswith(end)


def test_pulleys_that_can_be_read_are_given_beside_a_fault():
    typed = typed_of(FOUR)
    typed.pulleys[1].cells["x"].text = "?"
    reading = read_typed(typed, DRIVE)
    assert reading.plan is None
    assert [one.name for one in reading.pulleys] == ["crank", "blower", "pump"]


@pytest.mark.parametrize("make", [two_pulleys, with_spring_idler])
@pytest.mark.parametrize("section", [("PK", None), ("PJ", None), ("toothed", 0.0007)])
@pytest.mark.parametrize("crank", [0.04, 0.12, 0.18, 0.30, 0.50])
def test_the_examples_run_with_any_pulleys(make, section, crank):
    for blower in (0.04, 0.08, 0.16, 0.25):
        drive = Drive(
            crank_pulley_diameter=crank, blower_pulley_diameter=blower,
            belt_section=section[0], pitch_offset=section[1], fitted_pulley_diameter=blower,
        )  # fmt: skip
        plan = make(drive)
        assert np.min(told_path(plan, drive).wraps) > 0.2
        fit = belt_fit(replace_plan(drive, plan))
        assert (fit.fits, fit.change) == (True, 0.0)
        assert read_typed(typed_of(plan), drive).plan == plan


def replace_plan(drive, plan):
    from engine_model.belt_fit import FitInputs

    return FitInputs(plan, drive)


def test_words_of_the_same_belt(sample_build):
    build = laid(
        sample_build("frame-95-middle"), SLID, crank_pulley_diameter=0.18,
        blower_pulley_diameter=0.078, fitted_pulley_diameter=0.084,
    )  # fmt: skip
    assert fit_words(same_belt_of(build), build.drive) == (
        "Same belt? Yes: 84.0 mm to 78.0 mm shortens the path by 8.4 mm; 43 % of the way from "
        "mid-travel to its end; 1014.0 mm (effective) would keep the tensioner where it stands."
    )
    small = build.with_value("drive.blower_pulley_diameter", 0.060)
    assert fit_words(same_belt_of(small), small.drive).startswith(
        "Same belt? No: 84.0 mm to 60.0 mm shortens the path by 33.4 mm; out of the tensioner's "
        "travel; "
    )
    same = build.with_value("drive.blower_pulley_diameter", 0.084)
    assert fit_words(same_belt_of(same), same.drive).startswith("The belt stands as told, with 84")
    assert fit_words(None, build.drive) == ""
    broken = BeltFit(float("nan"), False, float("inf"), told="crank and blower overlap")
    assert fit_words(broken, build.drive) == "Same belt? No: crank and blower overlap."
    assert fit_inputs(build).belts == ()


def test_inputs_told_by_the_layout(sample_build):
    build = sample_build("frame-95-middle")
    assert told_words(build) == {}
    one = laid(build, PAIR, crank_pulley_diameter=0.18, blower_pulley_diameter=0.08)
    # 180 -+ 2 asin(50/300): 160.8 and 199.2 deg
    assert told_words(one) == {
        "drive.wrap": "161 deg",
        "drive.crank_wrap": "199 deg",
        "drive.accessory_power": "0.0 kW",
    }
    assert told_words(laid(build, FOUR), "us")["drive.accessory_power"] == "4.0 hp"
    near = BeltPlan((CRANK, replace(BLOWER, x=0.20)))
    wide = laid(build, near, crank_pulley_diameter=0.18, blower_pulley_diameter=0.25)
    assert told_words(wide)["drive.wrap"] == "--"
    assert told_words(wide.with_value("drive.kind", "none")) == {}
    assert PlanPulley("crank", "crank", 0.0, 0.0) == CRANK


def test_what_the_layout_tells_is_not_assumed(sample_build):
    build = sample_build("frame-95-middle")
    one = replace(build, layout=PAIR)
    told = {"drive.wrap", "drive.crank_wrap", "drive.accessory_power"}
    assert set(assumed_inputs(build)) - set(assumed_inputs(one)) == told
    (before, every), (after, same) = count_inputs(build), count_inputs(one)
    assert (before - after, every) == (3, same)
    assert len(assumed_inputs(one)) == after
    typed = one.with_value("drive.wrap", 140.0)  # given and told: counted once
    assert count_inputs(typed)[0] == after
