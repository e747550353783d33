"""How long a reconciliation of 400 rows takes, beside one call of the match.

Run with ``python -m pytest tests/benchmarks --benchmark-enable -q -s``. Times are printed, not
asserted: machines differ; 1.5 s is meant.
"""

from __future__ import annotations

import time

from engine_model.matching import match_many
from engine_model.studies.reconcile import reconcile
from tests.reconcile_twins import BUILD, MILD, SURFACE, step, twin_run


def test_400_rows(benchmark):
    run = twin_run(0, 400, slip=step(5400.0, 0.03))
    found = benchmark(reconcile, BUILD, MILD, [run], surface=SURFACE)
    assert found.readings == 1600
    start = time.perf_counter()
    match_many(BUILD, [MILD], run.engine_speed_rpm, surface=SURFACE)
    print(f"\n    one call of the match: {1e3 * (time.perf_counter() - start):.1f} ms")
