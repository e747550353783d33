"""How long a full-throttle run takes, alone and on the lines of 50 maps and 4 days at once.

Run with ``python -m pytest tests/benchmarks/test_bench_full_throttle.py --benchmark-enable -q -s``.
Nothing is asserted of times; asked is 1 ms a line. The yardstick is as many exponentials as the
run has places at which it works out a force.
"""

from __future__ import annotations

import numpy as np
import pytest

from engine_model.inputs import Vehicle
from engine_model.studies.full_throttle import full_throttle_run

SPEEDS = np.arange(1500.0, 6801.0, 50.0)
POWER = 230e3 * np.interp(SPEEDS, [1500.0, 4500.0, 6000.0, 6800.0], [0.22, 0.75, 1.0, 0.95])
LINES = {"one": (), "fifty maps on four days": (50, 4)}


@pytest.mark.parametrize("case", LINES)
def test_yardstick(benchmark, case):
    shape = (*LINES[case], 4, 6, 2 * SPEEDS.size)
    assert benchmark(np.exp, np.zeros(shape)).shape == shape


@pytest.mark.parametrize("case", LINES)
def test_full_throttle_run(benchmark, case):
    factor = np.linspace(0.8, 1.2, int(np.prod(LINES[case]))).reshape((*LINES[case], 1))
    power = np.squeeze(factor * POWER) if not LINES[case] else factor * POWER
    run = benchmark(full_throttle_run, Vehicle(), SPEEDS, power)
    assert np.all(run.quarter_mile_time < 16.0)
