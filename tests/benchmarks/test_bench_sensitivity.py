"""How long the study of the assumed inputs takes.

Run with ``python -m pytest tests/benchmarks --benchmark-enable -q -s``. Times are printed, not
asserted: machines differ. With benchmarks disabled each runs once, as a test of its answer.
"""

from __future__ import annotations

import os
import time

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest

from app.gui.idle_study import IdleStudy
from app.paths import sample_builds
from engine_model.files.build_file import load_build
from engine_model.matching import surface_of
from engine_model.studies.sensitivity import assumed_that_matter, sensitivity_steps, studied_inputs

BUILDS = ("road-six", "tow-eight", "free-shaft-four")


@pytest.fixture(params=BUILDS)
def sample(request):
    build = load_build(sample_builds()[request.param])
    return request.param, build, build.known_days()["mild"], surface_of(build)


def test_whole_study(benchmark, sample):
    name, build, day, surface = sample
    found = benchmark(assumed_that_matter, build, day, surface=surface)
    assert len(found) == len(studied_inputs(build))
    stretches, start = [], time.perf_counter()
    for _ in sensitivity_steps(build, day, surface=surface):
        now = time.perf_counter()
        stretches.append(now - start)
        start = now
    total = 1e3 * sum(stretches)
    text = f"{name}: {len(found)} inputs, {len(stretches)} stretches, {total:.0f} ms"
    print(f"\n    {text}, longest {1e3 * max(stretches):.1f} ms")


def test_slices_of_an_idle_study(qtbot, sample):
    name, build, day, surface = sample
    study = IdleStudy()
    with qtbot.waitSignal(study.ready, timeout=10_000) as ready:
        study.start(build, day, surface)
    assert ready.args == [assumed_that_matter(build, day, surface=surface)]
    print(f"\n    {name}: longest turn {1e3 * study.longest_slice:.1f} ms")
