"""The working of the way ahead: distance, course, heading to steer, time of arrival. No Qt here."""

from __future__ import annotations

from nightleg.flight.model import Flight
from nightleg.flight.solution import DrState
from nightleg.flight.working import Step, Working
from nightleg.units.angles import write_bearing
from nightleg.units.positions import write_position
from nightleg.units.times import write_clock
from nightleg.window.ahead import ahead
from nightleg.window.words import wind

AHEAD = "ahead"
"""Whose numbers those of the way ahead are."""


def ahead_working(flight: Flight, state: DrState) -> Working | None:
    """From the DR to the next waypoint; None where none is planned."""
    point = ahead(flight, state)
    planned = next((one for one in flight.waypoints if point is not None and one.name == point.name), None)
    if point is None or planned is None:
        return None
    line = "great circle" if planned.path == "great_circle" else "rhumb line"
    way = (("DR", write_position(state.position)), (point.name, write_position(planned.position)))
    course = ("course", write_bearing(point.bearing_deg, 1))
    air = (course, ("TAS", f"{state.tas_kt:.0f} kt"), ("wind", wind(state.wind_from_deg, state.wind_kt)))
    steps = [
        Step("distance", f"{point.distance_nm:.1f} NM", f"along the {line} that is planned", way, "WGS 84"),
        Step("course", write_bearing(point.bearing_deg, 1), f"at the DR, along the {line}", way, "WGS 84"),
    ]
    if point.heading_deg is None:
        steps.append(Step("heading to steer", "none", "the wind is too strong for that course", air, "wind triangle"))
    else:
        how = "sin(drift to allow) = wind speed·sin(wind from − course)/TAS; heading = course + that"
        steps.append(Step("heading to steer", write_bearing(point.heading_deg, 1), how, air, "wind triangle"))
    if point.eta is not None:
        hours = (point.eta - state.time).total_seconds() / 3600.0
        gs = ("ground speed on that course", f"{point.distance_nm / hours:.0f} kt" if hours > 0.0 else "—")
        inputs = (("now", write_clock(state.time, seconds=True)), ("distance", f"{point.distance_nm:.1f} NM"), gs)
        steps.append(Step("ETA", write_clock(point.eta, seconds=True), "now + distance/ground speed", inputs))
    return Working(of=AHEAD, title=f"to {point.name}, {write_clock(state.time, seconds=True)} GMT", steps=tuple(steps))
