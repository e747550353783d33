"""Choke: losses along a line, Mach number at the inducer, speed added until the wall."""

from __future__ import annotations

import math

import numpy as np
import pytest

from engine_model.compressor.choke import inducer_mach, line_losses
from engine_model.errors import InputError
from engine_model.inputs import NAMED_DAYS, Scene
from engine_model.studies.choke_page import boost_for_flow, run_choke

MAP = "frame-95-small"
DAY = NAMED_DAYS["mild"]


# W sqrt(R T)/(A p) of the gas tables, g 1.4: sqrt(1.4) M (1 + 0.2 M^2)^-3 worked by hand
@pytest.mark.parametrize(("mach", "function"), [(0.3, 0.336472), (0.5, 0.511052), (0.8, 0.659520)])
def test_axial_mach_of_the_flow_function(mach, function):
    area = math.pi / 4.0 * 0.059**2 * (1.0 - 0.35**2)
    flow = function * area * 98e3 / math.sqrt(287.053 * 300.0)
    found = inducer_mach(flow, 98e3, 300.0, 60000.0, 0.059)
    assert found.axial == pytest.approx(mach, abs=2e-4)
    static = 300.0 / (1.0 + 0.2 * mach**2)
    tip = math.pi * 0.059 * 1000.0 / math.sqrt(1.4 * 287.053 * static)
    assert found.relative == pytest.approx(math.hypot(mach, tip), rel=1e-3)


def test_inducer_that_cannot_pass_the_flow():
    found = inducer_mach(0.8, 98e3, 300.0, 60000.0, 0.059)
    assert math.isnan(found.axial)
    assert found.area_used > 1.0


def test_losses_grow_toward_the_wall(sample_surface):
    found = line_losses(sample_surface(MAP), 66000.0)
    right = found.place >= 1.0
    # past choke the flow stands, the head goes and the work stays: all the more becomes heat
    np.testing.assert_allclose(found.corrected_flow[right], found.corrected_flow[right][0])
    assert np.all(np.diff(found.pressure_ratio[right]) < 0.0)
    assert np.all(np.diff(found.lost[right]) > 0.0)
    np.testing.assert_allclose(found.work, found.head + found.lost, rtol=1e-12)
    assert boost_for_flow(found) > 0.2


def test_speed_added_until_the_wall(sample_build, sample_surface):
    build = sample_build(MAP, drive__blower_pulley_diameter=0.066)
    found = run_choke(build, DAY, Scene("choke", "choke"), surface=sample_surface(MAP))
    assert found.wall is not None
    known = np.isfinite(found.line.air_flow_kg_s)
    assert np.all(np.diff(found.line.manifold_temperature_k[known]) > 0.0)
    best = int(np.nanargmax(found.line.efficiency))
    assert 0 < best < found.wall
    assert found.mach is not None
    assert found.mach.relative > 1.0
    with pytest.raises(InputError, match=r"scene\.kind"):
        run_choke(build, DAY, Scene("lift"))
    with pytest.raises(InputError, match=r"drive\.kind"):
        run_choke(build.with_value("drive.kind", "free_shaft"), DAY, Scene("c", "choke"))
