"""How long a build sheet takes, judging included; the budget is 0.5 s.

Run with ``python -m pytest tests/benchmarks --benchmark-enable -q -s``. Times are printed, not
asserted: machines differ. The yardstick is the judging of the same days, soak included, and the
same texts drawn alone. With benchmarks disabled each runs once, as a test of its answer.
"""

from __future__ import annotations

import time
from datetime import date

import pytest
from PySide6.QtCore import QBuffer, QIODevice, QPointF
from PySide6.QtGui import QPainter, QPdfWriter

from app.charts.picture import application
from app.paths import sample_builds
from app.sheet.paper import PAPERS
from app.sheet.source import judged_source
from app.sheet.writing import pdf_of, sheet_pages
from engine_model.files.build_file import load_build
from engine_model.problem import surface_of

DAY = date(2026, 3, 1)


def fastest(function, rounds=5):
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        function()
        times.append(time.perf_counter() - start)
    return min(times)


def blank_pdf(lines=700):
    """PDF of as many short texts as a sheet has."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(96)
    painter = QPainter(writer)
    for k in range(lines):
        painter.drawText(QPointF(20.0 + 200.0 * (k % 3), 20.0 + 4.0 * (k // 3)), f"Text {k}")
    painter.end()
    return bytes(buffer.data().data())


@pytest.mark.parametrize("name", ["road-six", "tow-eight", "free-shaft-four"])
def test_a_sheet(benchmark, name):
    kept = application()
    build = load_build(sample_builds()[name])
    days = build.known_days()
    surface = surface_of(build)

    def judge():
        return judged_source(
            build, days["mild"], list(days.values()), written_on=DAY, surface=surface
        )

    def write():
        with sheet_pages(judge(), PAPERS["a4"]) as pages:
            return pdf_of(pages)

    data = benchmark(write)
    assert data.startswith(b"%PDF-")
    if not benchmark.enabled:
        return
    sheet, judged, blank = fastest(write), fastest(judge), fastest(blank_pdf)
    print(
        f"\n{name}: sheet {1e3 * sheet:.0f} ms (budget 500), of it judging {1e3 * judged:.0f} ms; "
        f"as many texts alone {1e3 * blank:.0f} ms; {len(data) / 1e3:.0f} kB"
    )
    assert kept is not None
