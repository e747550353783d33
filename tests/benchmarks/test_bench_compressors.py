"""How long the study of fifty compressors takes: fits, sizes, and how it grows.

Run with ``python -m pytest tests/benchmarks --benchmark-enable -q -s``. Times are printed, not
asserted: machines differ; seconds are those of one core (processor time). Asked are 2.5 s for 50
compressor maps x 40 pulleys x 4 days x 100 engine speeds with all limits, after the fits, and 40 ms
a fit. The yardstick is the bare match of as many points in the same run. With benchmarks disabled a
few maps run once, as a test.
"""

from __future__ import annotations

import subprocess
import sys
import time
import tracemalloc

import numpy as np
import pytest
from compressor_cases import sample_build
from scaled_maps import many_maps

from engine_model.compressor.surface_fit import fit_surface
from engine_model.inputs import Variation
from engine_model.matching import default_engine_speeds, match_many
from engine_model.studies import compressor_answer
from engine_model.studies.compressor_records import AIMS, CompressorAim
from engine_model.studies.compressor_sizes import Candidate, with_candidate
from engine_model.studies.compressor_study import compressor_study

PULLEYS = 40

MEMORY = """
import sys
sys.path[:0] = [".", "tests", "tests/benchmarks"]
from test_bench_compressors import compressor_study, hundred_speeds, many_maps
compressor_study(hundred_speeds(), many_maps(50))
print(open("/proc/self/status").read().partition("VmHWM:")[2].split()[0])
"""
"""A process that does the study of fifty maps and tells its memory [KiB]."""


def hundred_speeds():
    """A build whose line has a hundred engine speeds, 1500 to 6450 by 50."""
    build = sample_build("road-six", {"engine.limiter": 6450.0})
    assert default_engine_speeds(build).size == 100
    return build


def kept_fits(monkeypatch, build, maps):
    """Fits every map, hands the fits to the study, and tells how long each took."""
    fits, times = {}, []
    for one in maps:
        start = time.process_time()
        fits[one.title] = fit_surface(one, build.blower.typed_efficiency)
        times.append(time.process_time() - start)
    whole = compressor_answer.surface_of

    def known(one, surface=None):
        return whole(one, fits[one.blower.compressor_map.title])

    monkeypatch.setattr(compressor_answer, "surface_of", known)
    return fits, np.array(times)


def bare_match(build, days, fits, maps):
    """The match of every map at forty pulleys, no limit judged; returns seconds and points."""
    sizes = np.geomspace(0.045, 0.130, PULLEYS)
    variation = Variation(blower_pulley_diameter=sizes[:, None, None], slip=np.zeros((1, 1)))
    start = time.process_time()
    points = 0
    for one in maps:
        line = match_many(
            with_candidate(build, one), days, None, variation, surface=fits[one.title]
        )
        points += line.air_flow_kg_s.size
    return time.process_time() - start, points


@pytest.mark.parametrize("aim", AIMS)
def test_fifty_compressors(benchmark, monkeypatch, aim):
    build = hundred_speeds()
    days = list(build.known_days().values())
    maps = many_maps(50 if benchmark.enabled else 2)
    fits, times = kept_fits(monkeypatch, build, maps)
    points = []
    judge = Candidate.judge

    def counted(candidate, sizes):
        points.append(sizes.size * len(candidate.days) * candidate.engine_speeds.size)
        return judge(candidate, sizes)

    with monkeypatch.context() as patch:
        patch.setattr(Candidate, "judge", counted)
        first = compressor_study(build, maps, days, CompressorAim(aim))
    seconds = []

    def study():
        start = time.process_time()
        found = compressor_study(build, maps, days, CompressorAim(aim))
        seconds.append(time.process_time() - start)
        return found

    again = benchmark.pedantic(study, rounds=3 if benchmark.enabled else 1)
    assert [row.setting for row in again.rows] == [row.setting for row in first.rows]
    if not benchmark.enabled:
        return
    unit, count = bare_match(build, days, fits, maps)
    taken = min(seconds)
    print(
        f"\n    {aim}: {len(maps)} maps {taken:.2f} s after the fits, {sum(points)} points in "
        f"{len(points)} calls; fits {1e3 * np.median(times):.0f} ms median, "
        f"{1e3 * np.max(times):.0f} ms worst, {times.sum():.2f} s together; bare match of "
        f"{count} points {unit:.2f} s, ratio {taken / unit:.2f}"
    )


def test_all_limits_of_forty_pulleys(benchmark, monkeypatch):
    build = hundred_speeds()
    days = list(build.known_days().values())
    maps = many_maps(50 if benchmark.enabled else 1)
    fits, _ = kept_fits(monkeypatch, build, maps)
    sizes = np.geomspace(0.045, 0.130, PULLEYS)

    seconds = []

    def grid():
        start = time.process_time()
        for one in maps:
            candidate = Candidate.of(with_candidate(build, one), days, fits[one.title])
            found = candidate.judge(sizes)
        seconds.append(time.process_time() - start)
        return found

    found = benchmark.pedantic(grid, rounds=3 if benchmark.enabled else 1)
    assert found.verdicts[0].used.shape == (PULLEYS, 4)
    if benchmark.enabled:
        unit, count = bare_match(build, days, fits, maps)
        print(f"\n    {count} points with all limits {min(seconds):.2f} s; bare {unit:.2f} s")


def test_time_grows_no_faster_than_the_points(benchmark, monkeypatch):
    build = hundred_speeds()
    days = list(build.known_days().values())
    counts = (1, 4, 16, 64, 188) if benchmark.enabled else (1,)
    maps = many_maps(max(counts))
    kept_fits(monkeypatch, build, maps)
    compressor_study(build, maps[:1], days)
    points, seconds = [], []
    for count in counts:
        # maps differ: some over all of them, a few times where they are few
        stride = len(maps) // count
        starts = range(0, stride, max(1, stride // 8))
        start = time.process_time()
        for first in starts:
            compressor_study(build, maps[first::stride][:count], days)
        seconds.append((time.process_time() - start) / len(starts))
        points.append(count * PULLEYS * len(days) * 100)
    benchmark.pedantic(compressor_study, (build, maps[:1], days), rounds=1)
    if not benchmark.enabled:
        return
    exponent = np.polyfit(np.log(points), np.log(seconds), 1)[0]
    tracemalloc.start()
    compressor_study(build, maps[:50], days)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    child = subprocess.run(
        [sys.executable, "-c", MEMORY], capture_output=True, text=True, check=True
    )
    print(
        f"\n    {points[0]} to {points[-1]} points: {seconds[0]:.3f} to {seconds[-1]:.2f} s, "
        f"exponent {exponent:.3f}; study of 50 maps {most / 2**20:.0f} MB at most, a process of "
        f"its own {int(child.stdout) / 1024:.0f} MB at most"
    )
