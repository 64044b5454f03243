"""What the JSON document tells of turns, the air plot, the way ahead, times due, and heading instruments."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from nightleg.air.reckoning import Reckoning
from nightleg.air.turn import radius_nm
from nightleg.commands.json_values import azimuth, iso, longitude, number
from nightleg.flight.airplot import air_position
from nightleg.flight.linenames import LineCheck, line_check
from nightleg.flight.model import Flight
from nightleg.flight.solution import DrState, LineResult, SightResult, Solution
from nightleg.units.times import gmt_s, instant

if TYPE_CHECKING:
    from nightleg.flight.arrival import Arrival
    from nightleg.flight.instruments import Instrument
    from nightleg.flight.onward import Onward


def add_wind(document: dict[str, Any], flight: Flight, solution: Solution) -> None:
    """Put into a document of `solution_json` what follows from wind and headings."""
    for entry, state in zip(document["dr"], solution.dr, strict=True):
        plot = solution.plot_at(state.time) if solution.plots else None
        entry.update(_air(plot, gmt_s(state.time)))
        entry["turn"] = None if plot is None else _turn(plot, state)
    lines: tuple[SightResult | LineResult, ...] = (*solution.sights, *solution.lines)
    entries = (*document["sights"], *document["lines"])
    for entry, line in zip(entries, lines, strict=True):
        check = line_check(flight, solution, line)
        entry["checks"] = None if check is None else _check(check)
    for entry, fix in zip(document["fixes"], solution.fixes, strict=True):
        entry.update(_air(solution.plot_of_fix.get(fix.id), gmt_s(fix.time)))
        entry["ahead"] = None
    given = {check.id: check for check in flight.heading_checks}
    for entry in document["heading_checks"]:
        one = given[entry["id"]]
        entry["sigma_deg"] = number(one.sigma_deg)
        entry["reset"] = one.reset
    document |= {"ahead": None, "arrivals": [], "instruments": []}
    # taken only where the flight has them: what a process imports, everyone who solves a flight waits for
    if flight.waypoints:
        from nightleg.flight.arrival import arrivals
        from nightleg.flight.onward import onward, onward_of_fix

        for entry, fix in zip(document["fixes"], solution.fixes, strict=True):
            entry["ahead"] = _ahead(onward_of_fix(flight, solution, fix))
        document["ahead"] = _ahead(onward(flight, solution))
        document["arrivals"] = [_arrival(one) for one in arrivals(flight, solution)]
    if flight.heading_checks:
        from nightleg.flight.instruments import instruments

        document["instruments"] = [_instrument(one) for one in instruments(flight, solution)]


def _air(plot: Reckoning | None, time_s: float) -> dict[str, float | None]:
    """The air position."""
    place = None if plot is None else air_position(plot, time_s)
    return {
        "air_lat": number(place.lat) if place else None,
        "air_lon": longitude(place.lon) if place else None,
    }


def _turn(plot: Reckoning, state: DrState) -> dict[str, Any] | None:
    """The turn that is begun or being flown."""
    time_s = gmt_s(state.time)
    turn, leg = plot.turning(time_s), plot.leg(time_s)
    if turn is None:
        return None
    return {
        "from_deg": azimuth(turn.from_deg),
        "to_deg": azimuth(turn.from_deg + turn.by_deg),
        "by_deg": number(turn.by_deg),
        "bank_deg": number(turn.bank_deg),
        "radius_nm": number(float(radius_nm(leg.tas_kt, turn.bank_deg))),
        "begin": iso(instant(leg.start_s)),
        "end": iso(instant(leg.start_s + turn.duration_s)),
    }


def _check(check: LineCheck) -> dict[str, Any]:
    """What a speed line or a course line checks by itself; ahead of the DR and right of it are positive."""
    return {
        "kind": check.kind,
        "since": iso(check.since),
        "angle_deg": number(check.angle_deg),
        "offset_nm": number(check.offset_nm),
        "offset_sigma_nm": number(check.offset_sigma_nm),
        "gs_kt": number(check.gs_kt),
        "gs_sigma_kt": number(check.gs_sigma_kt),
        "dr_gs_kt": number(check.dr_gs_kt),
        "track_deg": azimuth(check.course_deg),
        "track_sigma_deg": number(check.course_sigma_deg),
        "dr_track_deg": azimuth(check.dr_course_deg),
    }


def _ahead(point: Onward | None) -> dict[str, Any] | None:
    """The next waypoint from the DR at `time`."""
    if point is None or point.state is None:
        return None
    state = point.state
    return {
        "waypoint": point.name,
        "passed": point.passed,
        "time": iso(state.time),
        "lat": number(state.position.lat),
        "lon": longitude(state.position.lon),
        "wind_of": point.wind_of,
        "wind_from_deg": azimuth(state.wind_from_deg),
        "wind_kt": number(state.wind_kt),
        "tas_kt": number(state.tas_kt),
        "distance_nm": number(point.distance_nm),
        "course_deg": azimuth(point.bearing_deg),
        "heading_deg": azimuth(point.heading_deg),
        "gs_kt": number(point.gs_kt),
        "eta": iso(point.eta) if point.eta else None,
        "eta_sigma_min": number(point.eta_sigma_min),
        "along_sigma_nm": number(point.along_sigma_nm),
        "cross_sigma_nm": number(point.cross_sigma_nm),
        "cov_nm2": [[number(value) for value in row] for row in point.cov_nm2] if point.cov_nm2 else None,
    }


def _arrival(one: Arrival) -> dict[str, Any]:
    """A time due and what it asks for."""
    return {
        "waypoint": one.waypoint,
        "due": iso(one.due),
        "time": iso(one.now),
        "distance_nm": number(one.distance_nm),
        "gs_kt": number(one.gs_kt),
        "tas_kt": number(one.tas_kt),
        "mach": number(one.mach),
        "cas_kt": number(one.cas_kt),
        "speed_by": one.speed,
        "heading_deg": azimuth(one.heading_deg),
        "eta": iso(one.eta) if one.eta else None,
        "early_min": number(one.early_min),
        "sigma_min": number(one.sigma_min),
        "reachable": one.reachable,
        "words": one.words,
    }


def _instrument(one: Instrument) -> dict[str, Any]:
    """The error expected of a heading instrument at `time`, as shown less what it should show."""
    return {
        "shown": one.shown,
        "checks": list(one.checks),
        "since": iso(one.since),
        "reset_by": one.reset_by,
        "last_check": iso(one.last),
        "time": iso(one.time),
        "error_deg": number(one.error_deg),
        "sigma_deg": number(one.sigma_deg),
        "rate_deg_per_h": number(one.rate_deg_per_h),
        "rate_sigma_deg_per_h": number(one.rate_sigma_deg_per_h),
        "dr_heading_deg": azimuth(one.dr_heading_deg),
        "reads_deg": azimuth(one.reads_deg),
        "headings": [
            {
                "leg": meant.leg,
                "time": iso(meant.time),
                "given_deg": azimuth(meant.given_deg),
                "true_deg": azimuth(meant.true_deg),
                "dr_true_deg": azimuth(meant.dr_true_deg),
                "sigma_deg": number(meant.sigma_deg),
            }
            for meant in one.headings
        ],
        "words": one.words,
    }
