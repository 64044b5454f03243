"""How the aircraft moves on each leg: heading, true airspeed and wind made into track and ground speed.

Directions in degrees true, speeds in knots, drift positive to the right. Plain scalars: a flight has a few dozen legs,
and the arrays are in `air.reckoning`.
"""

from __future__ import annotations

import math
from typing import Literal

from msgspec import Struct

from nightleg.air.turn import Turn

Steering = Literal["rhumb", "great_circle"]


class LegMotion(Struct, frozen=True):
    """What is held on one leg, from `start_s` to `end_s` (gmt_s). On a great circle the angles are those at the start.

    `track_deg` and `drift_deg` are 0 at ground speed 0, where `gs_kt` tells that they have no meaning.
    """

    start_s: float
    end_s: float
    heading_deg: float
    tas_kt: float
    wind_from_deg: float
    wind_kt: float
    track_deg: float
    gs_kt: float
    altitude_ft: float
    temperature_c: float | None
    steering: Steering
    grid_n: float = 0.0  # of the grid that is steered by: how fast the true direction held turns with the longitude
    turn: Turn | None = None  # from the heading before, at its beginning; None: the corner is sharp

    @property
    def drift_deg(self) -> float:
        """Track less heading, -180 to 180, right positive."""
        return (self.track_deg - self.heading_deg + 180.0) % 360.0 - 180.0


# Below this a ground speed is rounding of two equal and opposite vectors, and the track has no meaning.
_STANDSTILL_KT = 1e-9


def vector(direction_deg: float, speed_kt: float) -> tuple[float, float]:
    """North and east components, kt, of a motion toward `direction_deg`."""
    a = math.radians(direction_deg)
    return speed_kt * math.cos(a), speed_kt * math.sin(a)


def polar(north_kt: float, east_kt: float) -> tuple[float, float]:
    """Direction toward (0 up to 360) and speed of a vector; direction 0 for none."""
    speed = math.hypot(north_kt, east_kt)
    if speed < _STANDSTILL_KT:
        return 0.0, 0.0
    direction = math.degrees(math.atan2(east_kt, north_kt)) % 360.0
    return (0.0 if direction >= 360.0 else direction), speed


def wind_vector(from_deg: float, kt: float) -> tuple[float, float]:
    """North and east components, kt, of the air's motion for a wind named by where it comes from."""
    north, east = vector(from_deg, kt)
    return -north, -east


def wind_named(north_kt: float, east_kt: float) -> tuple[float, float]:
    """Where a wind comes from and its speed, from the components of the air's motion."""
    return polar(-north_kt, -east_kt)


def fly_heading(heading_deg: float, tas_kt: float, wind_from_deg: float, wind_kt: float) -> tuple[float, float]:
    """Track and ground speed made good: air vector plus wind vector."""
    an, ae = vector(heading_deg, tas_kt)
    wn, we = wind_vector(wind_from_deg, wind_kt)
    return polar(an + wn, ae + we)


def air_vector_of_track(track_deg: float, gs_kt: float, wind_from_deg: float, wind_kt: float) -> tuple[float, float]:
    """Heading and true airspeed that make a track and ground speed good in a wind."""
    gn, ge = vector(track_deg, gs_kt)
    wn, we = wind_vector(wind_from_deg, wind_kt)
    return polar(gn - wn, ge - we)


def in_wind(leg: LegMotion, north_kt: float, east_kt: float) -> LegMotion:
    """The same heading and airspeed flown in another wind, given by the components of the air's motion."""
    an, ae = vector(leg.heading_deg, leg.tas_kt)
    track, gs = polar(an + north_kt, ae + east_kt)
    wind_from, wind_kt = wind_named(north_kt, east_kt)
    return LegMotion(
        leg.start_s,
        leg.end_s,
        leg.heading_deg,
        leg.tas_kt,
        wind_from,
        wind_kt,
        track,
        gs,
        leg.altitude_ft,
        leg.temperature_c,
        leg.steering,
        leg.grid_n,
        leg.turn,
    )
