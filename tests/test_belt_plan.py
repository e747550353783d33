"""The layout of a build's belt: the record, wraps and weights from it, the same belt."""

from dataclasses import replace
from math import asin, cos, degrees, inf, pi, radians, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine_model.belt_fit import belt_fit, fit_inputs, same_belt_of
from engine_model.belt_plan import BeltPlan
from engine_model.belt_run import belt_run, grip_at
from engine_model.drive.belt_layout import path_now
from engine_model.drive.belt_tried import tried_paths
from engine_model.errors import InputError
from engine_model.inputs import Shelf
from engine_model.plan_layout import belt_sense, layout_of, told_path
from engine_model.sections import Drive
from tests.belt_layouts import serpentines
from tests.belt_plans import ARM, BLOWER, CRANK, FOUR, IDLER, PAIR, PUMP, SLID, SLIDE, laid


@pytest.fixture
def build(sample_build):
    return sample_build("frame-95-middle")


def wrong(**values):
    return lambda: BeltPlan(**{"pulleys": (CRANK, BLOWER), **values})


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (
            wrong(pulleys=(CRANK,)),
            "layout.pulleys: 'one' given; allowed: 2 to 12 pulleys",
        ),
        (
            wrong(pulleys=(CRANK, IDLER)),
            "layout.pulleys: '0 with role blower' given; allowed: one pulley with role blower",
        ),
        (
            wrong(pulleys=(BLOWER, CRANK)),
            "layout.pulleys[0].role: 'blower' given; allowed: crank: the order of travel begins "
            "there",
        ),
        (
            wrong(pulleys=(CRANK, BLOWER, replace(IDLER, name="crank"))),
            "layout.pulleys[2].name: 'crank' given; allowed: a name of its own (pulleys[0] has it)",
        ),
        (
            wrong(pulleys=(CRANK, replace(BLOWER, diameter=0.08))),
            "layout.pulleys[1].diameter: 0.08 given; allowed: nothing: the drive has "
            "the diameter of the blower pulley",
        ),
        (
            wrong(pulleys=(CRANK, replace(BLOWER, face="back"))),
            "layout.pulleys[1].face: 'back' given; allowed: grooved: the blower runs in the ribs",
        ),
        (
            wrong(pulleys=(CRANK, BLOWER, replace(IDLER, diameter=None))),
            "layout.pulleys[2].diameter: None given; allowed: an outside diameter of the idler",
        ),
        (
            wrong(pulleys=(CRANK, BLOWER, replace(IDLER, power=100.0))),
            "layout.pulleys[2].power: 100.0 given; allowed: 0; only an accessory takes power told "
            "here",
        ),
        (
            wrong(tensioner=replace(SLIDE, pulley="crank")),
            "layout.tensioner.pulley: 'crank' given; allowed: one of blower",
        ),
        (
            wrong(tensioner=replace(SLIDE, low=0.0, high=0.0)),
            "layout.tensioner.travel: '0 to 0 m' given; allowed: low at most 0 (as it stands now), "
            "high at least 0, and not both 0",
        ),
        (
            wrong(tensioner=replace(ARM, pulley="blower", pivot_x=0.3, pivot_y=0.0)),
            "layout.tensioner.pivot: 'the centre of its pulley' given; allowed: a place beside it, "
            "so that the arm moves it",
        ),
        (wrong(sense="up"), "layout.sense: 'up' given; allowed: one of either, left, right"),
    ],
)
def test_a_wrong_layout_is_refused_in_a_sentence(make, sentence):
    with pytest.raises(InputError) as caught:
        make()
    assert str(caught.value) == sentence


def test_a_build_refuses_a_layout_that_cannot_run(build):
    near = replace(PAIR, pulleys=(CRANK, replace(BLOWER, x=0.10)))
    with pytest.raises(InputError) as caught:
        laid(build, near, crank_pulley_diameter=0.18, blower_pulley_diameter=0.08)
    assert str(caught.value) == (
        "layout.pulleys: 'crank and blower with centres 100.0 mm apart' given; allowed: more than "
        "130.0 mm, so that the two do not overlap"
    )
    # without a belt nothing runs, and nothing is refused
    assert replace(build.with_value("drive.kind", "none"), layout=near).layout == near


def test_a_pulley_tried_that_does_not_fit_is_no_error(build):
    near = replace(PAIR, pulleys=(CRANK, replace(BLOWER, x=0.20)))
    one = laid(build, near, crank_pulley_diameter=0.18, blower_pulley_diameter=0.08)
    run = belt_run(one, 0.18, [0.08, 0.21, 0.23])  # 200 mm apart: up to 220 mm
    assert run.fits.tolist() == [True, True, False]
    assert np.isnan(run.wraps[2]).all()
    assert np.isfinite(run.wraps[:2]).all()
    grip = grip_at(one.drive, run, np.array([20.0, 20.0, 20.0]))
    assert grip[2] == 0.0
    assert (grip[:2] > 0.0).all()
    # the same by the slider: the build is kept, and can be saved and opened
    slid = one.with_value("drive.blower_pulley_diameter", 0.23)
    assert not belt_run(slid, 0.18, 0.23).fits
    fit = same_belt_of(slid.with_values({"drive.fitted_pulley_diameter": 0.08}))
    assert (fit.fits, fit.used) == (False, inf)
    assert fit.told == (
        "crank and blower with centres 200.0 mm apart; needed: more than 205.0 mm, so that the "
        "two do not overlap"
    )


