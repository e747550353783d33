"""The Compressors place: fifty rows shown anew, their paint, and three maps laid over each other.

Run with ``python -m pytest tests/benchmarks --benchmark-enable -q -s``. The yardstick is one
matched line of 200 engine speeds with its ledger; a plain run does each once.
"""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import time

import numpy as np
import pytest

from app.charts.compressor_overlay_chart import CompressorOverlayChart
from app.gui.places.compressors.model import Look
from app.gui.places.compressors.table import CompressorTable
from app.gui.places.pulleys.tables import dial_icons
from app.gui.theme import state_colors
from app.paths import sample_builds, sample_maps
from app.present.compressor_columns import columns_of
from app.present.series_overlay import OverlayItem, overlay_series
from engine_model import Day, load_build, load_map, match
from engine_model.compressor.surface_fit import fit_surface
from engine_model.problem import surface_of
from tests.compressors_hand import made_shown

ROWS = 50


def milliseconds(function, rounds=7):
    best = np.inf
    for _ in range(rounds):
        start = time.process_time()
        function()
        best = min(best, 1e3 * (time.process_time() - start))
    return best


@pytest.fixture
def yardstick():
    build = load_build(sample_builds()["road-six"])
    surface, speeds = surface_of(build), np.linspace(1500.0, 6800.0, 200)
    return milliseconds(lambda: match(build, Day(), speeds, surface=surface))


def test_fifty_rows_shown_and_painted(qtbot, benchmark, yardstick):
    table = CompressorTable()
    qtbot.addWidget(table)
    table.resize(1100, 500)
    table.show()
    look = Look(
        "si", dial_icons(state_colors("light")), table.palette().text().color(), lambda _: None
    )
    columns = columns_of(free_shaft=False, speeds=(3000.0,), has_target=True)
    orders = [
        [
            made_shown(f"map {k}", 1e5 + 100.0 * (k * step % ROWS), speeds=(3000.0,))
            for k in range(ROWS)
        ]
        for step in (1, 7)
    ]
    rounds = iter(range(10_000))

    def show():
        table.show_rows(orders[next(rounds) % 2], columns, "power", look)
        table.grab()

    show()
    best = milliseconds(show)
    print(f"\n{ROWS} rows shown and painted {best:.1f} ms, {best / yardstick:.1f} yardsticks")
    benchmark.pedantic(show, rounds=5)


def test_three_maps_laid_over_each_other(qtbot, benchmark, yardstick):
    maps = [load_map(sample_maps()[f"frame-95-{n}"]) for n in ("small", "middle", "large")]
    items = [OverlayItem(fit_surface(one), None, one.title, "", 6800.0) for one in maps]
    chart = CompressorOverlayChart()
    qtbot.addWidget(chart)
    chart.resize(900, 600)
    chart.show()
    series = overlay_series(items, "mild")

    def draw():
        chart.set_series(series)
        chart.grab()

    best = milliseconds(draw)
    made = milliseconds(lambda: overlay_series(items, "mild"))
    print(f"\nmade {made:.1f} ms, drawn {best:.1f} ms, {best / yardstick:.1f} yardsticks")
    benchmark.pedantic(draw, rounds=5)
