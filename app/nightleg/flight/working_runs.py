"""Workings of the runs of a DR: time, distance, and the latitude and longitude that each leads to.

Along a rhumb line these are the sailings of the trade with lengths on WGS 84: latitude by the meridian's arc, longitude
by the parallel of the middle latitude where that serves, else by meridional parts. A great circle is a geodesic.
"""

from __future__ import annotations

import math

import numpy as np

from nightleg.air.reckoning import Reckoning
from nightleg.earth.conformal import isometric_latitude, wrap_deg
from nightleg.earth.ellipsoid import meridian_radius_nm, normal_radius_nm
from nightleg.earth.local import between
from nightleg.flight.working_leg import Inputs, held_inputs
from nightleg.flight.working_step import Step
from nightleg.units.angles import MINUS, write_bearing
from nightleg.units.positions import Position, write_latitude, write_longitude, write_position
from nightleg.units.times import instant, write_clock

_MINUTE_RAD = math.radians(1.0 / 60.0)
_NEAR_ARCMIN = 0.05  # the middle latitude serves where it gives the longitude as near as that is shown

RHUMB = "rhumb line on WGS 84; sailings as in NGA Pub. 9"
GEODESIC = "great circle as the geodesic on WGS 84: C. F. F. Karney, 2013"


def run_steps(plot: Reckoning, time_s: float) -> tuple[Step, ...]:
    """The runs from the beginning of the plot to an instant; where there are several, their sum."""
    steps: list[Step] = []
    runs = _parts(plot, time_s)
    for number, (begin, end, is_turn) in enumerate(runs, 1):
        steps += [_arc(plot, begin, end)] if is_turn else _run(plot, begin, end, told=number == len(runs))
    if len(runs) > 1:
        steps.append(Step("time flown", _minutes(time_s - plot.time_s), "the runs together"))
        steps.append(Step("distance flown", f"{plot.run_nm(time_s):.1f} NM", "the runs together, along the track"))
    return tuple(steps)


def _parts(plot: Reckoning, time_s: float) -> list[tuple[float, float, bool]]:
    """Beginning and end of each run, and whether it is a turn."""
    found = []
    for i, leg in enumerate(plot.legs):
        begin = plot.time_s if i == 0 else max(plot.time_s, leg.start_s)
        end = time_s if i + 1 == len(plot.legs) else min(time_s, plot.legs[i + 1].start_s)
        rolled_s = leg.start_s + leg.turn.duration_s if leg.turn is not None else begin
        if leg.turn is not None and begin < min(rolled_s, end):
            found.append((begin, min(rolled_s, end), True))
            begin = min(rolled_s, end)
        if end > begin:
            found.append((begin, end, False))
    return found


def _run(plot: Reckoning, begin: float, end: float, told: bool) -> list[Step]:
    """One run with its latitude and longitude; what it holds goes in where it is not the leg of now (`told`)."""
    leg = plot.leg(begin)
    distance_nm = leg.gs_kt * (end - begin) / 3600.0
    held = () if told else held_inputs(plot, begin)
    speed = (("ground speed", f"{leg.gs_kt:.1f} kt"), ("time flown", _minutes(end - begin)))
    name = f"run {_clock(begin)} to {_clock(end)}"
    if leg.gs_kt == 0.0:
        return [Step(name, "none", "the ground speed is 0", (*held, *speed), "wind triangle")]
    track_deg = plot.track(begin)
    path = "rhumb line" if leg.steering == "rhumb" else "great circle"
    value = f"{distance_nm:.1f} NM on {write_bearing(track_deg, 1)}"
    steps = [Step(name, value, f"ground speed·time, along a {path}", (*held, *speed), "WGS 84")]
    lats, lons = plot.position(np.array([begin, end]))
    if not np.all(np.isfinite([*lats, *lons])):
        return steps
    here, there = (Position(float(lat), float(lon)) for lat, lon in zip(lats, lons, strict=True))
    laid = _rhumb if leg.steering == "rhumb" else _great_circle
    return [*steps, *laid(here, there, track_deg, distance_nm, _clock(end))]


