"""How long two seconds of surge take, and how soon a knob shows: setup and the first tenth.

Run with ``python -m pytest tests/benchmarks/test_bench_surge.py --benchmark-enable -q -s``.
Nothing is asserted of times; asked are 200 ms for two seconds of surge, 100 ms to start again.
The yardstick is a plain loop of about as many evaluations.
"""

from __future__ import annotations

import pytest

from engine_model.compressor.surge_dynamics import run_in_time, settled_state
from engine_model.inputs import NAMED_DAYS
from engine_model.studies.bypass_sizing import smallest_valve
from engine_model.studies.surge_setup import surge_setup

MAP = "frame-95-small"


@pytest.fixture(scope="module")
def build(sample_build):
    return sample_build(MAP, drive__blower_pulley_diameter=0.066)


@pytest.fixture(scope="module")
def setup(build, sample_surface):
    return surge_setup(build, NAMED_DAYS["mild"], surface=sample_surface(MAP))


def lift(setup, seconds):
    throttle = ((0.0, setup.open_area), (0.1, setup.open_area), (0.2, setup.shut_area))
    start = settled_state(setup.plant, setup.open_area, setup.engine_speed)
    return run_in_time(setup.plant, throttle, ((0.0, setup.engine_speed),), seconds, start)


def test_yardstick(benchmark):
    def plain():
        x = 1.0
        for _ in range(25_000):
            x = (x * x + 2.0) / (2.0 * x + 1e-9)
        return x

    assert benchmark(plain) > 1.0


def test_two_seconds_of_surge(benchmark, setup):
    assert benchmark(lift, setup, 2.2).reversals.size > 20


def test_start_again_after_a_knob(benchmark, build, sample_surface):
    def again():
        one = surge_setup(build, NAMED_DAYS["mild"], surface=sample_surface(MAP))
        return lift(one, 0.2)

    assert benchmark(again).time.size > 100


def test_smallest_valve(benchmark, setup):
    assert benchmark.pedantic(smallest_valve, (setup,), rounds=3).diameter > 0.0
