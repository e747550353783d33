"""How long tracing takes: preparation of a picture of 1600 x 1200, one followed stretch, the fit.

Run with ``python -m pytest tests/benchmarks/test_bench_trace.py --benchmark-enable -q -s``. With
benchmarks enabled the budgets are asserted, stretched on a machine whose Fourier transform of as
many numbers is slower than the one they were written on; with benchmarks disabled each runs once,
as a test of its answer.
"""

from __future__ import annotations

import functools
import itertools
import time
from dataclasses import replace

import numpy as np
import pytest
from conftest import read_sample_map
from PySide6.QtWidgets import QApplication
from trace_pictures import (
    VARIANTS,
    click_values,
    clicked_calibration,
    pixels,
    prepared,
    variant,
)
from trace_place_hands import PHOTO, Bench, along, seen, truth
from tracing_cases import trace_of

from app.gui.places.trace.verdicts import verdicts_of
from engine_model.digitise.clean import prepare
from engine_model.digitise.corners import snap_to_crossing
from engine_model.digitise.ink import follow_curve, follow_segment
from engine_model.digitise.straighten import straighten

STRAIGHTENED, PREPARED, SEGMENT, CLICK = 0.3, 0.6, 0.020, 0.020  # budgets [s]
OVERLAY = 0.060  # the fit, its drawing and what is said of it, after each curve [s]
YARDSTICK = 0.013  # the transform on the machine the budgets were written on [s]
NAME = "grey, dashed, photo"


def fastest(function, rounds=5):
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        function()
        times.append(time.perf_counter() - start)
    return min(times)


@functools.cache
def yardstick():
    """Time of a Fourier transform of 1600 x 1200 numbers [s]."""
    table = np.random.default_rng(0).normal(size=(1200, 1600))
    return fastest(lambda: np.fft.rfft2(table))


@pytest.fixture
def within(request, benchmark):
    """Compare the fastest round with a budget, where benchmarks are on."""

    def compare(title, budget):
        if not request.config.getoption("benchmark_enable"):
            return
        took, slower = benchmark.stats.stats.min, max(1.0, yardstick() / YARDSTICK)
        print(f"\n    {title}: {1e3 * took:.1f} ms of {1e3 * budget:.0f}", end="")
        print(f" (yardstick {1e3 * yardstick():.0f} ms, slower {slower:.1f} times)")
        assert took <= budget * slower

    return compare


def test_straighten(benchmark, within):
    picture = variant("colour")
    assert picture.image.size == (1600, 1200)
    calibration = clicked_calibration(picture, np.random.default_rng(0))
    straight = benchmark(straighten, pixels(picture), calibration)
    assert straight.picture.shape[0] > 1200
    within("straighten", STRAIGHTENED)


def test_preparation(benchmark, within):
    picture = variant(NAME)
    calibration = clicked_calibration(picture, np.random.default_rng(0))
    table = pixels(picture)
    ink = benchmark(lambda: prepare(straighten(table, calibration)))
    assert ink.erased.mean() > 0.01  # the grid was found
    within("straighten and prepare", PREPARED)


def _stretches(name):
    """Clicks of every curve of a picture, on the straightened one."""
    picture, calibration, straight, _ = prepared(name)
    for curve in picture.curves:
        values = click_values(picture, curve, 10 if curve.kind == "island" else 3)
        clicks = straight.to_pixels(calibration.to_values(picture.to_pixels(values)))
        yield curve, clicks


def test_longest_segment(benchmark, within):
    ink = prepared(NAME)[3]
    pairs = [
        (clicks[row], clicks[row + 1])
        for _, clicks in _stretches(NAME)
        for row in range(len(clicks) - 1)
    ]
    longest = max(pairs, key=lambda pair: np.hypot(*(pair[1] - pair[0])))
    found = benchmark(follow_segment, ink, *longest)
    assert found.seen.mean() > 0.3
    within("longest of the stretches", SEGMENT)


def test_every_segment(benchmark, within):
    ink = prepared(NAME)[3]
    pairs = [
        (clicks[row], clicks[row + 1], clicks[row - 1] if row else None)
        for _, clicks in _stretches(NAME)
        for row in range(len(clicks) - 1)
    ]
    turns = itertools.cycle(pairs)
    found = benchmark(lambda: follow_segment(ink, *next(turns)))
    assert len(found.points) > 10
    within("a stretch", SEGMENT)


def test_whole_island(benchmark, within):
    ink = prepared(NAME)[3]
    islands = (clicks for curve, clicks in _stretches(NAME) if curve.closed)
    clicks = max(islands, key=np.ptp)
    found = benchmark(follow_curve, ink, clicks, True)
    assert found.closed
    within("a whole island", 0.010 * len(clicks))


def test_corner(benchmark, within):
    picture = variant(NAME)
    corner = picture.to_pixels(picture.corners())[0]
    found = benchmark(snap_to_crossing, pixels(picture), corner + np.array([3.0, -2.0]))
    assert np.hypot(*(found - corner)) < 1.0
    within("a click on a corner", CLICK)


@pytest.mark.parametrize("curves", [5, 19])
def test_verdicts_and_overlay_after_a_curve(benchmark, within, curves):
    """Of a beginning, and of a whole map of ten lines and seven islands."""
    whole = trace_of(read_sample_map("frame-95-middle"))
    names = itertools.count()
    some = replace(whole, curves=whole.curves[:curves])
    found = benchmark(lambda: verdicts_of(replace(some, title=str(next(names)))))
    assert len(found.rows) == min(curves, len(whole.curves))
    assert found.lines
    within(f"verdicts of {curves} curves", OVERLAY)


@pytest.fixture
def bench(qapp, tmp_path):
    """The window on the Trace place, the supplied photo made ready, the pen set once."""
    bench = Bench(tmp_path)
    bench.open(PHOTO, seen(tilt=1.2))
    bench.calibrate()
    bench.pen("speed_line", "66000")
    bench.click(bench.spot(truth("speed", 66000.0)[0]))
    yield bench
    bench.close()


def test_live_segment_on_hover_in_the_place(benchmark, within, bench):
    points = truth("speed", 66000.0)
    spots = itertools.cycle([bench.spot(points[row]) for row in range(300, 1200, 60)])

    def hover():
        bench.canvas.scene.preview = None
        bench.move(next(spots))
        while bench.canvas.scene.preview is None:
            QApplication.processEvents()

    benchmark(hover)
    assert len(bench.canvas.scene.preview) > 10
    within("live segment with its painting", SEGMENT)


def test_curve_ended_in_the_place(benchmark, within, bench):
    """From the last click to the curve in the trace, followed whole; the verdicts come after."""
    bench.desk.abandon()
    clicks = [bench.spot(values) for values in along(truth("speed", 66000.0), 4)]

    def click_along():
        bench.desk.abandon()
        for at in clicks:
            bench.click(at)

    benchmark.pedantic(lambda: bench.desk.finish(False), setup=click_along, rounds=6)
    assert bench.trace.curves[-1].value in (66000.0, None)
    assert len(bench.trace.curves[-1].nodes) == 4
    within("a curve ended", 3 * SEGMENT)


def test_the_picture_is_one_of_the_accuracy_bench():
    assert NAME in VARIANTS
