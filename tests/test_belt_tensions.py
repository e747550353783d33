"""Tensions of a belt with many pulleys, against equilibrium of the whole and Euler at each."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from engine_model.drive import belt_tensions as many
from engine_model.drive.belt_grip import fixed_grip, sprung_grip
from engine_model.drive.belt_load import hub_load
from engine_model.drive.belt_path import solve_path
from engine_model.errors import InputError
from tests.belt_layouts import pair, serpentines

OFFSETS = (0.002, 0.001)
RANDOM = settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
)
kinds = st.sampled_from(many.TENSIONING)


@st.composite
def drives(draw):
    """A path with loads; the idler takes nothing. The blower is the last grooved pulley."""
    pulleys = draw(serpentines())
    path = solve_path(pulleys, *OFFSETS)
    loads = np.array([draw(st.floats(0.0, 300.0)) for _ in pulleys])
    grooved = np.array([p.face == "grooved" for p in pulleys])
    loads = np.where(grooved, loads, 0.0)
    loads[0] = 0.0
    blower = int(np.flatnonzero(grooved)[-1])
    kind = draw(kinds)
    weights = many.span_weights(kind, path.span_lengths, draw(st.integers(0, len(pulleys) - 1)))
    base = draw(st.floats(50.0, 2000.0))
    friction = np.where(grooved, draw(st.floats(0.3, 0.6)), 0.16)
    return path, loads, weights, base, friction, blower


@RANDOM
@given(drive=drives())
def test_spans_hold_every_pulley_and_keep_their_mean(drive):
    path, loads, weights, base, _, _ = drive
    tension = many.span_tensions(loads, weights, base)
    np.testing.assert_allclose(np.diff(tension), loads[1:], atol=1e-9)
    assert tension[-1] - tension[0] == pytest.approx(np.sum(loads), abs=1e-9)
    assert np.sum(weights) == pytest.approx(1.0, rel=1e-12)
    assert np.average(tension, weights=weights) == pytest.approx(base, rel=1e-12)
    assert len(path.names) == tension.size


@RANDOM
@given(drive=drives())
def test_belt_as_a_whole_is_in_equilibrium(drive):
    # forces and moments the belt puts on its pulleys add up to nothing about any point; the
    # moment on a shaft is r (leaving - arriving) in the sense the pulley turns
    path, loads, weights, base, _, _ = drive
    tension = many.span_tensions(loads, weights, base)
    force = many.hub_loads(tension, path.span_angles)
    arriving = np.roll(tension, 1)
    torque = path.turns * path.pitch_radii * (tension - arriving)
    lever = path.centres - np.array([0.7, -0.4])
    moment = lever[:, 0] * force[:, 1] - lever[:, 1] * force[:, 0] + torque
    scale = 1e-12 * (base + np.sum(loads))
    np.testing.assert_allclose(np.sum(force, axis=0), 0.0, atol=10.0 * scale)
    assert abs(np.sum(moment)) <= 10.0 * scale
    # magnitude: cosine rule of the two spans at the wrap
    for k in range(len(path.names)):
        alone = hub_load(arriving[k], tension[k], 0.0, path.wraps[k])
        assert np.hypot(*force[k]) == pytest.approx(float(alone), rel=1e-9, abs=1e-9)


def ratios(drive, loads):
    """Tight over slack side of every pulley, the crank's the last span over the first."""
    path, _, weights, base, *_ = drive
    tension = many.span_tensions(loads, weights, base)
    ratio = tension / np.roll(tension, 1)
    ratio[0] = 1.0 / ratio[0]
    return ratio, len(path.names)


@RANDOM
@given(drive=drives())
def test_grip_puts_its_own_pulley_at_eulers_limit(drive):
    path, loads, weights, base, friction, blower = drive
    grips = many.pulley_grips(loads, weights, base, friction, path.wraps, blower)
    limit = np.exp(friction * path.wraps)
    for k in range(1, loads.size):
        pushed = loads.copy()
        pushed[k] = grips[k]
        tension = many.span_tensions(pushed, weights, base)
        # at the limit, whatever the signs: T_leaving = limit T_arriving
        scale = 1e-9 * (1.0 + np.max(np.abs(tension))) * limit[k]
        assert tension[k] == pytest.approx(limit[k] * tension[k - 1], abs=scale)
    pushed = loads.copy()
    pushed[blower] += grips[0] - np.sum(loads)
    tension = many.span_tensions(pushed, weights, base)
    scale = 1e-9 * (1.0 + np.max(np.abs(tension))) * limit[0]
    assert tension[-1] == pytest.approx(limit[0] * tension[0], abs=scale)


