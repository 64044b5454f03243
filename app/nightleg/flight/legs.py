"""Legs with everything that they inherit, and the motion that each comes to.

A leg key left out is held from the leg before. Direction is given in one form (true, magnetic or compass heading, or a
track with its ground speed), speed in one form (TAS, CAS or Mach number); a form given anew replaces the one before.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from nightleg.air.motion import LegMotion, Steering, air_vector_of_track, fly_heading
from nightleg.air.speeds import tas_from_cas, tas_from_mach
from nightleg.earth.magnetic import variation_deg
from nightleg.flight.grids import convergence
from nightleg.flight.model import Flight, Grid, Leg, Wind, WindOfFix
from nightleg.units.times import gmt_s, instant

Direction = Literal["true", "magnetic", "compass", "grid", "track"]
Speed = Literal["tas", "cas", "mach", "gs"]

CALM = Wind(from_deg=0.0, kt=0.0)


class HeldLeg(Struct, frozen=True):
    """One leg with nothing left out. `speed_value` is in kt, or the Mach number, by the form it was given in."""

    start_s: float
    direction: Direction
    direction_deg: float
    deviation_deg: float
    speed: Speed
    speed_value: float
    wind: Wind | WindOfFix
    altitude_ft: float
    temperature_c: float | None
    steering: Steering
    bank_deg: float = 0.0  # of the turn onto it; 0: the corner is sharp
    grid: Grid | None = None  # by which a grid heading or wind is counted; None: the polar chart of Greenwich

    @property
    def by_grid(self) -> bool:
        """Whether its heading or its wind is given by the grid, and so depends on where the leg begins."""
        return self.direction == "grid" or (isinstance(self.wind, Wind) and self.wind.grid)

    @property
    def needs_variation(self) -> bool:
        """Whether its true heading depends on where the leg begins."""
        return self.direction in ("magnetic", "compass")

    def motion(
        self, end_s: float, wind: Wind, variation: float, convergence_deg: float = 0.0, n: float = 0.0
    ) -> LegMotion:
        """The motion held, in a known true wind, with the variation and the convergence at the leg's start.

        Degrees, east positive; the convergence is true less grid, `n` the constant of the grid there.
        """
        if self.direction == "track":
            track_deg, gs_kt = self.direction_deg % 360.0, self.speed_value
            heading_deg, tas_kt = air_vector_of_track(track_deg, gs_kt, wind.from_deg, wind.kt)
        else:
            heading_deg = self.direction_deg
            if self.direction == "magnetic":
                heading_deg += variation
            elif self.direction == "compass":
                heading_deg += self.deviation_deg + variation
            elif self.direction == "grid":
                heading_deg += convergence_deg
            heading_deg %= 360.0
            tas_kt = self.tas_kt()
            track_deg, gs_kt = fly_heading(heading_deg, tas_kt, wind.from_deg, wind.kt)
        return LegMotion(
            start_s=self.start_s,
            end_s=end_s,
            heading_deg=heading_deg,
            tas_kt=tas_kt,
            wind_from_deg=wind.from_deg,
            wind_kt=wind.kt,
            track_deg=track_deg,
            gs_kt=gs_kt,
            altitude_ft=self.altitude_ft,
            temperature_c=self.temperature_c,
            steering=self.steering,
            grid_n=n if self.direction == "grid" and self.steering == "great_circle" else 0.0,
        )

    def tas_kt(self) -> float:
        """True airspeed by the form it was given in; a CAS or Mach number held through a climb gives another TAS."""
        if self.speed == "cas":
            return float(tas_from_cas(self.speed_value, self.altitude_ft, self.temperature_c))
        if self.speed == "mach":
            return float(tas_from_mach(self.speed_value, self.altitude_ft, self.temperature_c))
        return self.speed_value

    def convergence(self, lat: float, lon: float) -> float:
        """True less grid direction at the leg's start, degrees."""
        return convergence(self.grid, lat, lon)

    def variation(self, lat: float, lon: float) -> float:
        """Magnetic variation at the leg's start, degrees, east positive. Raises ValueError outside the model."""
        return float(variation_deg(lat, lon, self.altitude_ft, instant(self.start_s)))


