"""How long a liquid loop takes over ten pulls with pauses.

Run with ``python -m pytest tests/benchmarks/test_bench_soak.py --benchmark-enable -q -s``.
Nothing is asserted of times; asked are 50 ms. The yardstick is a plain loop of as many intervals.
"""

from __future__ import annotations

import pytest

from engine_model.cooling.heat_soak import soak
from engine_model.cooling.loop_intervals import repeated
from tests import loop_cases as cases

AROUND = repeated(cases.pull(humidity=0.02), cases.pause(), 10)


def test_yardstick(benchmark):
    def plain():
        x = 300.0
        for _ in range(40 * AROUND.duration.size):
            x += 1e-3 * (310.0 - x)
        return x

    assert 300.0 < benchmark(plain) <= 310.0


@pytest.mark.parametrize(("start", "ice"), [(303.15, 0.0), (280.0, 3.0)], ids=["plain", "ice"])
def test_ten_pulls(benchmark, start, ice):
    result = benchmark(soak, cases.loop(5.0), AROUND, start, ice)
    assert result.liquid.size == AROUND.duration.size + 1
