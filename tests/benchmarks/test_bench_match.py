"""How long a match takes. Run with ``python -m pytest tests/benchmarks --benchmark-enable -q -s``.

Times are printed, not asserted: machines differ. What is asserted is counted. With benchmarks
disabled each runs once, reduced, as a test of its answer.
"""

from __future__ import annotations

import time

import numpy as np
import pytest
from scalar_chain import ScalarPoint, chain_of
from scipy.optimize import brentq

from engine_model import problem
from engine_model.compressor.surface_fit import fit_surface
from engine_model.inputs import NAMED_DAYS, Variation
from engine_model.limits.ledger import CHECKS
from engine_model.matching import (
    count_evaluations,
    ledger_over_days,
    match,
    match_many,
    pulley_for_boost,
)

NAME = "frame-95-small"
FRAMES = ("frame-95-small", "frame-95-middle", "frame-95-large")
DAYS = tuple(NAMED_DAYS.values())
MILD = NAMED_DAYS["mild"]
RPM = np.linspace(1500.0, 6800.0, 200)


@pytest.fixture
def bench(sample_build, sample_surface):
    return sample_build(NAME), sample_surface(NAME)


@pytest.fixture
def full_size(request):
    """Whether benchmarks are on."""
    return bool(request.config.getoption("benchmark_enable"))


def say(text):
    print(f"\n    {text}")


def fastest(function, rounds):
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        function()
        times.append(time.perf_counter() - start)
    return min(times)


def test_200_engine_speeds(benchmark, bench):
    build, surface = bench
    line = benchmark(match_many, build, [MILD], RPM, surface=surface)
    assert np.all(np.isfinite(line.air_flow_kg_s))


def test_200_engine_speeds_with_the_ledger(benchmark, bench):
    build, surface = bench
    result = benchmark(match, build, MILD, RPM, surface=surface)
    assert len(result.ledger) == len(CHECKS)


def test_ledger_over_four_days(benchmark, bench):
    build, surface = bench
    ledger = benchmark(ledger_over_days, build, DAYS, RPM, surface=surface)
    assert {entry.day for entry in ledger} > {"hot", "freezing"}


@pytest.mark.parametrize("belt", [{"drive__ribs": 4}, {"drive__tensioner": "fixed"}])
def test_ledger_over_four_days_of_a_belt_that_slips(benchmark, sample_build, sample_surface, belt):
    build = sample_build(NAME, drive__blower_pulley_diameter=0.063, **belt)
    surface = sample_surface(NAME)
    ledger = benchmark(ledger_over_days, build, DAYS, RPM, surface=surface)
    assert next(e for e in ledger if e.code == "belt_slip").value > 0.05


def test_fit_of_a_map(benchmark, sample_map):
    surface = benchmark(fit_surface, sample_map(NAME))
    assert surface.line_speeds.size == 10


def test_largest_pulley_for_a_boost(benchmark, bench):
    build, surface = bench
    answer = benchmark(pulley_for_boost, build, MILD, 5e4, 6500.0, surface=surface)
    assert answer.reached


def test_open_bypass(benchmark, sample_build, sample_surface):
    build = sample_build(NAME, bypass__boost_cap=2e4, drive__blower_pulley_diameter=0.062)
    line = benchmark(match_many, build, [MILD], RPM, surface=sample_surface(NAME))
    assert np.count_nonzero(line.bypass_flow_kg_s > 0.0) > 50


def test_free_shaft(benchmark, sample_build, sample_surface):
    build = sample_build("turbo-52", drive__kind="free_shaft")
    line = benchmark(match_many, build, [MILD], RPM, surface=sample_surface("turbo-52"))
    assert np.mean(np.isfinite(line.air_flow_kg_s)) > 0.9


def test_a_million_points(benchmark, bench, full_size):
    """Pulleys times engine speeds, against exp of as many numbers in blocks of the same size."""
    build, surface = bench
    side = 1000 if full_size else 100
    rpm = np.linspace(1500.0, 6800.0, side)
    variation = Variation(blower_pulley_diameter=np.linspace(0.060, 0.120, side)[:, None, None])
    line = benchmark.pedantic(
        match_many, (build, [MILD], rpm, variation), {"surface": surface}, rounds=3, iterations=1
    )
    assert line.air_flow_kg_s.shape == (side, 1, side)
    assert np.mean(np.isfinite(line.air_flow_kg_s)) > 0.95
    if not full_size:
        return
    numbers = np.linspace(0.0, 1.0, problem.BLOCK)
    out = np.empty_like(numbers)

    def hundred_exp():
        for _ in range(100):
            np.exp(numbers, out=out)

    yardstick = fastest(hundred_exp, 20) / problem.BLOCK * side * side
    taken = benchmark.stats.stats.min
    say(
        f"{side * side / taken / 1e6:.3f} M points/s; 100 x exp of as many numbers "
        f"{yardstick:.3f} s; ratio {taken / yardstick:.2f}"
    )


@pytest.mark.parametrize("name", FRAMES)
@pytest.mark.parametrize(("pulley", "most"), [(0.060, 8.0), (0.080, 8.0), (0.110, 9.5)])
def test_few_residuals_a_point(sample_build, sample_surface, name, pulley, most):
    """A count, not a time. Past choke, as with large pulleys, the road starts a step later."""
    build = sample_build(name, drive__blower_pulley_diameter=pulley)
    evaluations, points = count_evaluations(build, DAYS, RPM, surface=sample_surface(name))
    assert points == 800
    say(f"{name} {pulley * 1e3:.0f} mm: {evaluations / points:.2f} residuals a point")
    assert evaluations / points <= most


def test_against_a_loop_over_points(bench, full_size):
    """Brent's method point by point: on the same residual, and on the chain in plain floats."""
    build, surface = bench
    chain = chain_of(build, MILD, RPM, surface)
    step = 4 if full_size else 40
    chosen = np.arange(0, RPM.size, step)
    points = [ScalarPoint(chain, build, MILD, k) for k in chosen]
    alone = [chain.only(np.array([k])) for k in chosen]
    low, high = (-2.0, 1.0) if np.all(chain.residual(np.full(RPM.size, -2.0)) < 0.0) else (0, 1)

    def loop_of_floats():
        return [point.root() for point in points]

    def loop_on_the_residual():
        return [
            brentq(lambda s, one=one: float(one.residual(np.array([s]))[0]), low, high, xtol=1e-9)
            for one in alone
        ]

    floats, same = np.array(loop_of_floats()), np.array(loop_on_the_residual())
    line = match_many(build, [MILD], RPM, surface=surface).part(0)
    for roots in (floats, same):
        flow = np.array([p.march(s)[0] for p, s in zip(points, roots, strict=True)])
        np.testing.assert_allclose(line.air_flow_kg_s[chosen], flow, rtol=3e-7)
    if not full_size:
        return
    many = Variation(blower_pulley_diameter=np.linspace(0.07, 0.09, 500)[:, None, None])
    size = 500 * RPM.size
    together = fastest(lambda: match_many(build, [MILD], RPM, many, surface=surface), 3) / size
    for told, loop in (
        ("the same residual, one point at a time", loop_on_the_residual),
        ("the chain in plain floats", loop_of_floats),
    ):
        each = fastest(loop, 3) / chosen.size
        say(f"brentq on {told}: {each * 1e6:.0f} us a point; {each / together:.0f} times as long")
