"""Refraction by air outside the aircraft, and dip of the sea horizon.

Source: The Nautical Almanac, "Sight reduction procedures": R = 0.0167° / tan(H + 7.32/(H + 4.32)) at 1010 hPa and
10 °C, times 0.28 P/(T + 273); dip 0.0293° times the square root of the height of eye in metres.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LOWEST_RELIABLE_DEG = 5.0  # below this apparent altitude the formula is no longer good to a tenth of a minute


def refraction_arcmin(apparent_deg: Any, pressure_hpa: Any, temperature_c: Any) -> Array:
    """How much too high a body appears, arcmin, at an apparent altitude in degrees. All broadcast.

    Altitudes below the horizon take the value at -1°: a reading there is refused elsewhere, and an iteration that
    passes through stays finite.
    """
    h = np.maximum(apparent_deg, -1.0)
    density = 0.28 * np.asarray(pressure_hpa) / (np.asarray(temperature_c) + 273.0)
    return np.asarray(60.0 * 0.0167 / np.tan(np.radians(h + 7.32 / (h + 4.32))) * density)


def apparent_altitude_deg(true_deg: Any, pressure_hpa: Any, temperature_c: Any) -> Array:
    """Inverse of refraction: the apparent altitude that, less its refraction, is `true_deg`. All broadcast."""
    apparent = np.asarray(true_deg, dtype=float)
    for _ in range(50):
        nearer = true_deg + refraction_arcmin(apparent, pressure_hpa, temperature_c) / 60.0
        moved = np.max(np.abs(nearer - apparent), initial=0.0)
        apparent = np.asarray(nearer)
        if moved < 1e-12:
            break
    return apparent


def dip_arcmin(height_of_eye_m: Any) -> Array:
    """Dip of the sea horizon, arcmin, positive (it is subtracted from the reading)."""
    return np.asarray(60.0 * 0.0293 * np.sqrt(height_of_eye_m))
