"""Slip of the belt in the match: the balance, what it costs, and belts that do not drive."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from engine_model.inputs import NAMED_DAYS, Variation
from engine_model.matching import match, match_many
from engine_model.results import LINE_FIELDS

DAYS = tuple(NAMED_DAYS.values())
RPM = np.linspace(1500.0, 6800.0, 54)
NAME = "frame-95-small"
SLIPPING = {
    "sprung": {"drive__ribs": 4},
    "fixed": {"drive__ribs": 5, "drive__tensioner": "fixed"},
    "capped": {"drive__ribs": 3, "bypass__boost_cap": 2.5e4},
    "capped, vented": {
        "drive__ribs": 3,
        "bypass__boost_cap": 2.5e4,
        "bypass__vent": "atmosphere",
    },
    "accessories": {"drive__ribs": 4, "drive__accessory_power": 6e3},
    "crank wraps less": {"drive__ribs": 6, "drive__crank_wrap": 95.0},
}
FRICTION, MASS, SET, STATIC, CREEP = 0.48, 0.020, 25.0, 120.0, 0.005
WRAP, CRANK = math.radians(150.0), math.radians(210.0)
# crank pulley of 180 mm, pitch line 2 mm over it
SPEED = math.pi * 0.184 * RPM / 60.0


@pytest.fixture
def build(sample_build):
    def make(kind):
        return sample_build(NAME, drive__blower_pulley_diameter=0.064, **SLIPPING[kind])

    return make


@pytest.fixture
def surface(sample_surface):
    return sample_surface(NAME)


def grip_by_hand(kind, speed):
    """Euler-Eytelwein with the defaults, written out for each of the belts above [N]."""
    ribs = SLIPPING[kind]["drive__ribs"]
    rise = math.expm1(FRICTION * WRAP)
    if kind == "fixed":
        ratio = 1.0 + rise
        left = ribs * (STATIC - MASS * speed**2)
        return 2.0 * left * (ratio - 1.0) / (ratio + 1.0)
    if kind == "accessories":
        # the crank carries both; the blower has the slack span at the spring's tension
        others = 6e3 / (math.pi * 0.184 * 6800.0 / 60.0)
        crank = ribs * SET * math.expm1(FRICTION * CRANK) - others
        return np.full_like(speed, min(ribs * SET * rise, crank))
    if kind == "crank wraps less":
        rise = math.expm1(FRICTION * math.radians(95.0))
    return np.full_like(speed, ribs * SET * rise)


@pytest.mark.parametrize("kind", SLIPPING)
def test_where_it_slips_effective_tension_and_grip_balance(build, surface, kind):
    line = match_many(build(kind), DAYS, RPM, surface=surface)
    slips = line.belt_slip > 0.0
    assert np.count_nonzero(slips) > 10
    grip = np.broadcast_to(grip_by_hand(kind, SPEED), slips.shape)
    np.testing.assert_allclose(line.belt_effective_tension_n[slips], grip[slips], rtol=2e-6)
    held = ~slips & np.isfinite(line.belt_slip)
    assert np.all(line.belt_effective_tension_n[held] <= grip[held] * (1.0 + 1e-12))
    # the crank pays effective tension times belt speed
    paid = np.broadcast_to(SPEED, slips.shape) * line.belt_effective_tension_n
    np.testing.assert_allclose(line.drive_power_w[slips], paid[slips], rtol=1e-9)
    # kinematics: 184 over 68 mm at the pitch line, step-up 3.6
    speed = RPM * 184.0 / 68.0 * 3.6 * (1.0 - CREEP) * (1.0 - line.belt_slip)
    np.testing.assert_allclose(line.impeller_speed_rpm[slips], speed[slips], rtol=1e-9)
    assert np.all(line.belt_grip_used[slips] > 1.0)


@pytest.mark.parametrize("kind", SLIPPING)
def test_slip_is_that_of_a_root_over_slips_imposed(build, surface, kind):
    one, day = build(kind), DAYS[0]
    speed = 6800.0
    line = match_many(one, [day], [speed], surface=surface)
    found = float(line.belt_slip[0, 0])
    v = math.pi * 0.184 * speed / 60.0
    grip = float(np.ravel(grip_by_hand(kind, np.array([v])))[0])

    def excess(slip):
        imposed = match_many(
            one, [day], [speed], Variation(slip=np.full((1, 1), slip)), surface=surface
        )
        return float(imposed.drive_power_w[0, 0]) / v - grip

    assert found > 0.005
    assert brentq(excess, 0.0, 0.4, xtol=1e-10) == pytest.approx(found, abs=1e-6)


@pytest.mark.parametrize("kind", SLIPPING)
def test_without_slip_nothing_else_is_changed(build, surface, kind):
    one = build(kind)
    line = match_many(one, DAYS, RPM, surface=surface)
    held = match_many(one, DAYS, RPM, Variation(slip=np.zeros((1, 1))), surface=surface)
    firm = line.belt_slip == 0.0
    assert firm.any()
    for name in LINE_FIELDS:
        a, b = (np.broadcast_to(getattr(x, name), firm.shape)[firm] for x in (line, held))
        np.testing.assert_array_equal(a, b, err_msg=name)
    assert np.all((line.boost_gauge_pa <= held.boost_gauge_pa + 1e-3)[line.belt_slip > 0.0])


def test_a_sprung_belt_flattens_and_a_fixed_one_sags(sample_build, surface):
    def boosts(**drive):
        one = sample_build(NAME, drive__blower_pulley_diameter=0.064, **drive)
        return match_many(one, DAYS[:1], RPM, surface=surface)

    sprung = boosts(drive__ribs=4)
    fixed = boosts(drive__ribs=5, drive__tensioner="fixed")
    slips = sprung.belt_slip[0] > 0.0
    most = np.nanmax(sprung.boost_gauge_pa[0][slips])
    # the grip stays: boost stays within a tenth once it slips
    assert np.all(sprung.boost_gauge_pa[0][slips] > 0.90 * most)
    sags = fixed.belt_slip[0] > 0.0
    boost = fixed.boost_gauge_pa[0]
    assert np.argmax(boost) < boost.size - 1
    assert np.all(np.diff(boost[sags][1:]) < 0.0)
    assert boost[-1] < 0.75 * np.max(boost)


def test_a_fixed_belt_thrown_off_by_its_own_mass_does_not_drive(sample_build, surface):
    """20 N a rib at rest are used up at v = sqrt(20/0.020) = 31.62 m/s, that is 3282.5 rpm."""
    one = sample_build(NAME, drive__tensioner="fixed", drive__fixed_tension=20.0)
    result = match(one, rpm=[1500.0, 3200.0, 3282.0, 3283.0, 6800.0], surface=surface)
    line = result.line
    assert line.region[3:].tolist() == ["belt not driving"] * 2
    assert line.region[0] == "below the map"
    assert line.belt_slip[0] == 0.0
    assert line.belt_slip[3:].tolist() == [1.0, 1.0]
    assert np.all(np.isinf(line.belt_grip_used[3:]))
    assert np.all(np.isnan(line.boost_gauge_pa[3:]))
    assert np.all(np.isnan(line.impeller_speed_rpm[3:]))
    entries = {e.code: e for e in result.ledger}
    assert entries["belt_grip"].state == entries["belt_slip"].state == "over"
    assert math.isinf(entries["belt_grip"].used)
    # the speeds are judged as if it held all the same
    assert entries["impeller_speed"].value == pytest.approx(6800.0 * 184 / 84 * 3.6 * 0.995)


def test_a_toothed_belt_does_not_slip(sample_build, surface):
    one = sample_build(
        NAME,
        drive__belt_section="toothed",
        drive__pitch_offset=0.0007,
        drive__ribs=1,
        drive__blower_pulley_diameter=0.06,
    )
    result = match(one, surface=surface)
    assert np.all(result.line.belt_slip == 0.0)
    assert np.all(result.line.belt_grip_used == 0.0)
    grip = next(e for e in result.ledger if e.code == "belt_grip")
    assert (grip.state, grip.basis) == (
        "blank",
        "a toothed belt does not slip; its teeth are the maker's to judge",
    )


def test_figures_that_are_not_known_are_not_guessed(sample_build, surface):
    one = sample_build(NAME, drive__belt_section="PJ", drive__ribs=2)
    result = match(one, surface=surface)
    assert np.all(result.line.belt_slip == 0.0)
    assert np.all(np.isnan(result.line.belt_grip_used))
    by_code = {e.code: e for e in result.ledger}
    assert by_code["belt_grip"].basis == (
        "mass of a rib of a PJ belt is not known: maker's figure: enter yours"
    )
    assert by_code["smallest_pulley"].bound == 0.020  # ISO 9982


def test_effective_tension_falls_with_slip_everywhere(sample_build, sample_surface):
    """So that the balance is unique: 10^4 points of every trim, pulley, day and speed."""
    slips = np.linspace(0.0, 0.75, 16)[:, None, None, None]
    pulleys = np.linspace(0.048, 0.11, 8)[None, :, None, None]
    checked = 0
    for name in ("frame-95-small", "frame-95-middle", "frame-95-large"):
        shape = (16, 8, len(DAYS), 18)
        line = match_many(
            sample_build(name),
            DAYS,
            np.linspace(2000.0, 6800.0, 18),
            Variation(
                slip=np.broadcast_to(slips, shape),
                blower_pulley_diameter=np.broadcast_to(pulleys, shape),
            ),
            surface=sample_surface(name),
        )
        tension = line.belt_effective_tension_n
        both = np.isfinite(tension[1:]) & np.isfinite(tension[:-1])
        assert np.all((tension[1:] < tension[:-1])[both])
        checked += int(np.count_nonzero(both))
    assert checked > 10_000
