"""How long the knock estimate takes.

Run with ``python -m pytest tests/benchmarks/test_bench_knock.py --benchmark-enable -q -s``.
Nothing is asserted of times; asked for 200 points are 6 ms, and 1 ms at the coarse resolution. The
yardstick is bare numpy on the same machine: as many exponentials as one evaluation of the full
integral has.
"""

from __future__ import annotations

import numpy as np
import pytest

from engine_model.engine.knock import anchor_of, knock_estimate, stock_angles
from engine_model.engine.knock_charge import Intake
from engine_model.engine.knock_integral import COARSE, FULL
from engine_model.fuel.fuels import PETROL

RPM = np.linspace(1500.0, 6800.0, 200)
RISE = (RPM / 6800.0) ** 2
STOCK = Intake(3900.0, 97.8e3, 298.15, 102.5e3, 0.88, 1.048)
STOCK_LINE = Intake(RPM, 97.8e3, 298.15, 99e3 + 9e3 * RISE, 0.88, 1.012 + 0.09 * RISE)
BLOWN = Intake(RPM, 101e3 + 75e3 * RISE, 299.0 + 24e0 * RISE, 103e3 + 18e3 * RISE, 0.82,
               1.012 + 0.09 * RISE)  # fmt: skip


def test_yardstick(benchmark):
    values = np.linspace(-4.0, 3.0, 200 * 43).reshape(43, 200)
    assert np.isfinite(benchmark(lambda: np.exp(np.exp(np.exp(values * 0.1) * 0.1) * 0.1))).all()


@pytest.mark.parametrize("resolution", [FULL, COARSE], ids=["full", "coarse"])
def test_200_points(benchmark, resolution):
    anchor = anchor_of(STOCK, 9.8, PETROL, resolution=resolution)
    angles = stock_angles(STOCK_LINE, 9.8, PETROL, anchor)
    got = benchmark(knock_estimate, BLOWN, 9.8, PETROL, anchor, angles)
    assert not got.beyond.any()
    assert 4.0 < got.retard.max() < 10.0


@pytest.mark.parametrize("resolution", [FULL, COARSE], ids=["full", "coarse"])
def test_stock_angles(benchmark, resolution):
    anchor = anchor_of(STOCK, 9.8, PETROL, resolution=resolution)
    angles = benchmark(stock_angles, STOCK_LINE, 9.8, PETROL, anchor)
    assert angles[-1] == 8.0
