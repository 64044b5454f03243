"""A landfall: aim off to one side of the destination, turn on its line of position, and run down that.

The aircraft flies to a point of the circle of equal altitude through the destination, so far to one side that the DR's
error along the line cannot reach over it. When Ho equals the altitude that the body has at the destination, the
aircraft is on the line, and it is known which way the destination lies. Made only when asked for.
"""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from functools import lru_cache

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from nightleg.air.motion import LegMotion
from nightleg.air.reckoning import Reckoning, last_plot
from nightleg.air.wind import heading_to_make, turn_from_to
from nightleg.earth.ellipsoid import A_NM
from nightleg.earth.local import between
from nightleg.flight.check_landfall import place_of
from nightleg.flight.landfall_words import cautions
from nightleg.flight.model import Flight, Landfall, Sight
from nightleg.flight.plots import HIGHEST_RHUMB_DEG
from nightleg.flight.shots import Kit, Shot, kit_of, observe, sky_of
from nightleg.flight.solution import Solution
from nightleg.sight.averaging import even_spread_min2
from nightleg.sight.chain import compute, preset_deg
from nightleg.sight.reduction import altitude_azimuth, circle_point
from nightleg.sky.places import places
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s, instant

BEYOND_SIGMAS = 2.5  # of the DR along the line: more than the two that the trade asks for
TABLE_STEP = timedelta(minutes=4)
TABLE_ROWS = 5  # to both sides of the expected time
SHOT_S = 120.0  # averaging that the presets are for
_HALF_LINE_NM = 75.0  # of the line drawn beyond turn and destination
_POINTS = 61


class PresetRow(Struct, frozen=True):
    """The body at the destination at a time, and what the instrument reads when the aircraft is on the line."""

    time: datetime
    hc: float
    zn: float
    preset: float


class Run(Struct, frozen=True):
    """One of the two runs: to the turn, and down the line."""

    track_deg: float
    heading_deg: float  # true
    gs_kt: float
    distance_nm: float
    end: datetime


class LandfallResult(Struct, frozen=True):
    """A landfall worked out. `to_turn` and what follows is None where no wind triangle leads there; see warnings."""

    id: str
    body: str
    name: str  # of the destination, as the file gives it
    destination: Position
    expected: datetime
    side: str
    begin: datetime  # when the heading to the turn is taken up
    dr: Position  # then
    hc: float  # at the destination when the line is reached
    zn: float
    line_deg: float  # direction of the line at the destination, from there toward the turn
    sigma_nm: float  # 1σ of the DR along the line then
    aim_off_nm: float
    turn: Position | None
    to_turn: Run | None
    turn_deg: float | None  # onto the line, right positive
    down: Run | None
    line: tuple[Position, ...]
    table: tuple[PresetRow, ...]
    warnings: tuple[str, ...] = ()


def landfalls(flight: Flight, solution: Solution) -> tuple[LandfallResult, ...]:
    """All landfalls of a solved flight, in the order of the file. Raises EphemerisRangeError."""
    return tuple(landfall(flight, solution, one) for one in flight.landfalls)


def landfall(flight: Flight, solution: Solution, wanted: Landfall) -> LandfallResult:
    """One landfall. Where it does not say when it begins, it does at the solution's now, or at the last plot before."""
    points = {point.name: point.position for point in flight.waypoints}
    begin_s, expected_s = gmt_s(wanted.begin or solution.now), gmt_s(wanted.time)
    plot = last_plot(solution.plots, min(begin_s, expected_s), before=begin_s >= expected_s)
    passed = begin_s >= expected_s
    if passed:
        begin_s = plot.time_s
    return _worked(kit_of(flight), wanted, place_of(wanted.destination, points), plot, begin_s, passed)


class Aim(Struct, frozen=True):
    """The line and the turn for a time at which the line is reached."""

    hc: float
    zn: float
    line_deg: float
    sigma_nm: float
    aim_off_nm: float
    turn: Position
    line: tuple[Position, ...]


