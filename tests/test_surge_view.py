"""A scene on the map: the settled point lies where load line and characteristic meet."""

from __future__ import annotations

import numpy as np
import pytest

from engine_model.inputs import NAMED_DAYS, Scene
from engine_model.studies.surge_run import run_scene
from engine_model.studies.surge_view import driven_curve, load_line, trail

MAP = "frame-95-small"


@pytest.fixture(scope="module")
def found(sample_build, sample_surface):
    build = sample_build(MAP, drive__blower_pulley_diameter=0.066)
    scene = Scene("lift", "lift", (("surge.duration", 0.4),))
    return run_scene(build, NAMED_DAYS["mild"], scene, surface=sample_surface(MAP))


def test_trail_begins_at_the_match(found):
    way, line = trail(found), found.setup.line
    assert way.corrected_flow.shape == found.run.time.shape
    assert way.corrected_flow[0] == pytest.approx(float(line.corrected_flow_kg_s[0]), rel=1e-3)
    # under the map's ratio by the cooler's loss, 8 kPa at the rated flow
    assert 0.9 < way.pressure_ratio[0] / float(line.pressure_ratio[0]) < 1.0
    assert way.corrected_flow.min() < 0.0


def test_load_line_meets_the_characteristic_in_the_settled_point(found):
    setup = found.setup
    driven, load, way = driven_curve(setup), load_line(setup, setup.open_area), trail(found)
    at = way.corrected_flow[0]
    known = np.isfinite(load.pressure_ratio)
    for curve, keep in ((driven, slice(None)), (load, known)):
        height = np.interp(at, curve.corrected_flow[keep], curve.pressure_ratio[keep])
        assert height == pytest.approx(way.pressure_ratio[0], rel=2e-3)
    # the last points lie at the wall, where the charge's temperature turns
    assert np.all(np.diff(load.pressure_ratio[known][:-8]) > 0.0)
    narrow = load_line(setup, 0.2 * setup.open_area)
    both = known & np.isfinite(narrow.pressure_ratio)
    assert np.all(narrow.pressure_ratio[both][5:] > load.pressure_ratio[both][5:])
    # in reverse flow the pressure rises again
    assert driven.pressure_ratio[0] > setup.zero_flow_ratio