def test_two_pulleys_wrap_as_by_hand(build):
    """Open belt: 180 deg -+ 2 asin((R - r)/C) (Shigley, Mechanical Engineering Design, ch. 17)."""
    crank, blower = np.array([[0.16], [0.18]]), np.array([0.06, 0.08, 0.10])
    run = belt_run(laid(build, PAIR), crank, blower)
    lean = 2.0 * np.degrees(np.arcsin(0.5 * (crank - blower) / 0.3))
    np.testing.assert_allclose(np.degrees(run.wraps[..., 0]), 180.0 + lean, rtol=1e-12)
    np.testing.assert_allclose(np.degrees(run.wraps[..., 1]), 180.0 - lean, rtol=1e-12)
    assert (run.names, run.blower, run.fits.shape) == (("crank", "blower"), 1, (2, 3))
    assert run.weights.tolist() == [[[1.0, 0.0]] * 3] * 2  # sprung: the slack span's


def test_runs_do_not_depend_on_their_neighbours(build):
    one = laid(build, FOUR)
    blower = np.linspace(0.05, 0.12, 30)
    whole = belt_run(one, 0.18, blower)
    for k in (0, 7, 29):
        alone = belt_run(one, 0.18, blower[k])
        np.testing.assert_array_equal(alone.wraps, whole.wraps[k])
        np.testing.assert_array_equal(alone.loads, whole.loads[k])
    shuffled = belt_run(one, 0.18, np.repeat(blower[::-1], 2).reshape(30, 2))
    np.testing.assert_array_equal(shuffled.wraps[:, 1], whole.wraps[::-1])


def test_weights_friction_and_loads_of_four_pulleys(build):
    one = laid(build, FOUR, tensioner="sprung", belt_friction=0.48, crank_pulley_diameter=0.18)
    run = belt_run(one, 0.18, 0.08)
    assert run.weights.tolist() == [1.0, 0.0, 0.0, 0.0]  # the span from crank to idler
    # a belt's back has no wedge: its friction is the ribs' by the sine of half of 40 deg
    assert run.friction.tolist() == [0.48, inf, 0.48, 0.48]
    backed = BeltPlan((CRANK, replace(PUMP, x=0.16, y=-0.1, face="back"), BLOWER))
    friction = belt_run(laid(build, backed), 0.18, 0.08).friction
    assert friction[1] == pytest.approx(0.48 * sin(radians(20.0)), rel=1e-12)
    # a power at the limiter is a tension times the belt's speed there
    speed = build.engine.limiter * 2.0 * pi / 60.0 * 0.5 * (0.18 + 2.0 * one.drive.pitch_line)
    assert run.loads[[0, 1, 2]].tolist() == [0.0, 0.0, 0.0]
    assert run.loads[3] * speed == pytest.approx(3000.0, rel=1e-12)
    spans = path_now(layout_of(FOUR, one.drive, 0.08)).span_lengths
    fixed = belt_run(one.with_value("drive.tensioner", "fixed"), 0.18, 0.08)
    np.testing.assert_allclose(fixed.weights, spans / spans.sum(), rtol=1e-12)


def test_the_typed_wraps_return_without_a_layout(build):
    typed = belt_run(build, 0.18, 0.08)
    assert belt_run(replace(laid(build, FOUR), layout=None), 0.18, 0.08).wraps.tolist() == (
        typed.wraps.tolist()
    )
    assert degrees(typed.wraps[1]) == pytest.approx(150.0)


@given(serpentines(), st.floats(-0.03, 0.05))
def test_pulleys_tried_run_where_a_belt_of_its_own_does(pulleys, more):
    """What is worked out for many pulleys at once is what one belt is told, way of turn given."""
    from engine_model.drive.belt_geometry import Pulley
    from engine_model.drive.belt_layout import Layout

    size = [max(p.diameter + more, 0.01) if k == 1 else p.diameter for k, p in enumerate(pulleys)]
    layout = Layout(pulleys, 0.002, 0.001, sense=1)
    path, runs = tried_paths(layout, [size], 1)
    own = tuple(Pulley(p.name, p.x, p.y, d, p.face) for p, d in zip(pulleys, size, strict=True))
    try:
        alone = path_now(Layout(own, 0.002, 0.001, sense=1))
    except InputError:
        assert not runs[0]
    else:
        assert runs[0]
        np.testing.assert_allclose(path.wraps[0], alone.wraps, atol=1e-12)


def test_way_of_turn():
    drive = Drive()
    assert belt_sense(PAIR, drive) == 1
    assert belt_sense(replace(PAIR, sense="right"), drive) == -1
    assert told_path(replace(PAIR, sense="right"), drive).sense == -1


