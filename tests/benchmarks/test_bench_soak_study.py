"""How long the study of heat soak takes: ten pulls, and the matches before them.

Run with ``python -m pytest tests/benchmarks/test_bench_soak_study.py --benchmark-enable -q -s``.
Nothing is asserted of times; asked are 50 ms for ten pulls without the matches. The yardstick is
a plain loop.
"""

from __future__ import annotations

import pytest

from engine_model.studies.heat_soak_study import soak_steps
from engine_model.studies.soak_air import air_on_day
from engine_model.studies.soak_days import soak_over_days
from engine_model.studies.soak_loop import loop_on_day
from engine_model.studies.soak_table import charge_table_steps
from tests import soak_cases as cases

TEN = {"pulls": 10}


def test_yardstick(benchmark):
    def plain():
        x = 300.0
        for _ in range(40_000):
            x += 1e-3 * (310.0 - x)
        return x

    assert 300.0 < benchmark(plain) <= 310.0


@pytest.mark.parametrize("ice", [0.0, 3.0], ids=["plain", "ice"])
def test_ten_pulls(benchmark, ice):
    one = cases.soaked(**TEN, ice_mass=ice)
    table = list(charge_table_steps(one, cases.DRY, cases.surface()))[-1]
    on_day = loop_on_day(one, cases.DRY)
    found = benchmark(lambda: list(soak_steps(one, cases.DRY, on_day, table))[-1])
    assert found.pulls.lost.size == 10


def test_ten_pulls_of_an_air_cooler(benchmark):
    one = cases.soaked(**TEN, kind="air")
    table = list(charge_table_steps(one, cases.DRY, cases.surface()))[-1]
    on_day = air_on_day(one, cases.DRY)
    found = benchmark(lambda: list(soak_steps(one, cases.DRY, on_day, table))[-1])
    assert found.pulls.lost.size == 10


def test_four_days(benchmark):
    one = cases.soaked(kind="air")
    days = list(one.known_days().values())
    found = benchmark(soak_over_days, one, days, cases.surface())
    assert len(found) == 4


@pytest.mark.parametrize("kind", ["air", "liquid"])
def test_matches(benchmark, kind):
    one = cases.soaked(**TEN, kind=kind)
    table = benchmark(lambda: list(charge_table_steps(one, cases.DRY, cases.surface()))[-1])
    assert table.fault_speed is None
