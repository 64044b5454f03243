"""The DR plots of a flight: one from the start and one from each adopted fix, with the legs' motions in each.

A leg's motion can depend on the plot: magnetic headings take the variation where the leg begins, and "fix:ID" takes a
wind that is known only once that fix is worked.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from nightleg.air.motion import LegMotion
from nightleg.air.reckoning import Reckoning
from nightleg.flight.grids import GREENWICH, constant, convergence
from nightleg.flight.legs import CALM, HeldLeg
from nightleg.flight.model import Wind, WindOfFix
from nightleg.flight.solution import Matrix
from nightleg.flight.turning import rounded

HIGHEST_RHUMB_DEG = 85.0


def plot_from(
    held: tuple[HeldLeg, ...],
    winds: Mapping[str, Wind],
    before: Reckoning | None,
    time_s: float,
    lat: float,
    lon: float,
    cov_nm2: Matrix,
    wind_sigma_kt: float,
) -> Reckoning:
    """A plot that begins at a known position. Legs begun before keep the motion they have in the plot `before`.

    Raises ValueError where a variation is wanted outside the years of the magnetic model.
    """
    legs: list[LegMotion] = []
    entry: float | None = None
    if before is not None:
        legs = [leg for leg in before.legs if leg.start_s < time_s]
        if before.leg(time_s).steering == "great_circle" and before.turning(time_s) is None:
            entry = (before.track(time_s) + _turned(held, before, time_s, lat, lon)) % 360.0
    for i in range(len(legs), len(held)):
        legs.append(_motion(held, i, winds, legs, entry, time_s, lat, lon, cov_nm2, wind_sigma_kt))
    if entry is not None and legs[_flown(legs, time_s)].start_s == time_s:
        entry = None  # a leg that begins with the plot sets out on its own track
    return Reckoning(tuple(legs), time_s, lat, lon, cov_nm2, wind_sigma_kt, entry)


def _turned(held: tuple[HeldLeg, ...], before: Reckoning, time_s: float, lat: float, lon: float) -> float:
    """By how much a true direction held changes from the DR to the place where a plot begins anew, degrees.

    Nothing, except where the grid is steered by, and beyond 85° of latitude, where a true direction means another one
    a few miles on: there it is the direction by the grid that stays.
    """
    leg = held[before.leg_index(time_s)]
    dr_lat, dr_lon = (float(x) for x in before.position(time_s))
    if leg.direction != "grid" and max(abs(lat), abs(dr_lat)) <= HIGHEST_RHUMB_DEG:
        return 0.0
    grid = leg.grid if leg.direction == "grid" else None
    turn = convergence(grid, lat, lon) - convergence(grid, dr_lat, dr_lon)
    return turn if math.isfinite(turn) else 0.0


def _motion(
    held: tuple[HeldLeg, ...],
    i: int,
    winds: Mapping[str, Wind],
    done: list[LegMotion],
    entry: float | None,
    time_s: float,
    lat: float,
    lon: float,
    cov_nm2: Matrix,
    wind_sigma_kt: float,
) -> LegMotion:
    leg = held[i]
    end_s = held[i + 1].start_s if i + 1 < len(held) else math.inf
    variation = turn = n = 0.0
    wind = _wind(leg, winds, done)
    if leg.needs_variation or leg.by_grid:
        at_lat, at_lon = lat, lon
        if done and leg.start_s > time_s:
            partial = Reckoning(tuple(done), time_s, lat, lon, cov_nm2, wind_sigma_kt, entry)
            there = partial.position(leg.start_s)
            at_lat, at_lon = float(there[0]), float(there[1])
        variation = leg.variation(at_lat, at_lon) if leg.needs_variation else 0.0
        turn = leg.convergence(at_lat, at_lon) if leg.by_grid else 0.0
        n = constant(leg.grid or GREENWICH, at_lat) if leg.by_grid else 0.0
        if wind.grid:
            wind = Wind(from_deg=(wind.from_deg + turn) % 360.0, kt=wind.kt)
    motion = leg.motion(end_s, wind, variation, turn, n)
    if leg.bank_deg > 0.0 and done:
        partial = Reckoning(tuple(done), time_s, lat, lon, cov_nm2, wind_sigma_kt, entry)
        return rounded(motion, leg.bank_deg, partial)
    return motion


def _wind(leg: HeldLeg, winds: Mapping[str, Wind], done: list[LegMotion]) -> Wind:
    """The wind of a leg; one not found (yet) leaves the wind of the leg before in force."""
    if isinstance(leg.wind, Wind):
        return leg.wind
    if leg.wind.fix in winds:
        return winds[leg.wind.fix]
    return Wind(from_deg=done[-1].wind_from_deg, kt=done[-1].wind_kt) if done else CALM


def _flown(legs: list[LegMotion], time_s: float) -> int:
    return max((i for i, leg in enumerate(legs) if leg.start_s <= time_s), default=0)


def unfound_winds(held: tuple[HeldLeg, ...], winds: Mapping[str, Wind]) -> tuple[str, ...]:
    """Warnings on legs that ask for the wind of a fix that gave none."""
    return tuple(
        f"leg {i}: fix {leg.wind.fix} found no wind; the wind before it is held on"
        for i, leg in enumerate(held, 1)
        if isinstance(leg.wind, WindOfFix) and leg.wind.fix not in winds and not _inherited(held, i - 1)
    )


def _inherited(held: tuple[HeldLeg, ...], i: int) -> bool:
    return i > 0 and held[i - 1].wind == held[i].wind
