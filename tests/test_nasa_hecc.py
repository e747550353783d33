"""From raw readings to map quantities: 92 readings of NASA's HECC compressor, humid inlet air.

NASA's own columns (real-gas properties, humid air) are the truth. Readings: NASA Glenn, High
Efficiency Centrifugal Compressor data archive; reference state 288.15 K and 101325 Pa.
"""

from __future__ import annotations

import logging
from pathlib import Path

import numpy as np
import pytest

from engine_model.air.atmosphere import humidity_ratio
from engine_model.air.corrected import flow_correction, reference_gamma, speed_correction
from engine_model.air.gas import efficiency_from_temperatures, moist_air
from engine_model.constants import VAPOUR_GAS_RATIO

LOG = logging.getLogger(__name__)
READINGS = (
    Path(__file__).parents[2] / "shared" / "reference" / "maps" / "hecc_vaned" / "hecc_vaned.csv"
)
REFERENCE_TEMPERATURE, REFERENCE_PRESSURE = 288.15, 101325.0

pytestmark = pytest.mark.skipif(
    not READINGS.parent.is_dir(), reason="the measured maps are not beside this checkout"
)


@pytest.fixture(scope="module")
def readings():
    table = np.genfromtxt(READINGS, delimiter=",", names=True, dtype=None, encoding="utf-8")
    assert table.size == 92
    return table


def vapour(readings, source):
    """Humidity ratio from the plenum's relative humidity, or from NASA's own mole fraction."""
    if source == "relative humidity":
        humidity = readings["rh00_pct"] / 100.0
        return humidity_ratio(readings["p00_Pa"], readings["T00_K"], humidity)
    moles = readings["nasa_xH2O_mol"]
    return moles / (1.0 - moles) / VAPOUR_GAS_RATIO


def corrected(readings, w):
    air, t = moist_air(w), readings["T00_K"]
    gas = (t, air.gas_constant, air.ratio_of_specific_heats(t))
    flow = flow_correction(*gas, REFERENCE_TEMPERATURE, REFERENCE_PRESSURE)
    speed = speed_correction(*gas, REFERENCE_TEMPERATURE)
    return readings["mdot_kg_s"] / readings["p00_Pa"] * flow, readings["n_mech_rpm"] * speed


def efficiency(readings, w):
    ratio = readings["p07_Pa"] / readings["p00_Pa"]
    assert ratio == pytest.approx(readings["nasa_pr_tt"], rel=1e-5)
    return efficiency_from_temperatures(
        moist_air(w), readings["T00_K"], readings["T07_K"], np.log(ratio)
    )


@pytest.mark.parametrize("source", ["relative humidity", "mole fraction"])
def test_readings_become_map_quantities(readings, source):
    w = vapour(readings, source)
    flow, speed = corrected(readings, w)
    off_flow = np.abs(flow / readings["nasa_mdot_corr_kg_s"] - 1.0).max()
    off_speed = np.abs(speed / readings["nasa_n_corr_rpm"] - 1.0).max()
    off_efficiency = np.abs(efficiency(readings, w) - readings["nasa_eta_is_tt"]).max()
    LOG.info(
        "%s: flow %.4f %%, speed %.4f %%, efficiency %.4f points",
        source,
        off_flow * 100,
        off_speed * 100,
        off_efficiency * 100,
    )
    assert off_flow <= 0.0007
    assert off_speed <= 0.0003
    assert off_efficiency <= 0.0008


def test_humidity_and_varying_heat_are_needed(readings):
    """The bounds above can fail: dry air misses the flow, a constant 1.4 the efficiency."""
    nasa = readings["nasa_mdot_corr_kg_s"]
    flow, _ = corrected(readings, np.zeros(readings.size))
    assert np.abs(flow / nasa - 1.0).max() > 0.002
    # W sqrt(g R T)/p instead of W sqrt(R T/g)/p
    w = vapour(readings, "relative humidity")
    g = moist_air(w).ratio_of_specific_heats(readings["T00_K"])
    g_ref = reference_gamma(REFERENCE_TEMPERATURE)
    assert np.abs(corrected(readings, w)[0] * g / g_ref / nasa - 1.0).max() > 0.0009
    ratio = readings["nasa_pr_tt"]
    closed = (ratio ** (0.4 / 1.4) - 1.0) / readings["nasa_ttr_rise"]
    assert np.abs(closed - readings["nasa_eta_is_tt"]).max() > 0.005
