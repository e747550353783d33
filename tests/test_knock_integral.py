"""The knock integral against plain fine-step integration, and its limiting cases."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from engine_model.engine import cylinder
from engine_model.engine.knock_charge import Intake, KnockSettings, charges_of, points_of
from engine_model.engine.knock_integral import (
    COARSE,
    FULL,
    Burn,
    Charges,
    Resolution,
    cycle_share,
    grid_of,
    log_integral,
    peak_ratio,
)
from engine_model.engine.power import cycle_efficiency
from engine_model.fuel.fuels import E85, PETROL
from tests import knock_oracle

BURN = Burn()
CASES = (
    (3900.0, 98e3, 298.15, 1.04, 0.88, PETROL, 9.8, 8.0),
    (6200.0, 160e3, 317.0, 0.76, 0.82, PETROL, 9.8, 14.0),
    (2000.0, 120e3, 330.0, 0.95, 0.82, PETROL, 11.5, 27.0),
    (6800.0, 190e3, 340.0, 0.70, 0.75, E85, 8.5, 8.0),
)


def both(speed, p3, t3, over, mixture, fuel, ratio):
    intake = Intake(speed, p3, t3, over * p3, mixture, 1.04)
    settings = KnockSettings()
    charges = charges_of(points_of(intake, ratio, settings), fuel, settings, 0.0)
    point = knock_oracle.Point(
        speed,
        p3,
        t3,
        mixture,
        0.05 * over / 1.04,
        ratio,
        fuel.stoichiometric_ratio,
        fuel.heating_value,
        fuel.heat_of_vaporisation,
        fuel.octane,
    )
    return charges, point


@pytest.mark.parametrize("case", CASES)
def test_fine_steps_agree(case):
    *state, angle = case
    charges, point = both(*state)
    at = np.array([angle])
    expected = np.log(knock_oracle.integral(point, angle))
    _, p = knock_oracle.pressure_course(point, angle)
    # the compression before the last 90 degrees is left out here
    for resolution, close in ((FULL, 2e-4), (COARSE, 1e-2)):
        grid = grid_of(BURN, resolution)
        assert float(log_integral(charges, at, BURN, grid)[0]) == pytest.approx(expected, abs=close)
        peak = float(peak_ratio(charges, at, BURN, grid)[0])
        assert peak == pytest.approx(p.max(), rel=10.0 * close if resolution is FULL else 1e-2)


@pytest.mark.parametrize("ratio", [8.0, 9.8, 12.0])
@pytest.mark.parametrize("angle", [2.0, 8.0, 20.0, 40.0])
def test_cycle_by_quadrature(ratio, angle):
    at = np.array([angle]), BURN
    expected = knock_oracle.cycle_efficiency(ratio, angle)
    got = cycle_share(np.array([ratio]), *at, grid_of(BURN, FULL))
    assert float(got[0]) == pytest.approx(expected, rel=2e-6)


def test_a_sudden_burn_at_the_top_is_the_ideal_cycle():
    burn = Burn(duration=0.01)
    got = cycle_share(np.array([9.8]), np.zeros(1), burn, grid_of(burn, FULL))
    # a of 5 leaves exp(-5) unburnt
    assert float(got[0]) == pytest.approx((1.0 - np.exp(-5.0)) * cycle_efficiency(9.8), rel=1e-4)


def test_order_of_the_crank_step():
    """Halving the step must cut the error by four at least."""
    charges, _ = both(*CASES[1][:-1])
    at = np.array([12.0])
    value = {
        panels: float(
            log_integral(charges, at, BURN, grid_of(BURN, Resolution(panels, 30, 0.0)))[0]
        )
        for panels in (6, 12, 24, 200)
    }
    errors = [abs(value[panels] - value[200]) for panels in (6, 12, 24)]
    assert errors[0] > 4.0 * errors[1] > 16.0 * errors[2]


def test_motored_compression_is_polytropic():
    """Without fuel heat the peak is r_effective^n (definition)."""
    ratio, volume = np.array([9.8]), np.array([8.7])
    charges = Charges(ratio, np.array([330.0]), np.zeros(1), np.zeros(1), np.zeros(1), volume)
    grid = grid_of(BURN, FULL)
    peak = peak_ratio(charges, np.array([8.0]), BURN, grid)
    assert float(peak[0]) == pytest.approx(8.7**1.32, rel=1e-4)
    late = peak_ratio(charges, np.array([44.0]), BURN, grid)
    assert float(late[0]) == pytest.approx(8.7**1.32, rel=1e-12)


def test_compression_between_frozen_mixture_and_air():
    """End gas of the compression against frozen isentropic compression of a real mixture.

    Cantera 3.2.0: iso-octane and air, ratio 10 from 360 K gives 746.7 K, air alone 858.2 K.
    """
    t = 360.0 * 10.0 ** (BURN.polytropic_exponent - 1.0)
    assert 746.7 < t < 858.2
    assert t == pytest.approx(746.7, rel=0.02)


@pytest.mark.parametrize("angle", [0.0, 37.0, 90.0, 130.0, 180.0])
def test_volume_from_the_piston(angle):
    assert float(cylinder.volume_ratio(angle, 9.8)) == pytest.approx(
        knock_oracle.volume(angle, 9.8), rel=1e-12
    )


def test_burnt_share_is_the_integral_of_its_rate():
    for y in (0.2, 0.5, 1.0):
        expected = quad(lambda a: knock_oracle.burning(a, 0.0), 0.0, 50.0 * y * (1 - 1e-12))[0]
        assert float(cylinder.burnt_share(y)) == pytest.approx(expected, rel=1e-8)
    assert float(cylinder.burnt_share(BURN.half_burnt / BURN.duration)) == pytest.approx(0.5)


def test_one_at_a_time_is_the_same_bit_by_bit():
    charges, _ = both(*CASES[0][:-1])
    many = charges.only(np.zeros(7, dtype=np.intp))
    angles = np.linspace(8.0, 30.0, 7)
    for resolution in (FULL, COARSE):
        grid = grid_of(BURN, resolution)
        together = log_integral(many, angles, BURN, grid)
        alone = [log_integral(charges, angles[k : k + 1], BURN, grid)[0] for k in range(7)]
        assert together.tolist() == alone
