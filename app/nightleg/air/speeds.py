"""Airspeeds: calibrated, true and Mach number, by the compressible subsonic formula.

Calibrated airspeed (CAS) is defined by the impact pressure and the standard pressure and speed of sound at sea level:
qc = p₀·((1 + 0.2·(CAS/a₀)²)^3.5 − 1) = p·((1 + 0.2·M²)^3.5 − 1) (Saint-Venant's equation for γ = 1.4; the atmosphere is
that of ISO 2533). Static outside temperature, °C; standard where it is not given. Any shapes that broadcast; nan stays
nan. All raise EntryError for negative speeds, Mach 1 and above, and outside the standard atmosphere.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from nightleg.earth.atmosphere import P0_HPA, T0_K, ZERO_C_K, pressure_hpa, speed_of_sound_kt
from nightleg.earth.atmosphere import temperature_c as standard_temperature_c
from nightleg.units.errors import EntryError

A0_KT = float(speed_of_sound_kt(T0_K - ZERO_C_K))  # 661.48, the standard speed of sound at sea level


def mach_from_cas(cas_kt: npt.ArrayLike, altitude_ft: npt.ArrayLike) -> Any:
    """Mach number of a calibrated airspeed, knots, at a pressure altitude, feet."""
    cas = _not_negative(cas_kt, "calibrated airspeed", " kt")
    return _subsonic(_mach(_impact(_subsonic(cas / A0_KT)) * (P0_HPA / pressure_hpa(altitude_ft))))


def cas_from_mach(mach: npt.ArrayLike, altitude_ft: npt.ArrayLike) -> Any:
    """Calibrated airspeed, knots, of a Mach number at a pressure altitude, feet."""
    number = _subsonic(_not_negative(mach, "Mach number", ""))
    # Below sea level the pressure is above standard: the calibrated airspeed may reach the limit first.
    return A0_KT * _subsonic(_mach(_impact(number) * (pressure_hpa(altitude_ft) / P0_HPA)))


def tas_from_mach(mach: npt.ArrayLike, altitude_ft: npt.ArrayLike, temperature_c: npt.ArrayLike | None = None) -> Any:
    """True airspeed, knots, of a Mach number at a pressure altitude, feet."""
    return _subsonic(_not_negative(mach, "Mach number", "")) * _sound(altitude_ft, temperature_c)


def mach_from_tas(tas_kt: npt.ArrayLike, altitude_ft: npt.ArrayLike, temperature_c: npt.ArrayLike | None = None) -> Any:
    """Mach number of a true airspeed, knots, at a pressure altitude, feet."""
    return _subsonic(_not_negative(tas_kt, "true airspeed", " kt") / _sound(altitude_ft, temperature_c))


def tas_from_cas(cas_kt: npt.ArrayLike, altitude_ft: npt.ArrayLike, temperature_c: npt.ArrayLike | None = None) -> Any:
    """True airspeed, knots, of a calibrated airspeed, knots, at a pressure altitude, feet."""
    return mach_from_cas(cas_kt, altitude_ft) * _sound(altitude_ft, temperature_c)


def cas_from_tas(tas_kt: npt.ArrayLike, altitude_ft: npt.ArrayLike, temperature_c: npt.ArrayLike | None = None) -> Any:
    """Calibrated airspeed, knots, of a true airspeed, knots, at a pressure altitude, feet."""
    return cas_from_mach(mach_from_tas(tas_kt, altitude_ft, temperature_c), altitude_ft)


def _sound(altitude_ft: npt.ArrayLike, temperature_c: npt.ArrayLike | None) -> Any:
    standard = standard_temperature_c(altitude_ft)  # refuses altitudes outside the atmosphere in any case
    return speed_of_sound_kt(standard if temperature_c is None else np.broadcast_arrays(temperature_c, standard)[0])


def _impact(mach: Any) -> Any:
    """Impact pressure over static pressure. log1p and expm1 keep low speeds exact."""
    return np.expm1(3.5 * np.log1p(0.2 * mach * mach))


def _mach(impact: Any) -> Any:
    return np.sqrt(5.0 * np.expm1(np.log1p(impact) / 3.5))


def _not_negative(values: npt.ArrayLike, what: str, unit: str) -> Any:
    array = np.asarray(values, dtype=np.float64)
    bad = array[array < 0.0]
    if bad.size:
        raise EntryError(f"a {what} of {bad.flat[0]:g}{unit} is impossible; it must be 0 or more")
    return array


def _subsonic(mach: Any) -> Any:
    number = np.asarray(mach)
    bad = number[number >= 1.0]
    if bad.size:
        raise EntryError(
            f"that is Mach {bad.flat[0]:.2f}; speeds must be subsonic: check knots against Mach, and the altitude"
        )
    return mach