@RANDOM
@given(drive=drives(), share=st.sampled_from([0.999, 1.001]))
def test_blower_holds_below_its_grip_and_slips_above(drive, share):
    path, loads, weights, base, friction, blower = drive
    grips = many.pulley_grips(loads, weights, base, friction, path.wraps, blower)
    held = float(many.blower_grip(grips, loads, blower))
    assume(held > 1.0)
    pushed = loads.copy()
    pushed[blower] = share * held
    tension = many.span_tensions(pushed, weights, base)
    assume(np.min(tension) > 0.0)  # a span that would hang slack is another state
    ratio, _ = ratios(drive, pushed)
    limit = np.exp(friction * path.wraps)
    slips = bool(ratio[blower] > limit[blower] or ratio[0] > limit[0])
    assert slips == (share > 1.0)


@pytest.mark.parametrize("kind", many.TENSIONING)
def test_two_pulleys_are_the_plain_belt(kind):
    path = solve_path(pair(), *OFFSETS)
    speed_tension, tension = 180.0, 700.0
    weights = many.span_weights(kind, path.span_lengths, 0)
    base = many.base_tension(kind, tension, speed_tension)
    grips = many.pulley_grips([0.0, 300.0], weights, base, 0.48, path.wraps, 1)
    plain = {
        "sprung": sprung_grip(tension, 0.48, path.wraps),
        "fixed": fixed_grip(tension, speed_tension, 0.48, path.wraps),
    }[kind]
    np.testing.assert_allclose(grips, plain, rtol=1e-12)
    # the lesser wrap holds less
    assert many.blower_grip(grips, [0.0, 300.0], 1) == grips[1] == np.min(grips)


def test_accessories_between_slack_span_and_blower_tighten_it():
    # tension ratio five at half a turn, 100 N on the slack span: 400 N alone; an accessory of
    # 50 N before the blower leaves it 150 N to start from, 600 N; the crank's total is still 400 N
    friction, wraps = np.log(5.0) / np.pi, np.pi
    weights = np.array([1.0, 0.0, 0.0])
    loads = np.array([0.0, 50.0, 200.0])
    grips = many.pulley_grips(loads, weights, 100.0, friction, np.full(3, wraps), 2)
    np.testing.assert_allclose(grips, [400.0, 400.0, 600.0], rtol=1e-12)
    assert many.blower_grip(grips, loads, 2) == pytest.approx(350.0, rel=1e-12)
    # after the blower it leaves the blower's own grip alone
    after = many.pulley_grips([0.0, 200.0, 50.0], weights, 100.0, friction, np.full(3, wraps), 1)
    np.testing.assert_allclose(after, [400.0, 400.0, 1200.0], rtol=1e-12)


def test_crank_is_never_read():
    weights = [1.0, 0.0, 0.0]
    one = many.span_tensions([0.0, 100.0, 400.0], weights, 150.0)
    other = many.span_tensions([-500.0, 100.0, 400.0], weights, 150.0)
    np.testing.assert_array_equal(one, other)


def test_grip_that_is_gone():
    # fixed centres at a speed where the belt's own mass takes all its tension
    base = many.base_tension("fixed", 700.0, [600.0, 700.0, 800.0])
    grips = many.pulley_grips([0.0, 0.0], [0.5, 0.5], base, 0.48, [3.3, 2.6], 1)
    assert grips.shape == (3, 2)
    np.testing.assert_array_equal(np.sign(grips), [[1, 1], [0, 0], [-1, -1]])


def test_infinite_friction():
    grips = many.pulley_grips([0.0, 0.0], [1.0, 0.0], 100.0, np.inf, [3.3, 2.6], 1)
    assert np.isinf(grips).all()
    # fixed: until the slack span is empty, twice the base
    grips = many.pulley_grips([0.0, 0.0], [0.5, 0.5], 100.0, np.inf, [3.3, 2.6], 1)
    np.testing.assert_allclose(grips, 200.0)


def test_any_leading_shape():
    loads = np.zeros((4, 1, 3))
    loads[..., 1], loads[..., 2] = 60.0, np.linspace(50.0, 400.0, 4)[:, None]
    base = np.linspace(80.0, 200.0, 5)
    weights, wraps = np.array([0.2, 0.3, 0.5]), np.array([3.4, 1.8, 2.6])
    every = many.pulley_grips(loads, weights, base, 0.48, wraps, 2)
    assert every.shape == (4, 5, 3)
    for i, j in np.ndindex(4, 5):
        one = many.pulley_grips(loads[i, 0], weights, base[j], 0.48, wraps, 2)
        np.testing.assert_array_equal(every[i, j], one)
    assert many.blower_grip(every, loads, 2).shape == (4, 5)


def test_what_is_refused():
    with pytest.raises(InputError, match="sprung, fixed"):
        many.span_weights("loose", [0.3, 0.3], 0)
    with pytest.raises(InputError, match="sprung, fixed"):
        many.base_tension("loose", 1.0, 1.0)
    with pytest.raises(InputError, match="0 to 1"):
        many.span_weights("sprung", [0.3, 0.3], 2)
    with pytest.raises(InputError, match="1 to 1"):
        many.pulley_grips([0.0, 0.0], [0.5, 0.5], 1.0, 0.48, [3.0, 3.0], 0)
