"""Parallax and semidiameter against Astropy: geocentric and topocentric directions of one vector, WGS 84."""

from __future__ import annotations

import numpy as np
import pytest

from nightleg.sight.parallax import to_geocentric, to_observed


def _both(lat: float, lon: float, height_m: float, body_km: np.ndarray) -> tuple[float, float, float, float]:
    """Geocentric altitude and azimuth, topocentric altitude (degrees) and distance (km), by Astropy's EarthLocation."""
    from astropy import units as u
    from astropy.coordinates import EarthLocation

    site = EarthLocation.from_geodetic(lon * u.deg, lat * u.deg, height_m * u.m, ellipsoid="WGS84")
    here = np.array([site.x.to_value(u.km), site.y.to_value(u.km), site.z.to_value(u.km)])
    phi, lam = np.radians(lat), np.radians(lon)
    up = np.array([np.cos(phi) * np.cos(lam), np.cos(phi) * np.sin(lam), np.sin(phi)])
    north = np.array([-np.sin(phi) * np.cos(lam), -np.sin(phi) * np.sin(lam), np.cos(phi)])
    east = np.array([-np.sin(lam), np.cos(lam), 0.0])
    seen = body_km - here
    geocentric = np.degrees(np.arcsin(body_km @ up / np.linalg.norm(body_km)))
    azimuth = np.degrees(np.arctan2(body_km @ east, body_km @ north)) % 360.0
    observed = np.degrees(np.arcsin(seen @ up / np.linalg.norm(seen)))
    return float(geocentric), float(azimuth), float(observed), float(np.linalg.norm(seen))


@pytest.mark.parametrize("lat", [-78.0, -40.0, 0.0, 35.0, 66.0])
@pytest.mark.parametrize("limb", [-1.0, 0.0, 1.0])
@pytest.mark.parametrize(("distance_km", "radius_km"), [(363300.0, 1737.4), (405500.0, 1737.4), (1.496e8, 695990.0)])
def test_both_ways(lat: float, limb: float, distance_km: float, radius_km: float) -> None:
    lon, height_m = -30.0, 9448.8
    rng = np.random.default_rng(7)
    for _ in range(20):
        direction = rng.normal(size=3)
        body = distance_km * direction / np.linalg.norm(direction)
        geocentric, azimuth, observed, reach_km = _both(lat, lon, height_m, body)
        if observed < 1.0:
            continue
        seen = observed - limb * np.degrees(np.arcsin(radius_km / reach_km))
        # 0.0001′: the geometry is exact on both sides
        found = to_observed(geocentric, azimuth, lat, height_m, distance_km, radius_km, limb)
        assert (float(found) - seen) * 60.0 == pytest.approx(0.0, abs=1e-4)
        semidiameter, parallax = to_geocentric(seen, azimuth, lat, height_m, distance_km, radius_km, limb)
        back = seen + (float(semidiameter) + float(parallax)) / 60.0
        assert (back - geocentric) * 60.0 == pytest.approx(0.0, abs=1e-4)


def test_sizes() -> None:
    """Moon about a degree at the horizon, Sun 0.15′ (Nautical Almanac, explanation)."""
    _, moon = to_geocentric(0.0, 90.0, 0.0, 0.0, 384400.0, 0.0, 0.0)
    _, sun = to_geocentric(0.0, 90.0, 0.0, 0.0, 1.496e8, 0.0, 0.0)
    assert float(moon) == pytest.approx(57.0, abs=0.2)
    assert float(sun) == pytest.approx(0.147, abs=0.002)


def test_a_star_has_none() -> None:
    semidiameter, parallax = to_geocentric(40.0, 120.0, 50.0, 9000.0, np.inf, 0.0, 0.0)
    assert float(semidiameter) == 0.0
    assert float(parallax) == pytest.approx(0.0, abs=1e-9)