def held_legs(flight: Flight) -> tuple[HeldLeg, ...]:
    """All legs of a checked flight, each complete."""
    held: list[HeldLeg] = []
    for leg in flight.legs:
        held.append(_complete(leg, held[-1] if held else None, flight.grid))
    return tuple(held)


def leg_warnings(flight: Flight) -> tuple[str, ...]:
    """What the legs leave open, and how it is taken."""
    said = []
    first = flight.legs[0]
    if first.altitude_ft is None:
        said.append("leg 1 gives no altitude: sea level is taken")
    if first.wind is None and first.track_deg is None:
        said.append("leg 1 gives no wind: calm is taken")
    altitude_ft, temperature_given = first.altitude_ft, first.temperature_c is not None
    for number, leg in enumerate(flight.legs[1:], 2):
        temperature_given = temperature_given or leg.temperature_c is not None
        climbs = leg.altitude_ft is not None and leg.altitude_ft != altitude_ft
        if climbs and leg.temperature_c is None and temperature_given:
            said.append(f"leg {number} changes altitude and gives no temperature: that of the leg before is held")
        altitude_ft = leg.altitude_ft if leg.altitude_ft is not None else altitude_ft
    by_grid = any(leg.heading_grid_deg is not None for leg in flight.legs)
    for number, held in enumerate(held_legs(flight) if by_grid else (), 1):
        if held.direction == "grid" and held.steering == "rhumb":
            said.append(
                f"leg {number} holds a grid heading and is steered as a rhumb line: its true heading is that of its "
                'beginning; a gyro that keeps the grid flies nearly a great circle: steering = "great_circle"'
            )
    return tuple(said)


def _complete(leg: Leg, before: HeldLeg | None, grid: Grid | None) -> HeldLeg:
    altitude_ft = _first(leg.altitude_ft, before.altitude_ft if before else None, 0.0)
    temperature_c = leg.temperature_c
    if temperature_c is None and before is not None:
        temperature_c = before.temperature_c
    direction, direction_deg, deviation_deg = _direction(leg, before)
    speed, speed_value = _speed(leg, before)
    return HeldLeg(
        start_s=gmt_s(leg.time),
        direction=direction,
        direction_deg=direction_deg,
        deviation_deg=deviation_deg,
        speed=speed,
        speed_value=speed_value,
        wind=leg.wind or (before.wind if before else CALM),
        altitude_ft=altitude_ft,
        temperature_c=temperature_c,
        steering=leg.steering or (before.steering if before else "rhumb"),
        bank_deg=_first(leg.bank_deg, before.bank_deg if before else None, 0.0),
        grid=grid,
    )


def _direction(leg: Leg, before: HeldLeg | None) -> tuple[Direction, float, float]:
    deviation_deg = _first(leg.deviation_deg, before.deviation_deg if before else None, 0.0)
    given: list[tuple[Direction, float | None]] = [
        ("true", leg.heading_deg),
        ("magnetic", leg.heading_magnetic_deg),
        ("compass", leg.heading_compass_deg),
        ("grid", leg.heading_grid_deg),
        ("track", leg.track_deg),
    ]
    for form, value in given:
        if value is not None:
            return form, value, deviation_deg
    if before is None:
        raise ValueError("the first leg gives no heading and no track")
    return before.direction, before.direction_deg, deviation_deg


def _speed(leg: Leg, before: HeldLeg | None) -> tuple[Speed, float]:
    given: list[tuple[Speed, float | None]] = [
        ("gs", leg.gs_kt),
        ("tas", leg.tas_kt),
        ("cas", leg.cas_kt),
        ("mach", leg.mach),
    ]
    for form, value in given:
        if value is not None:
            return form, value
    if before is None:
        raise ValueError("the first leg gives no speed")
    return before.speed, before.speed_value


def _first(*values: float | None) -> float:
    return next(value for value in values if value is not None)
