"""Bracketed roots of many equations at once."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from engine_model.roots import bracketed_roots


class Curves:
    """sinh(k (x - root)) + c (x - root)^3, one root each; counts what it is asked."""

    def __init__(self, roots, steepness, cubic, asked=None):
        self.roots, self.steepness, self.cubic = roots, steepness, cubic
        self.asked = [] if asked is None else asked

    def residual(self, x):
        self.asked.append(x.size)
        d = x - self.roots
        return np.sinh(self.steepness * d) + self.cubic * d**3

    def only(self, index):
        return Curves(self.roots[index], self.steepness[index], self.cubic[index], asked=self.asked)


def curves(count=200, seed=3):
    random = np.random.default_rng(seed)
    return Curves(
        random.uniform(-0.9, 1.9, count),
        10.0 ** random.uniform(-2.0, 1.3, count),
        random.uniform(0.0, 50.0, count),
    )


def solve(equations, tolerance=1e-12, **more):
    n = equations.roots.size
    low, high = np.full(n, -1.0), np.full(n, 2.0)
    f_low, f_high = equations.residual(low), equations.residual(high)
    return bracketed_roots(equations, low, high, f_low, f_high, tolerance, **more)


def test_known_roots():
    equations = curves()
    answer = solve(equations)
    assert np.all(np.abs(equations.residual(answer.x)) <= 1e-12)
    np.testing.assert_allclose(answer.x, equations.roots, rtol=0.0, atol=1e-9)


@settings(max_examples=60, deadline=None)
@given(
    root=st.floats(-0.99, 1.99),
    steepness=st.floats(0.05, 20.0),
    cubic=st.floats(0.0, 100.0),
)
def test_brentq_finds_the_same(root, steepness, cubic):
    one = Curves(np.array([root]), np.array([steepness]), np.array([cubic]))
    expected = brentq(lambda x: float(one.residual(np.array([x]))[0]), -1.0, 2.0, xtol=1e-15)
    assert solve(one, 1e-13).x[0] == pytest.approx(expected, abs=1e-11)


def test_falling_residuals_work_as_well():
    equations = curves(50)

    class Falling(Curves):
        def residual(self, x):
            return -super().residual(x)

        def only(self, index):
            return Falling(self.roots[index], self.steepness[index], self.cubic[index])

    other = Falling(equations.roots, equations.steepness, equations.cubic)
    np.testing.assert_array_equal(solve(other).x, solve(equations).x)


def test_points_alone_and_together_have_the_same_bits():
    equations = curves(64)
    together = solve(equations).x
    for k in range(64):
        assert solve(equations.only(np.array([k]))).x[0] == together[k]
    np.testing.assert_array_equal(solve(equations.only(np.arange(63, -1, -1))).x, together[::-1])


def test_finished_points_are_dropped_and_not_counted():
    equations = curves(200)
    equations.asked.clear()
    answer = solve(equations)
    sizes = equations.asked[2:]
    assert sizes[-1] < sizes[0] == 200
    assert answer.evaluations <= sum(sizes)
    # every point needs one at least, and bisection to 1e-12 would need forty
    assert 200 <= answer.evaluations < 200 * 15


def test_root_at_a_bound_needs_no_step():
    one = Curves(np.array([-1.0, 2.0]), np.ones(2), np.zeros(2))
    answer = solve(one)
    assert answer.x.tolist() == [-1.0, 2.0]
    assert answer.evaluations == 0


class Jump(Curves):
    """Rises to -0.1 at the root, jumps to 1 there."""

    def residual(self, x):
        return np.where(x < self.roots, -0.1 - (self.roots - x), 1.0 + (x - self.roots))

    def only(self, index):
        return Jump(self.roots[index], self.steepness[index], self.cubic[index])


def test_jump_without_a_root_is_closed_in_on():
    """No value of a jump is small: the bounds close on it, and the search ends."""
    place = np.array([-0.7, 0.3, 1.7])
    answer = solve(Jump(place, np.ones(3), np.ones(3)))
    np.testing.assert_allclose(answer.x, place, rtol=0.0, atol=1e-8)
    assert answer.evaluations <= 3 * 80


def test_few_steps_give_the_best_point_so_far():
    equations = curves(30)
    rough, fine = solve(equations, most_steps=2), solve(equations)
    worse = np.abs(equations.residual(rough.x))
    assert np.all(worse >= np.abs(equations.residual(fine.x)))
    assert np.all(worse <= np.minimum(*map(np.abs, ends(equations))))


def ends(equations):
    n = equations.roots.size
    return equations.residual(np.full(n, -1.0)), equations.residual(np.full(n, 2.0))
