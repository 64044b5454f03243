"""Latitude from one altitude: by Polaris, and by a body on or near the meridian, as it is worked on paper.

Beside them the exact latitude at which the circle of equal altitude crosses a meridian, from which both differ by what
their series leave out. Degrees throughout; north positive, hour angles west. All broadcast.

Sources: by Polaris the series in powers of the polar distance (the almanacs' Polaris tables; the terms are derived
here again); reduction to the meridian in two terms, W. Chauvenet, "A Manual of Spherical and Practical Astronomy"
(1863), vol. 1, on circummeridian altitudes (from memory; derived here again).
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def polaris_latitude_deg(ho_deg: Any, dec_deg: Any, lha_deg: Any) -> Array:
    """Ho - p·cos t + ½·p·sin p·sin²t·tan Ho, with p the polar distance and t the hour angle (LHA)."""
    p, t = np.radians(90.0 - np.asarray(dec_deg, dtype=float)), np.radians(lha_deg)
    ho = np.radians(ho_deg)
    series = -p * np.cos(t) + 0.5 * p * np.sin(p) * np.sin(t) ** 2 * np.tan(ho)
    return np.asarray(ho_deg + np.degrees(series))


def polaris_bound_arcmin(ho_deg: Any, dec_deg: Any) -> Array:
    """What the rule may leave out at the most, arcmin: the next powers of the polar distance in its series.

    These are -p³·cos t·sin²t/3, at the most 2·p³/(9·√3), and of the fourth power p⁴·sin⁴t·tan³H/8 and terms with tan H
    below half of p⁴; what follows is smaller by p·tan H each time.
    """
    p, tan_h = np.radians(90.0 - np.asarray(dec_deg, dtype=float)), np.abs(np.tan(np.radians(ho_deg)))
    terms = 2.0 / (9.0 * np.sqrt(3.0)) * p**3 + p**4 * (tan_h**3 / 8.0 + tan_h / 2.0)
    return np.asarray(np.degrees(terms * (1.0 + 2.0 * p * tan_h)) * 60.0)


def exact_latitudes_deg(ho_deg: Any, dec_deg: Any, lha_deg: Any) -> tuple[Array, Array]:
    """Both latitudes at which a body of that declination and hour angle stands at that altitude; NaN for none.

    The first lies south of the second.
    """
    h, d, t = np.radians(ho_deg), np.radians(dec_deg), np.radians(lha_deg)
    along, across = np.sin(d), np.cos(d) * np.cos(t)
    reach = np.hypot(along, across)
    with np.errstate(invalid="ignore"):
        away = np.degrees(np.arccos(np.sin(h) / reach))  # NaN where the altitude is not reached on that meridian
    pole = np.degrees(np.arctan2(along, across))
    lats = [(pole + sign * away + 180.0) % 360.0 - 180.0 for sign in (-1.0, 1.0)]
    low, high = (np.where(np.abs(lat) <= 90.0, lat, np.nan) for lat in lats)
    return np.asarray(low), np.asarray(high)


def exact_latitude_deg(ho_deg: Any, dec_deg: Any, lha_deg: Any, near_deg: Any) -> Array:
    """The one of `exact_latitudes_deg` that is nearest to a latitude; NaN where there is none."""
    low, high = exact_latitudes_deg(ho_deg, dec_deg, lha_deg)
    near = np.asarray(near_deg, dtype=float)
    take_low = np.isnan(high) | (np.abs(low - near) <= np.abs(high - near))
    return np.asarray(np.where(take_low, low, high))


def meridian_angle_deg(lha_deg: Any, *, upper: bool) -> Array:
    """Hour angle from the upper or the lower transit, -180 to 180, west positive."""
    from_transit = np.asarray(lha_deg, dtype=float) - (0.0 if upper else 180.0)
    return np.asarray((from_transit + 180.0) % 360.0 - 180.0)


def meridian_altitude_deg(ho_deg: Any, dec_deg: Any, angle_deg: Any, near_deg: Any, *, upper: bool) -> tuple[Any, Any]:
    """Altitude that a body seen near the meridian has on it, from the same place, and what the rule leaves out.

    `angle_deg` is the hour angle from that transit, `near_deg` the latitude by DR, which tells on which side of the
    zenith the body crosses. Returns degrees and a bound in arcmin. The reduction is A·m - A²·cot z·n with A =
    cos L·cos d/sin z, m = 2·sin²(t/2), n = m²/2, L and z those that come out of it.
    """
    d, t = np.radians(dec_deg), np.radians(angle_deg)
    m = 2.0 * np.sin(t / 2.0) ** 2
    sign = 1.0 if upper else -1.0
    z_seen = np.radians(90.0 - np.asarray(ho_deg, dtype=float))
    lat, zenith = np.radians(near_deg), z_seen
    south, side = _south_of_zenith(near_deg, dec_deg), np.where(np.asarray(dec_deg) >= 0.0, 1.0, -1.0)
    for _ in range(6):
        sin_z = np.maximum(np.sin(zenith), 1e-6)
        x = sign * np.cos(lat) * np.cos(d) / sin_z * m
        zenith = z_seen - x + 0.5 * x**2 * np.cos(zenith) / sin_z
        lat = np.radians(_latitude(np.degrees(zenith), dec_deg, south, side, upper=upper))
    cot2 = (np.cos(zenith) / np.maximum(np.sin(zenith), 1e-6)) ** 2
    left_out = np.abs(x) ** 3 * (1.0 + 3.0 * cot2) / 6.0 * (1.0 + 8.0 * np.abs(x) * np.sqrt(1.0 + cot2))
    return 90.0 - np.degrees(zenith), np.degrees(left_out) * 60.0


def meridian_latitude_deg(altitude_deg: Any, dec_deg: Any, near_deg: Any, *, upper: bool) -> Array:
    """Latitude from a meridian altitude: Dec ± (90 - H) at upper transit, ±(90 - |Dec| + H) at lower transit.

    At upper transit the sign is that of the latitude by DR less the declination; at lower transit that of Dec.
    """
    side = np.where(np.asarray(dec_deg) >= 0.0, 1.0, -1.0)
    z = 90.0 - np.asarray(altitude_deg, dtype=float)
    return _latitude(z, dec_deg, _south_of_zenith(near_deg, dec_deg), side, upper=upper)


def _south_of_zenith(near_deg: Any, dec_deg: Any) -> Array:
    """1 where the body crosses the meridian south of the zenith, -1 where north of it."""
    return np.where(np.asarray(near_deg, dtype=float) >= np.asarray(dec_deg), 1.0, -1.0)


def _latitude(zenith_deg: Any, dec_deg: Any, south: Any, side: Any, *, upper: bool) -> Array:
    if upper:
        return np.asarray(np.asarray(dec_deg) + south * zenith_deg)
    return np.asarray(side * (180.0 - np.asarray(zenith_deg)) - dec_deg)
