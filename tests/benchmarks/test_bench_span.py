"""How long a pulley span over four days takes; the budget is 100 ms.

Run with ``python -m pytest tests/benchmarks --benchmark-enable -q -s``. Times are printed, not
asserted: machines differ. The yardstick is the match of as many points as the coarse diameters
alone have. With benchmarks disabled each runs once, as a test of its answer.
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
from engine_model.studies import span_cases
from engine_model.studies.pulley_span import pulley_span

CAPPED = {"bypass.boost_cap": 50e3}


def fastest(function, rounds):
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        function()
        times.append(time.perf_counter() - start)
    return min(times)


@pytest.mark.parametrize(
    ("name", "changes"),
    [("road-six", {}), ("tow-eight", {}), ("road-six", CAPPED)],
    ids=["road-six", "tow-eight", "road-six capped"],
)
def test_span_over_four_days(benchmark, monkeypatch, name, changes):
    build = load_build(sample_builds()[name]).with_values(changes)
    surface = surface_of(build)
    points = []
    judge = span_cases.Case.judge

    def counted(case, diameters, days):
        points.append(diameters.size * case.engine_speeds.size)
        return judge(case, diameters, days)

    with monkeypatch.context() as patch:
        patch.setattr(span_cases.Case, "judge", counted)
        found = pulley_span(build, surface=surface)
    span = benchmark(pulley_span, build, surface=surface)
    assert len(span.days) == 4
    assert repr(span.rows) == repr(found.rows)  # numbers not known are nan, equal to nothing
    assert len(points) < 20
    # coarse diameters, two looks again, roots and entries
    assert sum(points) < 5 * points[0]
    if not benchmark.enabled:
        return
    sizes = span.curves.diameter[:, None, None]
    days = list(build.known_days().values())
    variation = Variation(blower_pulley_diameter=sizes)
    unit = fastest(lambda: match_many(build, days, None, variation, surface=surface), 9)
    taken = benchmark.stats.stats.min
    print(
        f"\n    {name} {changes or ''}: {1e3 * taken:.0f} ms, {sum(points)} points in "
        f"{len(points)} calls; coarse diameters alone {1e3 * unit:.0f} ms, ratio {taken / unit:.2f}"
    )
    assert np.isfinite(unit)
