"""Ellipses and the circle of half the errors."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import chi2

from nightleg.fix.ellipse import cep_nm, chi2_two_dof, ellipse, inside, outline, sigma_per_axis_nm


@pytest.mark.parametrize("share", [0.5, 0.95, 0.99])
def test_chi_square_limits_by_scipy(share: float) -> None:
    assert chi2_two_dof(share) == pytest.approx(float(chi2.ppf(share, 2)), rel=1e-12)


def test_printed_limits() -> None:
    """1.386 at 50 %, 5.991 at 95 % (any table of chi-square)."""
    assert chi2_two_dof(0.5) == pytest.approx(1.386, abs=5e-4)
    assert chi2_two_dof(0.95) == pytest.approx(5.991, abs=5e-4)


@pytest.mark.parametrize("azimuth", [0.0, 30.0, 90.0, 135.0, 179.0])
def test_axes_of_a_turned_covariance(azimuth: float) -> None:
    a = math.radians(azimuth)
    axis, across = np.array([math.cos(a), math.sin(a)]), np.array([-math.sin(a), math.cos(a)])
    shape = ellipse(9.0 * np.outer(axis, axis) + 4.0 * np.outer(across, across), 0.95)
    assert shape.semi_major_nm == pytest.approx(3.0 * math.sqrt(5.991464547))
    assert shape.semi_minor_nm == pytest.approx(2.0 * math.sqrt(5.991464547))
    assert (shape.azimuth_deg - azimuth + 90.0) % 180.0 - 90.0 == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("ratio", [1.0, 0.7, 0.5, 0.3])
def test_cep_against_the_common_rule(ratio: float) -> None:
    """0.589·(σ₁ + σ₂), common practice, no source; at a ratio of 0.35 it is 2.2 % too large."""
    assert cep_nm([[1.0, 0.0], [0.0, ratio**2]]) == pytest.approx(0.589 * (1.0 + ratio), rel=0.023)


@pytest.mark.parametrize("ratio", [1.0, 0.5, 0.1, 0.01, 1e-3, 0.0])
def test_cep_holds_half_of_drawn_errors(ratio: float) -> None:
    rng = np.random.default_rng(1)
    drawn = np.hypot(rng.normal(0.0, 3.0, 400_000), rng.normal(0.0, 3.0 * ratio, 400_000))
    # the share inside has a standard error of 0.0008
    assert float(np.mean(drawn < cep_nm([[9.0, 0.0], [0.0, 9.0 * ratio**2]]))) == pytest.approx(0.5, abs=0.003)


def test_cep_of_nothing() -> None:
    assert cep_nm([[0.0, 0.0], [0.0, 0.0]]) == 0.0


def test_inside_is_the_outline() -> None:
    cov = np.array([[9.0, 3.0], [3.0, 4.0]])
    shape = ellipse(cov, 0.95)
    a = math.radians(shape.azimuth_deg)
    tip = np.array([math.cos(a), math.sin(a)]) * shape.semi_major_nm
    assert bool(inside(cov, 0.999 * tip, 0.95))
    assert not bool(inside(cov, 1.001 * tip, 0.95))
    assert sigma_per_axis_nm(cov) == pytest.approx(math.sqrt(6.5))


def test_outline_on_the_ground() -> None:
    from geographiclib.geodesic import Geodesic

    shape = ellipse([[25.0, 6.0], [6.0, 9.0]], 0.5)
    lat, lon = outline(48.0, 179.95, shape)
    reach = [Geodesic.WGS84.Inverse(48.0, 179.95, a, b)["s12"] / 1852.0 for a, b in zip(lat, lon, strict=True)]
    assert max(reach) == pytest.approx(shape.semi_major_nm, rel=0.002)
    assert min(reach) == pytest.approx(shape.semi_minor_nm, rel=0.002)
    assert np.all(np.abs(lon) <= 360.0)
