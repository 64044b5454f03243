"""Altitudes and azimuths against Astropy's AltAz without refraction, with the kernel DE421 and our UT1.

From our geocentric places the topocentric direction is made here on the ellipsoid (erfa.gd2gc). What ours leave out by
design: the motion of the pole (0.6" at most) and the aberration by the Earth's turning (0.32").
"""

from __future__ import annotations

from pathlib import Path

import erfa
import numpy as np
import pytest
import skyfield_data
from astropy import units
from astropy.coordinates import AltAz, Distance, EarthLocation, SkyCoord, get_body, solar_system_ephemeris
from astropy.time import Time
from astropy.utils import iers

from nightleg.sky import timescale
from nightleg.sky.catalogue import star
from nightleg.sky.places import places
from nightleg.units.times import instant

TOLERANCE_ARCSEC = 1.0
KERNEL = str(Path(skyfield_data.__file__).parent / "data" / "de421.bsp")
SITES = [(51.5, -0.1, 0.0), (-33.9, 151.2, 9000.0), (0.0, -78.5, 2800.0), (78.2, 15.6, 0.0), (-77.8, 166.7, 10.0)]
LABEL_S = np.array([-790_000_000.0, -500_123_456.0, -3_333.0, 234_567_890.0, 500_000_000.0, 699_999_999.0])


def topocentric(body: str, label_s: float, latitude_deg: float, longitude_deg: float, height_m: float) -> np.ndarray:
    """Our direction as a unit vector east, north, up."""
    found = places(body, label_s)
    dec, gha = np.deg2rad(float(found.dec_deg)), np.deg2rad(float(found.gha_deg))
    direction = np.array([np.cos(dec) * np.cos(gha), -np.cos(dec) * np.sin(gha), np.sin(dec)])
    latitude, longitude = np.deg2rad(latitude_deg), np.deg2rad(longitude_deg)
    if np.isfinite(found.distance_km):
        direction = direction * float(found.distance_km) - erfa.gd2gc(1, longitude, latitude, height_m) / 1000.0
        direction /= np.linalg.norm(direction)
    east = np.array([-np.sin(longitude), np.cos(longitude), 0.0])
    up = np.array([np.cos(latitude) * np.cos(longitude), np.cos(latitude) * np.sin(longitude), np.sin(latitude)])
    return np.array([east @ direction, np.cross(up, east) @ direction, up @ direction])


def reference(body: str, label_s: float, latitude_deg: float, longitude_deg: float, height_m: float) -> np.ndarray:
    """Astropy's direction as a unit vector east, north, up."""
    time = Time(instant(label_s), scale="utc")
    time.delta_ut1_utc = float(timescale.dut1_s(label_s))
    site = EarthLocation.from_geodetic(longitude_deg * units.deg, latitude_deg * units.deg, height_m * units.m)
    frame = AltAz(obstime=time, location=site, pressure=0 * units.hPa)
    if body in ("Vega", "Canopus", "Polaris", "Arcturus"):
        data = star(body)
        seen = SkyCoord(
            ra=data.ra_deg * units.deg,
            dec=data.dec_deg * units.deg,
            pm_ra_cosdec=data.pm_ra_mas_per_year * units.mas / units.yr,
            pm_dec=data.pm_dec_mas_per_year * units.mas / units.yr,
            distance=Distance(parallax=data.parallax_mas * units.mas),
            obstime=Time(1991.25, format="jyear", scale="tt"),
        ).apply_space_motion(new_obstime=time)
    else:
        seen = get_body(body.lower(), time, site)
    found = seen.transform_to(frame)
    altitude, azimuth = found.alt.rad, found.az.rad
    return np.array([np.cos(altitude) * np.sin(azimuth), np.cos(altitude) * np.cos(azimuth), np.sin(altitude)])


@pytest.mark.parametrize("body", ["Sun", "Moon", "Venus", "Jupiter", "Vega", "Canopus", "Polaris", "Arcturus"])
def test_altitude_and_azimuth(body: str) -> None:
    with iers.conf.set_temp("auto_download", False), solar_system_ephemeris.set(KERNEL):
        for number, label_s in enumerate(LABEL_S):
            site = SITES[number % len(SITES)]
            error = topocentric(body, float(label_s), *site) - reference(body, float(label_s), *site)
            assert np.linalg.norm(error) * 206264.8 < TOLERANCE_ARCSEC
