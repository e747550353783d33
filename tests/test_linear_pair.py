"""Propagators of two coupled temperatures against scipy's matrix exponential."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import expm

from engine_model.cooling.linear_pair import first_phi, propagator, second_phi

RATE = st.floats(0.0, 5.0)


def by_expm(matrix, duration):
    """Both propagators from one exponential of the augmented matrix (Van Loan)."""
    big = np.zeros((6, 6))
    big[:2, :2], big[:2, 2:4], big[2:4, 4:6] = matrix, np.eye(2), np.eye(2)
    whole = expm(big * duration)
    return whole[:2, 2:4], whole[:2, 4:6]


@settings(deadline=None)
@given(a=RATE, b=RATE, c=RATE, d=RATE, duration=st.floats(1e-3, 20.0))
def test_both_matrices(a, b, c, d, duration):
    # as a loop has them: each row loses at least what it passes on
    matrix = np.array([[-(a + b), b], [c, -(c + d)]])
    got = propagator(*(np.array([v]) for v in matrix.ravel()), np.array([duration]))
    change, integral = by_expm(matrix, duration)
    np.testing.assert_allclose(
        np.ravel(got.change), change.ravel(), rtol=1e-7, atol=1e-9 * duration
    )
    np.testing.assert_allclose(
        np.ravel(got.integral), integral.ravel(), rtol=1e-7, atol=1e-9 * duration**2
    )


@pytest.mark.parametrize("z", [-50.0, -1.0, -0.051, -0.049, -1e-4, -1e-9, 0.0])
def test_phi(z):
    """Against the augmented exponential of a scalar."""
    whole = expm(np.array([[z, 1.0, 0.0], [0.0, 0.0, 1.0], [0.0, 0.0, 0.0]]))
    assert float(first_phi(np.array(z))) == pytest.approx(whole[0, 1], rel=1e-13)
    assert float(second_phi(np.array(z))) == pytest.approx(whole[0, 2], rel=1e-11)


def test_equal_eigenvalues_with_one_sided_coupling():
    one, none = np.ones(1), np.zeros(1)
    got = propagator(-one, one, none, -one, one)
    change, integral = by_expm(np.array([[-1.0, 1.0], [0.0, -1.0]]), 1.0)
    np.testing.assert_allclose(np.ravel(got.change), change.ravel(), atol=1e-9)
    np.testing.assert_allclose(np.ravel(got.integral), integral.ravel(), atol=1e-9)
