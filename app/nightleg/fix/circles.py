"""Where two circles of equal altitude meet: two places, one, or none.

The classical two-body fix without any DR. On the sphere of geodetic latitudes the two bodies' places under the sky and
the zenith distances give the crossing directly (vector form of the double-altitude problem).
"""

from __future__ import annotations

import math

import numpy as np


def crossings(
    gha1_deg: float, dec1_deg: float, ho1_deg: float, gha2_deg: float, dec2_deg: float, ho2_deg: float
) -> tuple[tuple[float, float], ...]:
    """Latitudes and longitudes (degrees) where both altitudes are observed; the two places, or none.

    Circles that fail to meet by less than they can be wrong are for the caller to judge: here they give nothing.
    """
    a, b = _place(gha1_deg, dec1_deg), _place(gha2_deg, dec2_deg)
    ha, hb = math.sin(math.radians(ho1_deg)), math.sin(math.radians(ho2_deg))
    dot = float(a @ b)
    apart2 = 1.0 - dot * dot
    if apart2 < 1e-12:
        return ()
    along_a, along_b = (ha - hb * dot) / apart2, (hb - ha * dot) / apart2
    foot = along_a * a + along_b * b
    left2 = 1.0 - float(foot @ foot)
    if left2 < 0.0:
        return ()
    across = np.cross(a, b) * math.sqrt(left2 / apart2)
    return tuple(_latlon(foot + sign * across) for sign in (1.0, -1.0))


def _place(gha_deg: float, dec_deg: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    d, lon = math.radians(dec_deg), -math.radians(gha_deg)
    return np.array([math.cos(d) * math.cos(lon), math.cos(d) * math.sin(lon), math.sin(d)])


def _latlon(v: np.ndarray[tuple[int], np.dtype[np.float64]]) -> tuple[float, float]:
    x, y, z = (float(c) for c in v)
    return math.degrees(math.atan2(z, math.hypot(x, y))), math.degrees(math.atan2(y, x))