def test_same_belt_with_a_layout(build):
    """84 to 78 mm at near half a turn: half the wrap by 6 mm, which is 8 to 9 mm."""
    one = laid(
        build, SLID, crank_pulley_diameter=0.18, blower_pulley_diameter=0.078,
        fitted_pulley_diameter=0.084,
    )  # fmt: skip
    one = replace(one, shelf=Shelf(belts=(0.99, 1.000, 1.03)))
    fit = same_belt_of(one)
    assert -9.0e-3 < fit.change < -8.0e-3

    def length(d):  # closed form at the pitch line, less a turn of the offset: ISO 9981
        lean = asin(0.5 * (0.18 - d) / 0.3)
        arcs = 0.5 * (0.184 * (pi + 2.0 * lean) + (d + 0.004) * (pi - 2.0 * lean))
        return 2.0 * 0.3 * cos(lean) + arcs - 2.0 * pi * 0.002

    assert fit.change == pytest.approx(length(0.078) - length(0.084), rel=1e-9)
    assert fit.length_now == pytest.approx(length(0.084), rel=1e-12)
    assert fit.wanted == pytest.approx(length(0.078), rel=1e-12)
    assert (fit.fits, fit.system, fit.next_length) == (True, "effective", 1.000)
    # the blower slides 10 mm either way: about 20 mm of path, of which 8.4 mm are used
    assert fit.used == pytest.approx(-fit.change / 0.0198, rel=0.01)
    again = same_belt_of(one.with_value("drive.blower_pulley_diameter", 0.084))
    assert (again.change, again.fits) == (0.0, True)
    assert again.used < 1e-2
    far = same_belt_of(one.with_value("drive.blower_pulley_diameter", 0.060))
    assert not far.fits
    assert far.used > 1.0
    assert hash(fit_inputs(one)) == hash(fit_inputs(replace(one, title="other")))


def test_same_belt_without_a_layout(build):
    typed = build.with_values(
        {
            "drive.wrap": 160.0,
            "drive.blower_pulley_diameter": 0.078,
            "drive.fitted_pulley_diameter": 0.084,
        }
    )
    assert same_belt_of(typed) is None  # no take-up told
    fit = same_belt_of(typed.with_value("drive.belt_take_up", 0.010))
    # half of 160 deg by 6 mm
    assert fit.change == pytest.approx(-0.5 * radians(160.0) * 0.006, rel=1e-12)
    assert (fit.fits, np.isnan(fit.length_now)) == (True, True)
    assert fit.used == pytest.approx(0.8378, abs=5e-5)
    assert not same_belt_of(typed.with_value("drive.belt_take_up", 0.008)).fits
    assert same_belt_of(build.with_value("drive.belt_take_up", 0.010)) is None  # nothing fitted
    assert same_belt_of(typed.with_value("drive.kind", "none")) is None


def test_same_belt_of_a_layout_without_tensioner(build):
    one = laid(build, PAIR, blower_pulley_diameter=0.078, fitted_pulley_diameter=0.084)
    assert same_belt_of(one) is None
    fit = belt_fit(fit_inputs(one.with_value("drive.belt_take_up", 0.010)))
    assert -9.0e-3 < fit.change < -8.0e-3
    assert fit.used == pytest.approx(-fit.change / 0.010)


def test_a_toothed_belt_counts_its_pitch_length(build):
    drive = {"belt_section": "toothed", "pitch_offset": 0.0007, "fitted_pulley_diameter": 0.084}
    fit = same_belt_of(laid(build, SLID, **drive))
    path = path_now(layout_of(SLID, laid(build, SLID, **drive).drive))
    assert (fit.system, fit.length_now) == ("pitch", path.length)


def test_a_back_side_idler_needs_its_offset(build):
    drive = build.with_value("drive.belt_section", "PJ").drive
    with pytest.raises(InputError) as caught:
        layout_of(replace(FOUR, back_offset=None), drive)
    assert str(caught.value) == (
        "layout.back_offset: None given; allowed: a value (maker's figure: enter yours)"
    )
    assert layout_of(FOUR, drive).back_offset == 0.0012


@pytest.mark.parametrize(
    ("y", "face", "sense"),
    [(-0.1, "grooved", 1), (-0.05, "back", 1), (0.02, "back", -1), (0.1, "grooved", -1)],
)
def test_the_way_of_turn_is_found_as_for_one_belt(build, y, face, sense):
    idler = replace(IDLER, x=0.15, y=y, diameter=0.03, face=face)
    plan = BeltPlan((CRANK, idler, BLOWER))
    one = laid(build, plan, crank_pulley_diameter=0.1, blower_pulley_diameter=0.08)
    path = told_path(plan, one.drive)
    assert (path.sense, belt_sense(plan, one.drive)) == (sense, sense)
    run = belt_run(one, 0.1, [0.08, 0.07])
    np.testing.assert_allclose(run.wraps[0], path.wraps, rtol=1e-12)
    told = replace(one, layout=replace(plan, sense={1: "left", -1: "right"}[sense]))
    np.testing.assert_array_equal(belt_run(told, 0.1, [0.08, 0.07]).wraps, run.wraps)