@lru_cache(maxsize=64)
def _worked(
    kit: Kit, wanted: Landfall, there: Position, plot: Reckoning, begin_s: float, passed: bool
) -> LandfallResult:
    leg, (lat, lon) = plot.leg(begin_s), (float(x) for x in plot.position(begin_s))
    dr, steering = Position(lat, lon), leg.steering
    _, course_deg = _way(dr, there, steering)
    time_s = gmt_s(wanted.time)
    aim = _aim(wanted, there, plot, course_deg, time_s)
    to_turn: Run | None = None
    for _ in range(20):
        to_turn = _run(dr, aim.turn, leg, begin_s)
        if to_turn is None:
            break
        reached_s = gmt_s(to_turn.end)
        settled = abs(reached_s - time_s) < 1e-3
        time_s = reached_s
        aim = _aim(wanted, there, plot, course_deg, time_s)
        if settled:
            break
    to_turn = _run(dr, aim.turn, leg, begin_s) if to_turn else None
    down = _run(aim.turn, there, leg, time_s) if to_turn else None
    return LandfallResult(
        id=wanted.id,
        body=wanted.body,
        name=wanted.destination,
        destination=there,
        expected=wanted.time,
        side=wanted.side,
        begin=instant(begin_s),
        dr=dr,
        hc=aim.hc,
        zn=aim.zn,
        line_deg=aim.line_deg,
        sigma_nm=aim.sigma_nm,
        aim_off_nm=aim.aim_off_nm,
        turn=aim.turn if to_turn else None,
        to_turn=to_turn,
        turn_deg=float(turn_from_to(to_turn.track_deg, down.track_deg)) if to_turn and down else None,
        down=down,
        line=aim.line,
        table=_table(kit, wanted, there, leg, aim.turn, to_turn and replace(to_turn, track_deg=_arrival(dr, aim, leg))),
        warnings=cautions(kit, wanted, there, leg.altitude_ft, aim, course_deg, to_turn, passed),
    )


def _aim(wanted: Landfall, there: Position, plot: Reckoning, course_deg: float, time_s: float) -> Aim:
    """The line through the destination at a time, and the place to aim for on it."""
    place = places(wanted.body, time_s)
    gha, dec = float(place.gha_deg), float(place.dec_deg)
    hc, zn = (float(x) for x in altitude_azimuth(*there, gha, dec))
    # of the two directions of the line, the one that lies on the side wanted of the way to the destination
    right = math.sin(math.radians(zn + 90.0 - course_deg)) >= 0.0
    line_deg = (zn + 90.0 if right == (wanted.side == "right") else zn - 90.0) % 360.0
    u = np.array([math.cos(math.radians(line_deg)), math.sin(math.radians(line_deg))])
    sigma_nm = math.sqrt(float(u @ plot.covariance(time_s) @ u))
    beyond_nm = float(math.ceil(BEYOND_SIGMAS * sigma_nm + 1e-9))
    aim_off_nm = beyond_nm if wanted.aim_off_nm is None else wanted.aim_off_nm
    radius_nm = max(A_NM * math.cos(math.radians(hc)), 1e-6)
    _, from_body = altitude_azimuth(dec, -gha, -there.lon, there.lat)
    along_nm = np.linspace(-_HALF_LINE_NM, aim_off_nm + _HALF_LINE_NM, _POINTS)
    along_nm = np.append(along_nm, aim_off_nm)
    reach_deg = np.clip(np.degrees(along_nm / radius_nm), -180.0, 180.0)
    clockwise = _on_side(gha, dec, hc, float(from_body), there, line_deg)
    lats, lons = circle_point(gha, dec, hc, float(from_body) + clockwise * reach_deg)
    places_on = tuple(Position(float(a), float(b)) for a, b in zip(lats, lons, strict=True))
    return Aim(hc, zn, line_deg, sigma_nm, aim_off_nm, places_on[-1], places_on[:-1])


