"""Where the bodies stand at an instant, for choosing one: those that are up first. No Qt here."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from nightleg.air.reckoning import Reckoning
from nightleg.flight.reduce import SUN_CAUTION
from nightleg.sight.reduction import altitude_azimuth
from nightleg.sky.almanac import magnitude
from nightleg.sky.catalogue import BODIES, SOLAR_SYSTEM
from nightleg.sky.places import Places, places_of
from nightleg.units.angles import MINUS, write_bearing

NEAR_SUN_DEG = 20.0
"""A body nearer to the Sun than this is not looked for by day without a caution."""

_DAY_S = 86400.0


class Standing(NamedTuple):
    """A body at an instant, seen from a place: `hc_deg` above the horizontal, `zn_deg` true."""

    name: str
    hc_deg: float
    zn_deg: float
    magnitude: float
    from_sun_deg: float

    @property
    def up(self) -> bool:
        """Whether it stands above the horizontal, where a reading can be corrected."""
        return self.hc_deg >= 0.0


@lru_cache(maxsize=16)
def standings(plot: Reckoning, time_s: float) -> tuple[Standing, ...]:
    """All named bodies at the DR of an instant of GMT: those that are up first, then in the order of the almanac.

    Raises EphemerisRangeError outside the ephemeris.
    """
    lat, lon = (float(part) for part in plot.position(time_s))
    found = places_of(BODIES, np.full(len(BODIES), time_s))
    hc, zn = altitude_azimuth(lat, lon, found.gha_deg, found.dec_deg)
    off = _from_sun_deg(found, BODIES.index("Sun"))
    day = int(time_s // _DAY_S)
    made = [
        Standing(name, float(hc[i]), float(zn[i]), _magnitude(name, day), float(off[i]))
        for i, name in enumerate(BODIES)
    ]
    return tuple(sorted(made, key=lambda body: not body.up))


def _from_sun_deg(found: Places, sun: int) -> NDArray[np.float64]:
    """Angle of each place from that of the Sun, the `sun`-th."""
    dec, gha = np.radians(found.dec_deg), np.radians(found.gha_deg)
    each = np.stack([np.cos(dec) * np.cos(gha), np.cos(dec) * np.sin(gha), np.sin(dec)], axis=1)
    away = np.linalg.norm(np.cross(each, each[sun]), axis=1)
    return np.asarray(np.degrees(np.arctan2(away, each @ each[sun])))


@lru_cache(maxsize=1024)
def _magnitude(name: str, day: int) -> float:
    """Visual magnitude at noon; it changes by less than is shown in a day, save the Moon's."""
    return float(magnitude(name, (day + 0.5) * _DAY_S))


def fitting(bodies: tuple[Standing, ...], text: str) -> list[Standing]:
    """Bodies whose names hold `text`: up before down, and those that begin with it first."""
    wanted = _plain(text)
    found = [body for body in bodies if wanted in _plain(body.name)]
    return sorted(found, key=lambda body: (not body.up, not _plain(body.name).startswith(wanted)))


def _plain(text: str) -> str:
    return "".join(sign for sign in text.casefold() if sign.isalnum())


def altitude(body: Standing) -> str:
    """Altitude as the list shows it, `41°`."""
    return f"{body.hc_deg:.0f}°"


def stands(body: Standing) -> str:
    """Where it stands, as the list shows it after the altitude: `Zn 311°`, or that it is down."""
    return f"Zn {write_bearing(body.zn_deg)}" if body.up else "below the horizon"


def brightness(body: Standing) -> str:
    """Magnitude as the list shows it; the Sun and the Moon need none."""
    return "" if body.name in SOLAR_SYSTEM[:2] else f"mag {body.magnitude:.1f}".replace("-", MINUS)


def spoken(body: Standing) -> str:
    """The row of the list as a screen reader says it."""
    if not body.up:
        return f"{body.name}, below the horizon"
    bright = brightness(body).replace("mag", "magnitude")
    place = f"altitude {body.hc_deg:.0f} degrees, azimuth {round(body.zn_deg) % 360:03d}"
    return ", ".join(part for part in (body.name, place, bright) if part)


def day_limit_deg(altitude_ft: float) -> float:
    """The Sun's altitude below which it is under the horizon, seen from a height, degrees.

    −50′ − 2.12′·√(height in metres): semidiameter, refraction and the dip of the horizon (The Nautical Almanac).
    """
    return -(50.0 + 2.12 * float(np.sqrt(max(altitude_ft, 0.0) * 0.3048))) / 60.0


@lru_cache(maxsize=64)
def sun_caution(name: str | None, plot: Reckoning, time_s: float) -> str:
    """The caution that a chosen body calls for: the Sun always, another near it by day. Empty where there is none."""
    if name == "Sun":
        return f"{SUN_CAUTION}."
    if name is None:
        return ""
    lat, lon = (float(part) for part in plot.position(time_s))
    found = places_of((name, "Sun"), np.array([time_s, time_s]))
    hc, _ = altitude_azimuth(lat, lon, found.gha_deg, found.dec_deg)
    off_deg = float(_from_sun_deg(found, 1)[0])
    if off_deg >= NEAR_SUN_DEG or float(hc[1]) < day_limit_deg(plot.leg(time_s).altitude_ft):
        return ""
    return f"{name} stands {off_deg:.0f}° from the Sun: keep the Sun out of the field; filters ready before looking."
