"""Statistics of the error bars: quantiles, shares of a variance, the band across a line."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from engine_model.studies.uncertain_records import first_order_shares, line_band, quantiles


def test_quantiles_are_those_of_numpy():
    values = np.random.default_rng(2).standard_normal((37, 5))
    values[:20, 1] = np.nan
    values[3, 2], values[:, 3] = np.inf, np.nan
    values[:, 4] = 0.1 + 0.2
    mine = quantiles(values)
    expected = np.nanquantile(values[:, :3], [0.05, 0.5, 0.95], axis=0)
    np.testing.assert_allclose(mine[:, :3], expected, rtol=1e-14)
    assert np.all(np.isnan(mine[:, 3]))
    np.testing.assert_array_equal(mine[:, 4], values[:3, 4])


def test_shares_in_closed_form():
    """z1 + (z2^2 - 1)/2 + z1 z3: variances 1, 1/2 and 1 together."""
    z = np.random.default_rng(4).standard_normal((40_000, 3))
    shares, explained = first_order_shares(
        z, z[:, 0] + 0.5 * (z[:, 1] ** 2 - 1) + z[:, 0] * z[:, 2]
    )
    np.testing.assert_allclose(shares, [0.4, 0.2, 0.0], atol=0.02)
    assert explained == pytest.approx(0.6, abs=0.02)
    shares, explained = first_order_shares(z, np.full(40_000, 3.0))
    assert np.all(np.isnan(shares))
    assert np.isnan(explained)


def test_band_across_a_straight_line():
    """Points shifted along the line leave it; across it the band is the normal's own."""
    random = np.random.default_rng(6)
    along, across = 0.1 * random.standard_normal((2, 20_000, 1))
    x = np.linspace(0.0, 2.0, 9)
    band = line_band(x + along - across, x + along + across)
    # both spans are 2: the direction is (1, 1), and the distance across in shares of the span
    edge = norm.ppf(0.95) * 0.1
    middle = slice(1, -1)
    np.testing.assert_allclose(band.high_ratio[middle] - band.ratio[middle], edge, rtol=0.03)
    np.testing.assert_allclose(band.high_flow[middle] - band.flow[middle], -edge, rtol=0.03)
    np.testing.assert_allclose(band.low_ratio[middle] - band.ratio[middle], -edge, rtol=0.03)
    np.testing.assert_allclose(band.flow, x, atol=5e-3)
