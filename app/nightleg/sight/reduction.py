"""Computed altitude and azimuth of a body, and their inverse for a line of position.

Altitudes are geocentric with the geodetic latitude, as sight-reduction tables and almanacs take them: parallax belongs
to the chain that makes Ho. `sin Hc = sin L sin d + cos L cos d cos LHA` (Nautical Almanac, sight reduction
procedures), worked in components so that the zenith, the poles and small angles lose no digits.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

ARCMIN_PER_RADIAN = 60.0 * 180.0 / np.pi


def altitude_azimuth(lat: Any, lon: Any, gha_deg: Any, dec_deg: Any) -> tuple[Array, Array]:
    """Altitude Hc (-90 to 90) and azimuth Zn (0 to 360, true) in degrees. All broadcast.

    Latitude, longitude and declination are north and east positive, GHA is west.
    """
    phi, d = np.radians(lat), np.radians(dec_deg)
    lha = np.radians(np.add(gha_deg, lon))
    sin_phi, cos_phi, sin_d, cos_d = np.sin(phi), np.cos(phi), np.sin(d), np.cos(d)
    cos_lha = np.cos(lha)
    north = cos_phi * sin_d - sin_phi * cos_d * cos_lha
    east = -cos_d * np.sin(lha)
    up = sin_phi * sin_d + cos_phi * cos_d * cos_lha
    hc = np.degrees(np.arctan2(up, np.hypot(north, east)))
    zn = np.degrees(np.arctan2(east, north)) % 360.0
    return np.asarray(hc), np.asarray(np.where(zn >= 360.0, 0.0, zn))


def altitude(lat: Any, lon: Any, gha_deg: Any, dec_deg: Any) -> Array:
    """Altitude Hc alone, degrees; see `altitude_azimuth`."""
    return altitude_azimuth(lat, lon, gha_deg, dec_deg)[0]


def circle_point(gha_deg: Any, dec_deg: Any, altitude_deg: Any, from_body_deg: Any) -> tuple[Array, Array]:
    """Points of the circle of equal altitude, by their bearing from the body's geographical position. All broadcast.

    Returns latitudes and longitudes in degrees.
    """
    arc, d, b = np.radians(90.0 - np.asarray(altitude_deg)), np.radians(dec_deg), np.radians(from_body_deg)
    sin_d, cos_d, sin_arc, cos_arc = np.sin(d), np.cos(d), np.sin(arc), np.cos(arc)
    polar = cos_arc * sin_d + sin_arc * cos_d * np.cos(b)
    toward = cos_arc * cos_d - sin_arc * sin_d * np.cos(b)
    across = sin_arc * np.sin(b)
    lat = np.degrees(np.arctan2(polar, np.hypot(toward, across)))
    lon = np.degrees(np.arctan2(across, toward)) - gha_deg
    return np.asarray(lat), np.asarray((lon + 180.0) % 360.0 - 180.0)
