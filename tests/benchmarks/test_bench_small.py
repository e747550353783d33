"""Small things that must be quick: the check of a map's file, and showing *Why*.

Run with ``python -m pytest tests/benchmarks --benchmark-enable -q -s``. Nothing is asserted of
times; asked are 150 ms for a check and 4 ms for *Why*.
"""

from __future__ import annotations

import itertools
import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtWidgets import QMainWindow

from app.gui.panels.why_panel import WhyPanel
from app.paths import sample_builds, sample_maps
from engine_model import fit_surface, load_build, match
from engine_model.files.checking import check_file
from engine_model.steps import match_steps


@pytest.mark.parametrize("name", sorted(sample_maps()))
def test_check_of_a_map(benchmark, name):
    assert benchmark(check_file, sample_maps()[name]) == ()


def test_showing_why(benchmark, qtbot):
    build = load_build(sample_builds()["road-six"])
    surface = fit_surface(build.blower.compressor_map)
    several = []
    for speed in (3000.0, 4000.0, 5000.0, 6000.0):
        line = match(build, rpm=[speed], surface=surface)
        several.append(match_steps(line, speed, surface=surface))
    window, panel = QMainWindow(), WhyPanel()
    qtbot.addWidget(window)
    window.setMinimumSize(200, 200)
    window.setCentralWidget(panel)
    window.resize(264, 500)
    window.show()
    turn = itertools.cycle(several)
    benchmark(lambda: panel.show_steps(next(turn), "si", "x"))
    assert panel.tree.topLevelItemCount() > 3
