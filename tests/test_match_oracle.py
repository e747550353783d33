"""The elementwise solver against scipy's root finders, on its residual and on plain floats."""

from __future__ import annotations

import numpy as np
import pytest
from scalar_chain import ScalarPoint, chain_of
from scipy.optimize import brentq

from engine_model.inputs import NAMED_DAYS
from engine_model.matching import match_many
from engine_model.solvers.shaft_solver import FOUND, solve_places

FRAMES = ("frame-95-small", "frame-95-middle", "frame-95-large")
RPM = np.linspace(1500.0, 6800.0, 41)
PULLEYS = (0.055, 0.080, 0.120)
CASES = [(name, pulley) for name in FRAMES for pulley in PULLEYS]


def chain_and_places(sample_build, sample_surface, name, pulley, day):
    build = sample_build(name, drive__blower_pulley_diameter=pulley)
    surface = sample_surface(name)
    chain = chain_of(build, day, RPM, surface)
    speed = chain.points.corrected_speed
    weak = surface.surge_pressure_ratio(speed) < build.bounds.surge_judged_above
    places = solve_places(chain, np.where(weak, -2.0, -1.0))
    assert np.mean(places.outcome == FOUND) > 0.3
    return build, chain, places


def segments(s):
    """The stretch of the line a place lies in: left of surge, the map, or past choke."""
    low = np.select([s < 0.0, s <= 1.0], [-2.0, 0.0], 1.0)
    return low, np.select([s < 0.0, s <= 1.0], [0.0, 1.0], 2.0)


@pytest.mark.parametrize(("name", "pulley"), CASES)
def test_elementwise_find_root_gives_the_same_places(sample_build, sample_surface, name, pulley):
    elementwise = pytest.importorskip("scipy.optimize.elementwise")
    day = NAMED_DAYS["mild"]
    _, chain, places = chain_and_places(sample_build, sample_surface, name, pulley, day)
    found = np.flatnonzero((places.outcome == FOUND) & (np.abs(places.s) > 1e-9))
    every = chain.only(found)

    def residual(s, index):
        place = np.broadcast_to(s, index.shape).ravel()
        return every.only(index.astype(np.intp).ravel()).residual(place).reshape(index.shape)

    low, high = segments(places.s[found])
    index = np.arange(found.size, dtype=float)
    tight = {"xatol": 1e-14, "xrtol": 1e-14, "fatol": 0.0, "frtol": 0.0}
    answer = elementwise.find_root(residual, (low, high), args=(index,), tolerances=tight)
    assert np.all(answer.success)
    flow = chain.only(found).to_manifold(places.s[found]).flow
    other = every.to_manifold(answer.x).flow
    np.testing.assert_allclose(flow, other, rtol=1e-9)


@pytest.mark.parametrize(("name", "pulley"), CASES)
def test_brentq_on_plain_floats_gives_the_same_line(sample_build, sample_surface, name, pulley):
    """Newton steps to convergence instead of one: the difference is that of T2s, 2e-5 K."""
    day = NAMED_DAYS["hot"]
    build, chain, places = chain_and_places(sample_build, sample_surface, name, pulley, day)
    build = build.with_value("drive.ribs", 20)  # the belt holds
    line = match_many(build, [day], RPM, surface=chain.surface).part(0)
    points = [ScalarPoint(chain, build, day, k) for k in range(0, RPM.size, 2)]
    roots = np.array([point.root() for point in points])
    np.testing.assert_array_equal(np.isnan(roots), np.isnan(places.s[::2]))
    np.testing.assert_array_equal(np.isnan(roots), np.isnan(line.air_flow_kg_s[::2]))
    known = np.flatnonzero(np.isfinite(roots))
    assert known.size > 5
    flow = np.array([points[k].march(roots[k])[0] for k in known])
    np.testing.assert_allclose(line.air_flow_kg_s[::2][known], flow, rtol=2e-7)


def test_brentq_on_the_same_residual_gives_the_same_places(sample_build, sample_surface):
    day = NAMED_DAYS["freezing"]
    _, chain, places = chain_and_places(sample_build, sample_surface, "frame-95-small", 0.070, day)
    for k in np.flatnonzero(places.outcome == FOUND)[::4]:
        one = chain.only(np.array([k]))

        def residual(s, one=one):
            return float(one.residual(np.array([s]))[0])

        low, high = segments(places.s[k])
        root = brentq(residual, float(low), float(high), xtol=1e-14, rtol=1e-14)
        flows = one.to_manifold(np.array([root])).flow, one.to_manifold(places.s[[k]]).flow
        assert flows[0][0] == pytest.approx(flows[1][0], rel=1e-9)


def test_residual_rises_along_every_line(sample_build, sample_surface):
    """The road says the difference rises with s, so that the root is the only one."""
    for name in FRAMES:
        build = sample_build(name, drive__blower_pulley_diameter=0.065)
        chain = chain_of(build, NAMED_DAYS["mild"], RPM, sample_surface(name))
        s = np.linspace(0.0, 2.0, 81)
        values = np.array([chain.residual(np.full(RPM.size, place)) for place in s])
        assert np.all(np.diff(values, axis=0) > 0.0), name
