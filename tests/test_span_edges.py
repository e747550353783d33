"""Edges along the pulley on functions written out by hand, whose edges are known."""

from __future__ import annotations

import numpy as np
import pytest

from engine_model.studies.span_conflicts import conflicts_of
from engine_model.studies.span_edges import find_tracks, intersection, stretches
from engine_model.studies.span_records import LimitBar

GRID = np.geomspace(0.045, 0.130, 37)


def tracks_of(*functions, days=1):
    """Tracks of limits given as functions of diameter [m] and day index."""
    calls = []

    def used_of(diameters, picked):
        calls.append(diameters.shape)
        columns = np.broadcast_to(picked[None, :], diameters.shape)
        return np.stack([np.asarray(f(diameters, columns), dtype=float) for f in functions])

    every = np.arange(days)
    used = used_of(np.repeat(GRID[:, None], days, axis=1), every)
    return find_tracks(used_of, GRID, used), calls


def test_a_limit_with_two_edges():
    # over below 60 mm and above 100 mm: 1 + 400 (d - 0.06)(d - 0.1)
    (row,), _ = tracks_of(lambda d, _: 1.0 + 400.0 * (d - 0.060) * (d - 0.100))
    assert row[0].edges == pytest.approx((0.060, 0.100), abs=1e-6)
    assert row[0].over_first
    assert row[0].allowed == (row[0].edges,)
    assert row[0].blank == ()


@pytest.mark.parametrize("centre", [0.0701, 0.0712, 0.0725, 0.0731])
@pytest.mark.parametrize("half", [2e-4, 5e-4])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_two_edges_within_one_division_are_seen(centre, half, sign):
    # a parabola whose tip passes the bound between two samples, which lie 2 mm apart
    def used(d, _):
        return 1.0 + sign * 4e3 * ((d - centre) ** 2 - half**2)

    (row,), _ = tracks_of(used)
    assert row[0].edges == pytest.approx((centre - half, centre + half), abs=1e-6)
    assert row[0].over_first is (sign > 0)


def test_a_jump_is_an_edge():
    (row,), _ = tracks_of(lambda d, _: np.where(d < 0.0777, 1.8, 0.6))
    assert row[0].edges == pytest.approx((0.0777,), abs=2e-7)
    assert row[0].over_first


def test_without_end_where_there_is_no_room():
    (row,), _ = tracks_of(lambda d, _: np.where(d < 0.0777, np.inf, 0.6))
    assert row[0].edges == pytest.approx((0.0777,), abs=2e-7)


def test_a_comb_of_teeth():
    # falls by 10 a metre and jumps by 0.012 every 1.5 mm
    def used(d, _):
        return 1.02 - 10.0 * (d - 0.080) + 0.012 * np.floor((d - 0.0805) / 0.0015)

    (row,), _ = tracks_of(used)
    fine = np.arange(0.045, 0.130, 1e-5)
    over = used(fine, 0) > 1.0
    inside = np.any([(a <= fine) & (fine <= b) for a, b in row[0].allowed], axis=0)
    assert np.count_nonzero(over[1:] != over[:-1]) > 3
    wrong = fine[inside == over]
    distance = [np.min(np.abs(np.array(row[0].edges) - x)) for x in wrong]
    assert max(distance, default=0.0) <= 2e-5


def test_what_is_not_judged_is_named_and_not_over():
    (row,), _ = tracks_of(lambda d, _: np.where(d > 0.0901, np.nan, 1.5 - 10.0 * (d - 0.040)))
    # 1.5 - 10 (d - 0.04) = 1 at 90 mm
    assert row[0].edges == pytest.approx((0.090,), abs=1e-6)
    assert row[0].allowed == ((row[0].edges[0], 0.130),)
    ((begins, ends),) = row[0].blank
    assert begins == pytest.approx(0.0901, rel=1e-3)
    assert ends == 0.130


def test_judged_nowhere():
    (row,), calls = tracks_of(lambda d, _: np.full(d.shape, np.nan))
    assert row[0].edges == ()
    assert row[0].blank == ((0.045, 0.130),)
    assert len(calls) == 1


