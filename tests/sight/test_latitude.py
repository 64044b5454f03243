"""Latitude by Polaris and by meridian passage against the exact circle of equal altitude, over the globe."""

from __future__ import annotations

import numpy as np
import pytest

from nightleg.sight.latitude import (
    exact_latitude_deg,
    exact_latitudes_deg,
    meridian_altitude_deg,
    meridian_angle_deg,
    meridian_latitude_deg,
    polaris_bound_arcmin,
    polaris_latitude_deg,
)
from nightleg.sight.reduction import altitude

ROUNDING_ARCMIN = 1e-6  # double precision in a difference of angles of 100°


def random(count: int, *limits: tuple[float, float]) -> list[np.ndarray]:
    rng = np.random.default_rng(20260314)
    return [rng.uniform(low, high, count) for low, high in limits]


def test_polaris_rule_stays_within_its_bound() -> None:
    """Ho - p cos t + ½ p sin p sin²t tan Ho, polar distances of 30′ to 1°: what is left out is below the bound."""
    lat, lha, dec = random(50_000, (0.0, 85.0), (0.0, 360.0), (89.0, 89.5))
    ho = altitude(lat, 0.0, lha, dec)
    off_arcmin = np.abs(polaris_latitude_deg(ho, dec, lha) - lat) * 60.0
    bound = polaris_bound_arcmin(ho, dec)
    assert np.all(off_arcmin <= bound + ROUNDING_ARCMIN)
    # the bound is worth something: nearly reached, and a hundredth of a minute up to 70° of latitude
    assert off_arcmin[lat < 60.0].max() > 0.7 * bound[lat < 60.0].max()
    assert bound[lat < 70.0].max() < 0.01


def test_polaris_rule_without_its_second_term_fails_the_bound() -> None:
    """The second term is needed: at 60° it comes to 0.5′ to 0.9′ for p = 1°."""
    lat, lha, dec = np.array([60.0]), np.array([90.0]), np.array([89.0])
    ho = altitude(lat, 0.0, lha, dec)
    short = ho - (90.0 - dec) * np.cos(np.radians(lha))
    assert 0.5 < float((lat - short)[0]) * 60.0 < 1.0


def test_exact_latitude_is_on_the_circle() -> None:
    """Both latitudes have the altitude; that of the observer is one of them."""
    lat, lha, dec = random(50_000, (-89.0, 89.0), (0.0, 360.0), (-89.0, 89.0))
    ho = altitude(lat, 0.0, lha, dec)
    low, high = exact_latitudes_deg(ho, dec, lha)
    for found in (low, high):
        there = np.isfinite(found)
        assert np.abs(altitude(found[there], 0.0, lha[there], dec[there]) - ho[there]).max() < 1e-9  # degrees
    nearest = exact_latitude_deg(ho, dec, lha, lat)
    # where the two run together the circle touches the meridian and a latitude keeps half the digits
    assert np.abs(nearest - lat).max() < 1e-5


def test_no_latitude_where_the_circle_does_not_reach_the_meridian() -> None:
    assert np.isnan(exact_latitude_deg(80.0, 0.0, 30.0, 0.0))  # on that meridian it never stands above 60°


@pytest.mark.parametrize("upper", [True, False])
def test_reduction_to_the_meridian_stays_within_its_bound(upper: bool) -> None:
    """Within as many minutes of the transit as the zenith distance has degrees; the DR up to 60′ off."""
    lat, dec, share, wrong = random(80_000, (-80.0, 80.0), (-80.0, 80.0), (-1.0, 1.0), (-1.0, 1.0))
    if not upper:
        lat = np.abs(lat) * np.sign(dec)  # circumpolar bodies
    zenith = np.abs(lat - dec) if upper else 180.0 - np.abs(lat + dec)
    fit = (zenith > 5.0) & (zenith < 82.0)
    lat, dec, share, zenith, wrong = (a[fit] for a in (lat, dec, share, zenith, wrong))
    angle = share * zenith / 4.0  # degrees: a minute of time is a quarter of a degree
    ho = altitude(lat, 0.0, angle + (0.0 if upper else 180.0), dec)
    high, bound = meridian_altitude_deg(ho, dec, angle, lat + wrong, upper=upper)
    found = meridian_latitude_deg(high, dec, lat, upper=upper)
    off_arcmin = np.abs(found - lat) * 60.0
    assert np.all(off_arcmin <= bound + ROUNDING_ARCMIN)
    assert bound.max() < 0.05
    assert np.abs(high - altitude(lat, 0.0, 0.0 if upper else 180.0, dec)).max() * 60.0 < 0.05


@pytest.mark.parametrize(
    ("high", "dec", "near", "upper", "lat"),
    [
        (50.0, 10.0, 45.0, True, 50.0),  # body south of the zenith: Dec + (90 - H)
        (50.0, 10.0, -25.0, True, -30.0),  # north of it: Dec - (90 - H)
        (50.0, -10.0, 35.0, True, 30.0),
        (20.0, 60.0, 50.0, False, 50.0),  # below the pole: polar distance and altitude
        (20.0, -60.0, -50.0, False, -50.0),
    ],
)
def test_meridian_rule(high: float, dec: float, near: float, upper: bool, lat: float) -> None:
    """L = Dec ± (90° - H), upper and lower transit (NGA Pub. 9, meridian altitude; values by mental arithmetic)."""
    assert float(meridian_latitude_deg(high, dec, near, upper=upper)) == pytest.approx(lat, abs=1e-12)


def test_meridian_angle() -> None:
    assert float(meridian_angle_deg(350.0, upper=True)) == -10.0
    assert float(meridian_angle_deg(170.0, upper=False)) == -10.0