def _on_side(gha: float, dec: float, hc: float, from_body: float, there: Position, line_deg: float) -> float:
    """1 where the bearing from the body rises along the line in a direction, else -1."""
    lat, lon = circle_point(gha, dec, hc, from_body + 0.1)
    north, east = between(*there, lat, lon)
    a = math.radians(line_deg)
    return 1.0 if float(north) * math.cos(a) + float(east) * math.sin(a) >= 0.0 else -1.0


def _way(start: Position, end: Position, steering: str) -> tuple[float, float]:
    """Distance and first track, by the kind of path that is steered; near a pole by the great circle."""
    if steering == "rhumb" and max(abs(start.lat), abs(end.lat)) <= HIGHEST_RHUMB_DEG:
        from nightleg.earth.rhumb import rhumb_inverse

        distance, track = rhumb_inverse(*start, *end)
    else:
        from nightleg.earth.geodesic import inverse

        distance, track, _ = inverse(*start, *end)
    return float(distance), float(track) % 360.0


def _arrival(dr: Position, aim: Aim, leg: LegMotion) -> float:
    """The track on which the turn is reached."""
    _, back_deg = _way(aim.turn, dr, leg.steering)
    return (back_deg + 180.0) % 360.0


def _run(start: Position, end: Position, leg: LegMotion, begin_s: float) -> Run | None:
    """The run from one place to another at the leg's TAS in its wind; None where the wind is too strong."""
    distance_nm, track_deg = _way(start, end, leg.steering)
    heading_deg, gs_kt = heading_to_make(track_deg, leg.tas_kt, leg.wind_from_deg, leg.wind_kt)
    if not (math.isfinite(gs_kt) and gs_kt > 1.0 and distance_nm / gs_kt < 24.0):
        return None
    end_time = instant(begin_s + distance_nm / float(gs_kt) * 3600.0)
    return Run(track_deg, float(heading_deg), float(gs_kt), distance_nm, end_time)


def _table(
    kit: Kit, wanted: Landfall, there: Position, leg: LegMotion, turn: Position, to_turn: Run | None
) -> tuple[PresetRow, ...]:
    """Altitudes at the destination about the expected time, with the readings for one on the way to the turn."""
    times = [wanted.time + k * TABLE_STEP for k in range(-TABLE_ROWS, TABLE_ROWS + 1)]
    sight = Sight(id=wanted.id, body=wanted.body, time=wanted.time, hs=0.0, limb=wanted.limb)
    shots = [Shot(sight, time, gmt_s(time), 0.0, even_spread_min2(SHOT_S)) for time in times]
    track_deg, gs_kt = (to_turn.track_deg, to_turn.gs_kt) if to_turn else (leg.track_deg, leg.gs_kt)
    motion = LegMotion(
        gmt_s(times[0]),
        math.inf,
        to_turn.heading_deg if to_turn else leg.heading_deg,
        leg.tas_kt,
        leg.wind_from_deg,
        leg.wind_kt,
        track_deg,
        gs_kt,
        leg.altitude_ft,
        leg.temperature_c,
        "rhumb" if leg.steering == "rhumb" and abs(there.lat) <= HIGHEST_RHUMB_DEG else "great_circle",
    )
    sky = sky_of(shots)
    flown = Reckoning((motion,), gmt_s(wanted.time), turn.lat, turn.lon, ((0.0, 0.0), (0.0, 0.0)), 0.0)
    obs = observe(kit.sextant, shots, sky, flown)
    obs = replace(obs, track_deg=np.full(len(shots), track_deg))
    at = compute(obs, there.lat, there.lon)
    readings = preset_deg(obs, at, there.lat, table=kit.sextant.table)
    presets = np.broadcast_to(readings, len(times)).tolist()
    rows = zip(times, at.hc_deg.tolist(), at.zn_deg.tolist(), presets, strict=True)
    return tuple(PresetRow(*row) for row in rows)
