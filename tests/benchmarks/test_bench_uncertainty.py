"""How long the error bars take, beside one bare call of the match on as many points.

Run with ``python -m pytest tests/benchmarks --benchmark-enable -q -s``. Times are printed, not
asserted: machines differ. With benchmarks disabled each runs once, as a test of its answer.
"""

from __future__ import annotations

import time

import numpy as np
import pytest

from app.paths import sample_builds
from engine_model.files.build_file import load_build
from engine_model.inputs import Variation
from engine_model.matching import match_many
from engine_model.problem import surface_of
from engine_model.studies.uncertainty import error_bars

BUILDS = ("road-six", "tow-eight", "free-shaft-four")
SAMPLES, SPEEDS = 1000, 100


@pytest.fixture(params=BUILDS)
def sample(request):
    build = load_build(sample_builds()[request.param])
    day = build.known_days()[build.target.day or "mild"]
    rpm = np.linspace(1500.0, build.engine.limiter, SPEEDS)
    return request.param, build, day, rpm, surface_of(build)


def test_thousand_samples_of_a_line(benchmark, sample):
    name, build, day, rpm, surface = sample
    asked = SAMPLES if benchmark.enabled else 64
    ask = {"samples": asked, "surface": surface}
    error_bars(build, [day], rpm, **ask)  # scipy's import is not the study's
    bars = benchmark(error_bars, build, [day], rpm, **ask)
    assert bars.samples >= asked
    assert np.all(bars.solved > 0.9)
    if not benchmark.enabled:
        return
    factors = np.linspace(0.9, 1.1, bars.samples)[:, None, None]
    times = []
    for _ in range(5):
        start, used = time.perf_counter(), time.process_time()
        match_many(
            build, [day], rpm, Variation(volumetric_efficiency_factor=factors), surface=surface
        )
        times.append((time.perf_counter() - start, time.process_time() - used))
    wall, cpu = (1e3 * min(column) for column in zip(*times, strict=True))
    used = time.process_time()
    error_bars(build, [day], rpm, **ask)
    own = 1e3 * (time.process_time() - used)
    took = 1e3 * benchmark.stats.stats.min
    print(
        f"\n    {name}: {bars.samples} samples of {SPEEDS} speeds {took:.0f} ms ({own:.0f} ms of "
        f"this process); one call of the match on as many points {wall:.0f} ms ({cpu:.0f} ms)"
    )
