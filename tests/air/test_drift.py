"""The wind from drifts on several headings."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightleg.air.drift import spread_deg, wind_by_drifts
from nightleg.air.wind import ground


@given(
    wind_from=st.floats(0.0, 359.9),
    kt=st.floats(5.0, 120.0),
    first=st.floats(0.0, 359.9),
    turn=st.floats(46.0, 134.0),
    tas=st.floats(180.0, 480.0),
)
def test_two_exact_drifts_give_the_wind(wind_from: float, kt: float, first: float, turn: float, tas: float) -> None:
    headings = np.array([first, (first + turn) % 360.0])
    _, _, drift = ground(headings, tas, wind_from, kt)
    found = wind_by_drifts(headings, np.full(2, tas), drift, np.ones(2))
    assert found.kt == pytest.approx(kt, abs=1e-6)
    assert (found.from_deg - wind_from + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=1e-5)
    assert max(abs(r) for r in found.residuals_deg) < 1e-6


def test_covariance_holds_the_scatter_of_drawn_readings() -> None:
    rng = np.random.default_rng(11)
    headings, tas, sigma = np.array([30.0, 90.0, 150.0]), np.full(3, 300.0), np.full(3, 1.0)
    _, _, drift = ground(headings, tas, 250.0, 40.0)
    north, east = [], []
    for _ in range(3000):
        found = wind_by_drifts(headings, tas, drift + rng.normal(0.0, 1.0, 3), sigma)
        a = np.radians(found.from_deg + 180.0)
        north.append(found.kt * np.cos(a))
        east.append(found.kt * np.sin(a))
    expected = np.array(wind_by_drifts(headings, tas, drift, sigma).cov_kt2)
    # a variance from 3 000 draws has a standard error of 2.6 %
    assert np.allclose(np.cov(north, east), expected, rtol=0.1, atol=1.0)


def test_headings_must_differ() -> None:
    with pytest.raises(ValueError, match="two headings"):
        wind_by_drifts([90.0], [300.0], [5.0], [1.0])
    with pytest.raises(ValueError, match="45° or more"):
        wind_by_drifts([90.0, 110.0], [300.0, 300.0], [5.0, 4.0], [1.0, 1.0])
    # opposite headings lie along one line and say the same
    with pytest.raises(ValueError, match="45° or more"):
        wind_by_drifts([90.0, 270.0], [300.0, 300.0], [5.0, -5.0], [1.0, 1.0])
    assert spread_deg([0.0, 90.0, 180.0]) == pytest.approx(90.0)
