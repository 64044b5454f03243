"""Positions as navigators write and type them."""

from __future__ import annotations

import re
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from nightleg.units.angles import plain_signs, read_angle, rounded_units, split_minutes
from nightleg.units.errors import EntryError, quoted


class Position(NamedTuple):
    """Geodetic latitude and longitude in degrees, north and east positive."""

    lat: float
    lon: float


_FORM = "write it like 41 30.0 N 028 15.0 W, or in degrees like 41.5 -28.25"
_LETTER = re.compile(r"[NSEWnsew]")
_SIGN_AFTER_SPACE = re.compile(r"\s+(?=[+-])")


def read_latitude(text: str) -> float:
    """The latitude in `text`, degrees, north positive. Raises EntryError, also beyond 90°."""
    return read_angle(text, lowest_deg=-90.0, highest_deg=90.0, what="latitude", letters="NS")


def read_longitude(text: str) -> float:
    """The longitude in `text`, degrees, east positive; 180 is valid. Raises EntryError, also beyond 180°."""
    return read_angle(text, lowest_deg=-180.0, highest_deg=180.0, what="longitude", letters="EW")


def read_position(text: str) -> Position:
    """The position in `text`, latitude first: `41 30.0 N 028 15.0 W`, `N41 30 W028 15`, `4130N 02815W`, `41.5 -28.25`.

    Each half is read like an angle (`units.angles`). A comma may stand between the halves. Raises EntryError.
    """
    given = plain_signs(text)
    if not given:
        raise EntryError(f"the position is missing; {_FORM}")
    latitude, longitude = _halves_by_letter(text, given) if _LETTER.search(given) else _halves_by_sign(text, given)
    return Position(read_latitude(latitude), read_longitude(longitude))


def _halves_by_letter(text: str, given: str) -> tuple[str, str]:
    letters = list(_LETTER.finditer(given))
    kinds = "".join("a" if found[0] in "NSns" else "o" for found in letters)
    if kinds == "oa":
        raise EntryError(f"{quoted(text)}: latitude comes first; {_FORM}")
    if kinds == "a":
        raise EntryError(f"{quoted(text)} has no E or W for the longitude; {_FORM}")
    if kinds == "o":
        raise EntryError(f"{quoted(text)} has no N or S for the latitude; {_FORM}")
    if kinds != "ao":
        raise EntryError(f"{quoted(text)} does not have one N or S and one E or W; {_FORM}")
    first, second = letters
    cut = second.start() if first.start() == 0 else first.end()
    return given[:cut].rstrip(" ,;/"), given[cut:].lstrip(" ,;/")


def _halves_by_sign(text: str, given: str) -> tuple[str, str]:
    # A comma is the decimal sign only between two digits, and not where points are used too.
    separator = r"\s*[,;]\s*" if "." in given else r"\s*,\s+|,(?=[+-])|\s*;\s*"
    for splitter in (separator, _SIGN_AFTER_SPACE, r"\s+"):
        halves = re.split(splitter, given)
        if len(halves) == 2:
            return halves[0], halves[1]
    raise EntryError(f"{quoted(text)} cannot be split into latitude and longitude; {_FORM}")


def write_latitude(lat: float, places: int = 1) -> str:
    """`41°12.4′N`, rounded once. Raises ValueError for nan and beyond 90°."""
    if not abs(lat) <= 90.0:
        raise ValueError(f"{lat} is no latitude: it must be from -90 to 90")
    units = rounded_units(lat, 60 * 10**places)
    return split_minutes(units, places, 2) + ("S" if lat < 0.0 and units else "N")


def write_longitude(lon: float, places: int = 1) -> str:
    """`031°08.7′W`, rounded once; whole turns are taken off first. Raises ValueError for nan and inf."""
    lon = lon if abs(lon) <= 180.0 or lon != lon or abs(lon) == np.inf else float(normal_lon(lon))
    units = rounded_units(lon, 60 * 10**places)
    return split_minutes(units, places, 3) + ("W" if lon < 0.0 and units else "E")


def write_position(position: Position, places: int = 1) -> str:
    """`41°12.4′N 031°08.7′W`, with `places` decimals of the minute. Raises ValueError for nan and beyond 90°."""
    return f"{write_latitude(position.lat, places)} {write_longitude(position.lon, places)}"


def normal_lon(lon_deg: npt.ArrayLike) -> Any:
    """Longitudes (degrees, any shape) brought to −180…180; values already there, both ends among them, are kept."""
    lon = np.asarray(lon_deg, dtype=np.float64)
    return lon - 360.0 * np.rint(lon / 360.0)
