"""The ICAO standard atmosphere to 20 km (ISO 2533:1975, ICAO Doc 7488): pressure altitude in feet.

Two layers: 6.5 K per kilometre to 11 km, then 216.65 K. Altitudes are geopotential, as an altimeter shows them.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from nightleg.units.errors import EntryError

FT_M = 0.3048
ZERO_C_K = 273.15
P0_HPA = 1013.25
T0_K = 288.15
G0_M_S2 = 9.80665
R_J_KG_K = 287.05287
GAMMA = 1.4
LAPSE_K_M = 0.0065
TROPOPAUSE_M = 11000.0
TROPOPAUSE_K = T0_K - LAPSE_K_M * TROPOPAUSE_M
LOWEST_FT = -16404.0  # -5 km, where the tables of ICAO Doc 7488 begin
HIGHEST_FT = 65617.0  # 20 km, where the second layer ends

_EXPONENT = G0_M_S2 / (LAPSE_K_M * R_J_KG_K)
_SCALE_M = R_J_KG_K * TROPOPAUSE_K / G0_M_S2
_KT_M_S = 1852.0 / 3600.0


def pressure_hpa(altitude_ft: npt.ArrayLike) -> Any:
    """Pressure, hPa, at pressure altitudes in feet (any shape). nan stays nan. Raises EntryError outside the layers."""
    metres = _metres(altitude_ft)
    ratio = (_kelvin(metres) / T0_K) ** _EXPONENT
    return P0_HPA * ratio * np.exp(-np.maximum(metres - TROPOPAUSE_M, 0.0) / _SCALE_M)


def temperature_c(altitude_ft: npt.ArrayLike) -> Any:
    """Standard temperature, °C, at pressure altitudes in feet (any shape). Raises EntryError outside the layers."""
    return _kelvin(_metres(altitude_ft)) - ZERO_C_K


def speed_of_sound_kt(temperature_c: npt.ArrayLike) -> Any:
    """Speed of sound, knots, in air of a static temperature in °C (any shape). Raises EntryError at absolute zero."""
    kelvin = checked_kelvin(temperature_c)
    return np.sqrt(GAMMA * R_J_KG_K * kelvin) / _KT_M_S


def density_ratio(altitude_ft: npt.ArrayLike, temperature_c: npt.ArrayLike | None = None) -> Any:
    """Density over that of the standard at sea level; temperature in °C, standard if not given. Raises EntryError."""
    kelvin = _kelvin(_metres(altitude_ft)) if temperature_c is None else checked_kelvin(temperature_c)
    return pressure_hpa(altitude_ft) / P0_HPA * (T0_K / kelvin)


def check_altitude(altitude_ft: npt.ArrayLike) -> None:
    """Raise EntryError where an altitude lies outside the layers used here. nan passes."""
    altitude = np.asarray(altitude_ft, dtype=np.float64)
    bad = altitude[(altitude < LOWEST_FT) | (altitude > HIGHEST_FT)]
    if bad.size:
        raise EntryError(
            f"an altitude of {bad.flat[0]:g} ft is outside the standard atmosphere used here: "
            f"{LOWEST_FT:.0f} to {HIGHEST_FT:.0f} ft"
        )


def checked_kelvin(temperature_c: npt.ArrayLike) -> Any:
    """Kelvin of temperatures in °C. Raises EntryError at and below absolute zero. nan passes."""
    kelvin = np.asarray(temperature_c, dtype=np.float64) + ZERO_C_K
    bad = kelvin[(kelvin <= 0.0) | np.isposinf(kelvin)]
    if bad.size:
        raise EntryError(
            f"a temperature of {bad.flat[0] - ZERO_C_K:g} °C is impossible; outside air is some -90 to +50 °C"
        )
    return kelvin


def _metres(altitude_ft: npt.ArrayLike) -> Any:
    check_altitude(altitude_ft)
    return np.asarray(altitude_ft, dtype=np.float64) * FT_M


def _kelvin(metres: Any) -> Any:
    return T0_K - LAPSE_K_M * np.minimum(metres, TROPOPAUSE_M)
