"""The almanac page of one instant: GHA, declination, parallax, semidiameter and magnitude of every body."""

from __future__ import annotations

from datetime import datetime

import numpy as np
from msgspec import Struct
from numpy.typing import ArrayLike, NDArray

from nightleg.sky import ephemeris, timescale
from nightleg.sky.catalogue import BODIES, SOLAR_SYSTEM, star
from nightleg.sky.places import Places, gha_aries_deg, places, places_of
from nightleg.units.times import gmt_s as seconds_of

Floats = NDArray[np.float64]

SUN_MAG_1AU = -26.74  # visual, at 1 au (common value, from memory)
MOON_MEAN_DISTANCE_KM = 384400.0


class AlmanacRow(Struct, frozen=True):
    """One body, geocentric."""

    name: str
    gha_deg: float
    dec_deg: float
    hp_arcmin: float  # equatorial horizontal parallax; 0 for stars
    sd_arcmin: float  # semidiameter; 0 for stars
    magnitude: float  # visual


class Almanac(Struct, frozen=True):
    """All bodies at `time` (GMT)."""

    time: datetime
    gha_aries_deg: float
    bodies: tuple[AlmanacRow, ...]
    warnings: tuple[str, ...]


def almanac(when: datetime) -> Almanac:
    """The almanac for an aware datetime. Raises ValueError for one without a zone, EphemerisRangeError (a ValueError
    too) outside the ephemeris.
    """
    time_s = seconds_of(when)
    found = places_of(BODIES, np.full(len(BODIES), time_s))
    hp_arcmin, sd_arcmin = found.hp_arcmin, found.sd_arcmin
    rows = tuple(
        AlmanacRow(
            name,
            float(found.gha_deg[i]),
            float(found.dec_deg[i]),
            float(hp_arcmin[i]),
            float(sd_arcmin[i]),
            float(magnitude(name, time_s)),
        )
        for i, name in enumerate(BODIES)
    )
    note = timescale.prediction_note(time_s)
    return Almanac(when, float(gha_aries_deg(time_s)), rows, () if note is None else (note,))


def magnitude(body: str, gmt_s: ArrayLike) -> Floats:
    """Visual magnitude of a body (a canonical name) at `gmt_s`; shape of `gmt_s`.

    Stars: the catalogue's value. Planets: A. Mallama and J. Hilton, "Computing apparent planetary magnitudes for the
    Astronomical Almanac" (2018), as in skyfield.magnitudelib. Sun: -26.74 at 1 au and the inverse square of the
    distance. Moon: -12.73 + 0.026 a + 4e-9 a^4 with the phase angle a in degrees (K. Krisciunas and B. Schaefer, PASP
    103, 1033, 1991) and the inverse square of its distance. No extinction.
    Raises EphemerisRangeError outside the ephemeris (Sun, Moon and planets), KeyError for an unknown name.
    """
    time_s = np.asarray(gmt_s, dtype=np.float64)
    if body not in SOLAR_SYSTEM:
        return np.full(time_s.shape, star(body).magnitude)
    if time_s.size == 0:
        return np.zeros(time_s.shape)
    if body == "Sun":
        distance_au = places(body, time_s).distance_km / ephemeris.AU_KM
        return np.asarray(SUN_MAG_1AU + 5.0 * np.log10(distance_au))
    if body == "Moon":
        moon = places(body, time_s)
        phase_deg = _phase_angle_deg(moon, places("Sun", time_s))
        dimming = 0.026 * phase_deg + 4e-9 * phase_deg**4
        return np.asarray(-12.73 + dimming + 5.0 * np.log10(moon.distance_km / MOON_MEAN_DISTANCE_KM))
    return _planet_magnitude(body, time_s)


def _phase_angle_deg(body: Places, sun: Places) -> Floats:
    """The angle at the body between the Sun and the Earth, 0 when full."""
    dec_rad, sun_dec_rad = np.deg2rad(body.dec_deg), np.deg2rad(sun.dec_deg)
    cos_elongation = np.sin(dec_rad) * np.sin(sun_dec_rad) + np.cos(dec_rad) * np.cos(sun_dec_rad) * np.cos(
        np.deg2rad(body.gha_deg - sun.gha_deg)
    )
    cos_elongation = np.clip(cos_elongation, -1.0, 1.0)
    sin_elongation = np.sqrt(1.0 - cos_elongation**2)
    return np.asarray(
        np.rad2deg(np.arctan2(sun.distance_km * sin_elongation, body.distance_km - sun.distance_km * cos_elongation))
    )


def _planet_magnitude(body: str, time_s: Floats) -> Floats:
    # Imported here: no other part of a solution needs it.
    from skyfield.magnitudelib import planetary_magnitude

    ephemeris.check_range(float(time_s.min()), float(time_s.max()))
    whole, fraction = timescale.tt_jd(time_s.reshape(-1))
    kernel = ephemeris.kernel()
    earth_at = kernel[399].at(timescale.skyfield_timescale().tt_jd(whole, fraction))
    found = planetary_magnitude(earth_at.observe(kernel[ephemeris.CODES[body]]))
    return np.asarray(found, dtype=np.float64).reshape(time_s.shape)