def test_days_have_edges_of_their_own_and_are_sought_together():
    # days at 50, 60, 70, 80 mm; a second limit the same on all of them
    (own, shared), calls = tracks_of(
        lambda d, day: (0.050 + 0.010 * day) / d, lambda d, _: (0.0666 / d) ** 2, days=4
    )
    assert [t.edges[0] for t in own] == pytest.approx([0.05, 0.06, 0.07, 0.08], abs=1e-8)
    assert [t.edges[0] for t in shared] == pytest.approx([0.0666] * 4, abs=1e-8)
    assert len({t.edges[0] for t in shared}) == 1
    assert len(calls) < 10


def test_a_share_held_at_its_bound_is_not_over():
    noise = np.random.default_rng(5)
    (row,), _ = tracks_of(lambda d, _: 1.0 + 1e-11 * noise.standard_normal(d.shape))
    assert row[0].allowed == ((0.045, 0.130),)


def test_random_shares_against_a_fine_sweep():
    rng = np.random.default_rng(11)
    fine = np.arange(0.045, 0.130, 2.5e-5)
    edges = 0
    for _ in range(60):
        a, b, c = rng.uniform(-0.15, 0.15, 3)
        p, q = rng.uniform(0.0, 6.0, 2)

        def used(d, _, a=a, b=b, c=c, p=p, q=q):
            return 1.0 + a + b * np.sin(90.0 * d + p) + c * np.sin(240.0 * d + q)

        (row,), _ = tracks_of(used)
        over = used(fine, 0) > 1.0
        inside = np.zeros(fine.size, dtype=bool)
        for low, high in row[0].allowed:
            inside |= (low <= fine) & (fine <= high)
        assert np.array_equal(inside, ~over)
        edges += len(row[0].edges)
    assert edges > 60


def test_stretches_and_their_intersection():
    assert stretches(0.0, 9.0, (2.0, 5.0), True) == ((0.0, 2.0), (5.0, 9.0))
    assert stretches(0.0, 9.0, (2.0, 5.0), False) == ((2.0, 5.0),)
    assert stretches(0.0, 9.0, (), False) == ()
    sets = [((0.0, 4.0), (6.0, 9.0)), ((3.0, 7.0),)]
    assert intersection(sets, (0.0, 9.0)) == ((3.0, 4.0), (6.0, 7.0))
    assert intersection([((0.0, 1.0),), ((1.0, 2.0),)], (0.0, 9.0)) == ()


def bar(code, *allowed, day="mild"):
    return LimitBar(code, "parts", "as built", day, allowed, (), "", (), np.zeros(2))


def names(conflicts):
    return [[f"{code} {day}" for code, day, _ in one.members] for one in conflicts]


def test_a_limit_over_everywhere_stands_alone():
    found = conflicts_of([bar("a"), bar("b", (1.0, 2.0)), bar("a", day="hot")])
    assert names(found) == [["a mild"]]
    assert np.isnan(found[0].gap)


def test_pairs_that_exclude_each_other_on_their_worst_days():
    bars = [
        bar("a", (5.0, 9.0)), bar("a", (6.0, 9.0), day="cold"), bar("b", (0.0, 4.0)),
        bar("c", (0.0, 5.5)), bar("d", (0.0, 9.0)),
    ]  # fmt: skip
    found = conflicts_of(bars)
    assert names(found) == [["a cold", "b mild"], ["a cold", "c mild"]]
    assert [one.gap for one in found] == pytest.approx([2.0, 0.5])


def test_three_that_leave_nothing_together():
    bars = [
        bar("a", (0.0, 2.0), (4.0, 6.0)), bar("b", (1.0, 5.0)), bar("c", (0.0, 0.5), (2.5, 3.5)),
        bar("d", (0.0, 9.0)), bar("e", (0.0, 0.9), (3.0, 9.0)),
    ]  # fmt: skip
    # a and c meet in 0-0.5, b and c in 2.5-3.5, a and b in 1-2 and 4-5
    assert names(conflicts_of(bars)) == [["a mild", "b mild", "c mild"]]
