"""The wind triangle: air vector (true heading, TAS) + wind = ground vector (true track, ground speed).

Degrees true and knots, any shapes that broadcast. A wind is named by where it comes from. Drift is positive to the
right. Directions come out from 0 up to 360.
"""

from __future__ import annotations

import math
import re
from typing import Any

import numpy as np
import numpy.typing as npt

from nightleg.units.errors import EntryError, quoted

_STILL_KT = 1e-9  # a speed below this is none: what rounding leaves of equal and opposite vectors
_WIND = re.compile(r"([0-9]{1,3}(?:[.,][0-9]+)?)\s*°?\s*/\s*([0-9]{1,4}(?:[.,][0-9]+)?)\s*(?:kt|kts)?", re.IGNORECASE)
_FORM = "write direction from and knots like 310/45"


def ground(
    heading_deg: npt.ArrayLike, tas_kt: npt.ArrayLike, wind_from_deg: npt.ArrayLike, wind_kt: npt.ArrayLike
) -> tuple[Any, Any, Any]:
    """Track, ground speed and drift: (track_deg, gs_kt, drift_deg); at ground speed 0 track and drift are nan."""
    north, east = _vector(heading_deg, tas_kt)
    wind_north, wind_east = _vector(wind_from_deg, wind_kt)
    track, gs = _polar(north - wind_north, east - wind_east)
    return track, gs, turn_from_to(heading_deg, track)


def wind_between(
    heading_deg: npt.ArrayLike, tas_kt: npt.ArrayLike, track_deg: npt.ArrayLike, gs_kt: npt.ArrayLike
) -> tuple[Any, Any]:
    """The wind that makes this track and ground speed of this heading and TAS: (from_deg, kt). Calm is (0, 0)."""
    north, east = _vector(heading_deg, tas_kt)
    ground_north, ground_east = _vector(track_deg, gs_kt)
    from_deg, kt = _polar(north - ground_north, east - ground_east)
    return np.where(kt == 0.0, 0.0, from_deg)[()], kt


def air(
    track_deg: npt.ArrayLike, gs_kt: npt.ArrayLike, wind_from_deg: npt.ArrayLike, wind_kt: npt.ArrayLike
) -> tuple[Any, Any]:
    """Heading and TAS that must have been held for this track and ground speed: (heading_deg, tas_kt).

    At TAS 0 the heading is nan.
    """
    north, east = _vector(track_deg, gs_kt)
    wind_north, wind_east = _vector(wind_from_deg, wind_kt)
    return _polar(north + wind_north, east + wind_east)


@np.errstate(invalid="ignore", divide="ignore")  # what cannot be made comes out as nan, quietly
def heading_to_make(
    track_deg: npt.ArrayLike, tas_kt: npt.ArrayLike, wind_from_deg: npt.ArrayLike, wind_kt: npt.ArrayLike
) -> tuple[Any, Any]:
    """Heading to steer for a track, and the ground speed made: (heading_deg, gs_kt).

    nan where the wind is too strong to make the track at all.
    """
    track, tas, kt = (np.asarray(v, dtype=np.float64) for v in (track_deg, tas_kt, wind_kt))
    off = np.radians(np.asarray(wind_from_deg, dtype=np.float64) - track)
    into_wind = np.arcsin(kt * np.sin(off) / tas)
    gs = tas * np.cos(into_wind) - kt * np.cos(off)
    gs = np.where(gs > _STILL_KT, gs, np.nan)[()]
    heading = np.where(np.isnan(gs), np.nan, track + np.degrees(into_wind)) % 360.0
    return np.where(heading == 360.0, 0.0, heading)[()], gs


def turn_from_to(from_deg: npt.ArrayLike, to_deg: npt.ArrayLike) -> Any:
    """The turn from one direction to another, −180 to 180, right positive (any shapes that broadcast)."""
    turn = np.asarray(to_deg, dtype=np.float64) - np.asarray(from_deg, dtype=np.float64)
    return turn - 360.0 * np.rint(turn / 360.0)


def write_wind(from_deg: float, kt: float) -> str:
    """A wind as `310/45`, whole degrees and knots.

    As in weather reports (WMO FM 15), a wind from north is 360 and calm is `000/0`. Raises ValueError for nan, inf and
    a negative speed.
    """
    if not (math.isfinite(from_deg) and math.isfinite(kt) and kt >= 0.0):
        raise ValueError(f"a wind from {from_deg} at {kt} kt cannot be written")
    speed = math.floor(kt + 0.5)
    direction = math.floor(from_deg % 360.0 + 0.5) % 360 or 360
    return f"{direction:03d}/{speed}" if speed else "000/0"


def read_wind(text: str) -> tuple[float, float]:
    """The wind written in `text`, `310/45` or with decimals: (from_deg, kt), direction 0 to 360. Raises EntryError."""
    match = _WIND.fullmatch(text.strip())
    if match is None:
        raise EntryError(f"{quoted(text)} is not a wind; {_FORM}")
    from_deg, kt = (float(part.replace(",", ".")) for part in match.groups())
    if from_deg > 360.0:
        raise EntryError(f"{quoted(text)} comes from {from_deg:g}°; directions run from 0 to 360; {_FORM}")
    return from_deg, kt


def _vector(direction_deg: npt.ArrayLike, kt: npt.ArrayLike) -> tuple[Any, Any]:
    direction = np.radians(np.asarray(direction_deg, dtype=np.float64))
    speed = np.asarray(kt, dtype=np.float64)
    return speed * np.cos(direction), speed * np.sin(direction)


def _polar(north: Any, east: Any) -> tuple[Any, Any]:
    """Direction (nan where there is no speed) and speed of a vector."""
    speed = np.hypot(north, east)
    still = speed < _STILL_KT
    direction = np.degrees(np.arctan2(east, north)) % 360.0
    direction = np.where(direction == 360.0, 0.0, direction)
    return np.where(still, np.nan, direction)[()], np.where(still, 0.0, speed)[()]