def _rhumb(here: Position, there: Position, track_deg: float, distance_nm: float, clock: str) -> tuple[Step, Step]:
    given = (("distance", f"{distance_nm:.2f} NM"), ("track", _fine(track_deg)))
    middle_deg = (here.lat + there.lat) / 2.0
    minute_nm = float(meridian_radius_nm(middle_deg)) * _MINUTE_RAD
    latitude = Step(
        f"latitude at {clock}",
        write_latitude(there.lat),
        "from latitude + distance·cos TC/length of 1′ of the meridian at the middle latitude",
        (("from latitude", write_latitude(here.lat)), *given, ("1′ of the meridian", f"{minute_nm:.4f} NM")),
        RHUMB,
    )
    whence = ("from longitude", write_longitude(here.lon))
    across_nm = float(normal_radius_nm(middle_deg)) * math.cos(math.radians(middle_deg)) * _MINUTE_RAD
    gained = 60.0 * float(wrap_deg(there.lon - here.lon))
    inputs: Inputs = (whence, *given, ("1′ of the parallel", f"{across_nm:.4f} NM"))
    how = "from longitude + distance·sin TC/length of 1′ of the parallel at the middle latitude"
    if abs(distance_nm * math.sin(math.radians(track_deg)) / across_nm - gained) > _NEAR_ARCMIN:
        parts = [float(isometric_latitude(place.lat)) / _MINUTE_RAD for place in (here, there)]
        how = f"from longitude + (M₂ {MINUS} M₁)·tan TC, M meridional parts"
        inputs = (whence, ("track", _fine(track_deg)), ("M₁", _signed(parts[0])), ("M₂", _signed(parts[1])))
    return latitude, Step(f"longitude at {clock}", write_longitude(there.lon), how, inputs, RHUMB)


def _great_circle(
    here: Position, there: Position, track_deg: float, distance_nm: float, clock: str
) -> tuple[Step, Step]:
    given = (("distance", f"{distance_nm:.2f} NM"), ("track", _fine(track_deg)))
    place = ("from", write_position(here))
    turned = float(wrap_deg(there.lon - here.lon)) * 60.0
    gained = ("change of longitude", f"{abs(turned):.1f}′ {'W' if turned < 0.0 else 'E'}")
    return (
        Step(
            f"latitude at {clock}",
            write_latitude(there.lat),
            "sin L₂ = sin L₁·cos d + cos L₁·sin d·cos TC on a sphere, on WGS 84 with its series",
            (place, *given),
            GEODESIC,
        ),
        Step(
            f"longitude at {clock}",
            write_longitude(there.lon),
            f"tan DLo = sin d·sin TC·cos L₁/(cos d {MINUS} sin L₁·sin L₂) on a sphere, on WGS 84 with its series",
            (place, *given, gained),
            GEODESIC,
        ),
    )


def _arc(plot: Reckoning, begin: float, end: float) -> Step:
    lats, lons = plot.position(np.array([begin, end]))
    north, east = (float(x) for x in between(lats[0], lons[0], lats[1], lons[1]))
    toward = write_bearing(math.degrees(math.atan2(east, north)) % 360.0, 1)
    return Step(
        f"turn {_clock(begin)} to {write_clock(instant(round(end)), seconds=True)}",
        f"{math.hypot(north, east):.1f} NM on {toward}",
        "chord of the arc in the air, and the wind over its time",
        (("time flown", _minutes(end - begin)),),
        "WGS 84",
    )


def _clock(time_s: float) -> str:
    whole = round(time_s)
    return write_clock(instant(whole), seconds=whole % 60 != 0)


def _minutes(seconds: float) -> str:
    return f"{seconds / 60.0:.1f} min"


def _fine(deg: float) -> str:
    return write_bearing(deg, 2)


def _signed(value: float) -> str:
    return f"{value:.2f}".replace("-", MINUS)
