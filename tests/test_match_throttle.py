"""A throttle between cooler and manifold, given as an effective area."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from engine_model.inputs import NAMED_DAYS, Variation
from engine_model.matching import match_many
from engine_model.results import LINE_FIELDS

DAYS = tuple(NAMED_DAYS.values())
RPM = np.linspace(2500.0, 6800.0, 18)


@pytest.fixture
def throttled(sample_build, sample_surface):
    build = sample_build("frame-95-small")

    def solve(area):
        variation = None
        if area is not None:
            variation = Variation(throttle_area=np.broadcast_to(area, (len(DAYS), RPM.size)))
        return match_many(build, DAYS, RPM, variation, surface=sample_surface("frame-95-small"))

    return solve


def test_infinite_area_is_no_throttle(throttled):
    plain, wide = throttled(None), throttled(np.inf)
    for field in LINE_FIELDS:
        np.testing.assert_allclose(
            getattr(wide, field), getattr(plain, field), rtol=1e-12, err_msg=field
        )


def test_large_area_tends_to_no_throttle(throttled):
    # one square metre: the loss is (W/A)^2/(2 rho), 0.04 Pa
    plain, wide = throttled(None), throttled(1.0)
    np.testing.assert_allclose(wide.air_flow_kg_s, plain.air_flow_kg_s, rtol=2e-6)
    np.testing.assert_allclose(wide.manifold_pressure_pa, plain.manifold_pressure_pa, rtol=2e-6)


def test_small_areas_lower_manifold_pressure_and_flow(throttled):
    lines = [throttled(area) for area in (4e-3, 2e-3, 1.2e-3)]
    for wider, narrower in pairwise(lines):
        known = np.isfinite(narrower.air_flow_kg_s)
        assert np.mean(known) > 0.9
        assert np.all(narrower.manifold_pressure_pa[known] < wider.manifold_pressure_pa[known])
        assert np.all(narrower.air_flow_kg_s[known] < wider.air_flow_kg_s[known])
        assert np.all(narrower.surge_margin[known] < wider.surge_margin[known])


def test_orifice_passes_the_flow_of_the_engine(throttled):
    """Heywood, 1st ed., eq. (C.8), subsonic, g = 1.4, on the pressures of the solved points."""
    area = 1.5e-3
    line = throttled(area)
    # upstream of the plate: discharge less the cooler's loss of 8 kPa at the rated flow. The
    # rated flow from the stock figures by hand: friction 0.8 (0.97 + 0.93 + 1.922) bar =
    # 305.76 kPa, x 3.2e-3 x 6200/120 = 50552.3 W; cycle 1 - 9.8^-0.3 = 0.49576594; mixture
    # 0.905344; (170000 + 50552.3)/(44e6 x 0.49576594 x 0.80 x 0.905344) = 0.013959783 kg/s of fuel;
    # x 14.6 x 0.88 x 1.5 = 0.26903293 kg/s
    rated = 0.26903293
    gas = gas_constants()[:, None]
    density = line.discharge_pressure_pa / (gas * line.discharge_temperature_k)
    upstream = line.discharge_pressure_pa - 8e3 * (line.air_flow_kg_s / rated) ** 2 * 1.6 / density
    ratio = line.manifold_pressure_pa / upstream
    known = np.isfinite(ratio)
    assert np.all(ratio[known] > 0.5283)
    assert np.all(ratio[known] < 1.0)
    flow = area * upstream / np.sqrt(gas * line.manifold_temperature_k)
    flow = flow * ratio ** (1.0 / 1.4) * np.sqrt(2.0 * 1.4 / 0.4 * (1.0 - ratio ** (0.4 / 1.4)))
    np.testing.assert_allclose(line.air_flow_kg_s[known], flow[known], rtol=1e-6)


def gas_constants():
    """R of the four days, by Buck 1996 and w = 0.622 p_v/(p - p_v) [J/(kg K)]."""
    t = np.array([d.temperature for d in DAYS]) - 273.15
    p = np.array([101325.0 * (1.0 - 0.0065 * d.altitude / 288.15) ** 5.25588 for d in DAYS])
    humid = np.array([d.relative_humidity for d in DAYS])
    vapour = humid * 611.21 * np.exp((18.678 - t / 234.5) * t / (257.14 + t))
    w = 0.622 * vapour / (p - vapour)
    return 287.053 * (1.0 + 1.6078 * w) / (1.0 + w)


def test_nearly_shut_throttle_is_left_of_surge_without_numbers(throttled):
    line = throttled(5e-5)
    strong = line.engine_speed_rpm >= 6700.0
    assert np.all(line.region[strong] == "left of surge")
    assert np.all(np.isnan(line.air_flow_kg_s[strong]))
