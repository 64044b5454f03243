"""Turns, air plot, the way ahead, times due, and speed and course lines in a flight."""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from msgspec.structs import replace

from nightleg.air.wind import heading_to_make, wind_between
from nightleg.earth.local import between, offset
from nightleg.earth.rhumb import rhumb_direct, rhumb_inverse
from nightleg.flight.airplot import air_position
from nightleg.flight.arrival import arrivals
from nightleg.flight.document import Document
from nightleg.flight.errors import FlightError
from nightleg.flight.linenames import line_check
from nightleg.flight.model import Fix, Flight, Leg, Line, Sight, Start, Waypoint, Wind, WindOfFix
from nightleg.flight.onward import joint_of, onward, onward_of_fix
from nightleg.flight.plotting import track_runs
from nightleg.flight.read import parse_flight
from nightleg.flight.solve import solve
from nightleg.flight.working import explain
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)


def at(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


FLIGHT = Flight(
    start=Start(time=START, position=Position(41.5, -28.25)),
    legs=(
        Leg(time=START, heading_deg=262.0, tas_kt=430.0, wind=Wind(from_deg=310.0, kt=45.0), altitude_ft=31000.0),
        Leg(time=at(60), heading_deg=190.0, bank_deg=25.0),
    ),
)
KNOWN = Fix(id="k1", time=at(30), kind="known", position=Position(40.9, -32.6), sigma_nm=3.0)
TO = Waypoint(name="KILO", position=Position(40.0, -40.0))
STRAIGHT = replace(FLIGHT, legs=FLIGHT.legs[:1], waypoints=(TO,))


def test_a_leg_tells_what_it_holds_and_now_what_is_flown() -> None:
    solution = solve(FLIGHT, at(60.5))
    leg, now = solution.dr[1], solution.dr[2]
    assert leg.heading_deg == pytest.approx(190.0)
    turn = solution.plots[0].legs[1].turn
    assert turn is not None and turn.by_deg == pytest.approx(-72.0)
    assert now.heading_deg == pytest.approx(262.0 - 72.0 * 30.0 / turn.duration_s)
    assert now.gs_kt != pytest.approx(leg.gs_kt, abs=5.0)


def test_the_track_is_drawn_along_the_arc() -> None:
    """Chords of five degrees leave an arc of 5.8 NM by 0.006 NM: no point is further from the drawn track."""
    solution = solve(FLIGHT, at(70))
    points = track_runs(FLIGHT, solution)[0].points
    turn = solution.plots[0].legs[1].turn
    assert turn is not None
    drawn = [p.position for p in points if at(60) <= p.time <= at(60) + timedelta(seconds=turn.duration_s + 1)]
    assert len(drawn) >= 15
    fine = np.array(solution.plots[0].position(gmt_s(at(60)) + np.linspace(0.0, turn.duration_s, 200)))
    lats, lons = np.array(drawn).T
    for lat, lon in fine.T:
        north, east = between(lat, lon, lats, lons)
        ends = np.stack([north, east], axis=-1)
        along = np.diff(ends, axis=0)
        share = np.clip(-np.sum(ends[:-1] * along, axis=-1) / np.sum(along**2, axis=-1), 0.0, 1.0)
        assert np.min(np.hypot(*(ends[:-1] + share[:, None] * along).T)) < 0.01


def test_a_shot_in_a_turn_is_warned_of_and_one_after_it_is_not() -> None:
    shots = tuple(
        Sight(id=f"s{minutes}", body="Capella", time=at(minutes), hs=60.0, duration_s=60.0) for minutes in (58, 60, 63)
    )
    solution = solve(replace(FLIGHT, sights=shots))
    told = [any("shot in a turn" in warning for warning in sight.warnings) for sight in solution.sights]
    assert told == [False, True, False]


def test_sharp_corners_are_noted_once_and_only_where_they_matter() -> None:
    sharp = replace(FLIGHT, legs=(FLIGHT.legs[0], replace(FLIGHT.legs[1], bank_deg=None)))
    assert [w for w in solve(sharp).warnings if "corners are sharp" in w and "leg 2 (72°)" in w]
    small = replace(FLIGHT, legs=(FLIGHT.legs[0], replace(FLIGHT.legs[1], heading_deg=255.0, bank_deg=None)))
    assert not [w for w in (*solve(small).warnings, *solve(FLIGHT).warnings) if "corner" in w]


def test_the_wind_of_an_air_plot_worked_by_hand() -> None:
    """Air position to fix, 30 minutes: the handbooks' way (from memory) gives the wind found within a plane's error."""
    flight = replace(STRAIGHT, fixes=(KNOWN,))
    solution = solve(flight)
    fix = solution.fixes[0]
    air = air_position(solution.plot_of_fix["k1"], gmt_s(KNOWN.time))
    assert air is not None and fix.position is not None and fix.wind_from_deg is not None and fix.wind_kt is not None
    north, east = between(*air, *fix.position)
    by_hand = wind_between(0.0, 0.0, math.degrees(math.atan2(east, north)) % 360.0, math.hypot(north, east) / 0.5)
    assert fix.wind_kt == pytest.approx(float(by_hand[1]), abs=0.5)
    assert fix.wind_from_deg == pytest.approx(float(by_hand[0]), abs=1.0)
    assert air_position(solution.plots[1], gmt_s(KNOWN.time)) == pytest.approx(KNOWN.position)  # begun anew


def test_the_way_ahead_of_a_fix_is_worked_from_a_dr_ahead() -> None:
    flight = replace(STRAIGHT, fixes=(KNOWN,))
    solution = solve(flight)
    point = onward_of_fix(flight, solution, solution.fixes[0])
    assert point is not None and point.state is not None and point.eta is not None and point.heading_deg is not None
    assert point.state.time == at(40) and point.wind_of == "k1"
    distance, course = (float(x) for x in rhumb_inverse(*point.state.position, *TO.position))
    fix = solution.fixes[0]
    heading, gs = heading_to_make(course, 430.0, fix.wind_from_deg, fix.wind_kt)
    assert point.heading_deg == pytest.approx(float(heading), abs=1e-6)
    assert (point.eta - at(40)).total_seconds() / 3600.0 == pytest.approx(distance / float(gs), abs=1e-6)
    joint = joint_of(solution, fix)
    assert joint is not None and fix.wind_cov_kt2 == joint.wind_kt2
    later = solve(flight, at(50))
    again = onward_of_fix(flight, later, later.fixes[0])
    assert again is not None and again.state is not None and again.state.time == at(50)


def test_eta_and_waypoint_errors_of_drawn_flights_are_those_stated() -> None:
    """Five hundred flights: start and fix are drawn off by their 1σ, the true aircraft steers the heading given.

    A standard deviation of 500 draws has a standard error of 3.2 %; four of them, and 2 % for the curved Earth.
    """
    wind_kt = np.array([-25.0, 30.0])  # north and east of the true air's motion
    flight = replace(STRAIGHT, fixes=(KNOWN,))
    base = solve(flight)
    rng, n = np.random.default_rng(7), 500
    first = base.plots[0].with_wind(*wind_kt)
    starts = offset(*FLIGHT.start.position, *(2.0 * rng.standard_normal((2, n))))
    at_fix = first.carry(*starts, gmt_s(START), gmt_s(at(30)))
    fixes = offset(*at_fix, *(3.0 * rng.standard_normal((2, n))))
    minutes, across, expected = [], [], []
    for lat, lon, fix_lat, fix_lon in zip(*at_fix, *fixes, strict=True):
        drawn = replace(flight, fixes=(replace(KNOWN, position=Position(float(fix_lat), float(fix_lon))),))
        solution = solve(drawn)
        point = onward_of_fix(drawn, solution, solution.fixes[0])
        assert point is not None and point.state is not None and point.eta is not None and point.heading_deg is not None
        work = first.carry(lat, lon, gmt_s(at(30)), gmt_s(point.state.time))
        hours = (point.eta - point.state.time).total_seconds() / 3600.0
        a = math.radians(point.heading_deg)
        made = (430.0 * np.array([math.cos(a), math.sin(a)]) + wind_kt) * hours
        track, run = math.degrees(math.atan2(made[1], made[0])), math.hypot(*made)
        there = rhumb_direct(*work, track, run)
        off = np.array([float(x) for x in between(*TO.position, *there)])
        c = math.radians(point.bearing_deg)
        minutes.append(60.0 * float(off @ [math.cos(c), math.sin(c)]) / (point.gs_kt or 1.0))
        across.append(float(off @ [-math.sin(c), math.cos(c)]))
        expected.append((point.eta_sigma_min, point.cross_sigma_nm))
    eta_sigma, cross_sigma = np.mean(np.array(expected, dtype=float), axis=0)
    tolerance = 4.0 / math.sqrt(2.0 * n) + 0.02
    assert np.std(minutes) == pytest.approx(eta_sigma, rel=tolerance)
    assert np.std(across) == pytest.approx(cross_sigma, rel=tolerance)
    assert abs(np.mean(minutes)) < 4.0 * eta_sigma / math.sqrt(n) + 0.05  # minutes; curvature of the way


def test_a_wind_taken_up_from_the_fix_shares_its_errors() -> None:
    legs = (FLIGHT.legs[0], Leg(time=at(30), wind=WindOfFix(fix="k1")))
    flight = replace(STRAIGHT, legs=legs, fixes=(KNOWN,))
    found = onward(flight, solve(flight), at(45))
    held = onward(replace(flight, legs=legs[:1]), solve(replace(flight, legs=legs[:1])), at(45))
    assert found is not None and held is not None
    assert found.wind_of == "k1" and held.wind_of is None
    assert found.eta_sigma_min is not None and held.eta_sigma_min is not None
    assert found.eta_sigma_min < held.eta_sigma_min


@pytest.mark.parametrize("path", ["rhumb", "great_circle"])
def test_a_time_due_is_kept_by_the_speed_it_asks_for(path) -> None:
    route = (Waypoint(name="JULIET", position=Position(40.5, -34.0)), replace(TO, path=path, due=at(90)))
    flight = replace(STRAIGHT, waypoints=route)
    (one,) = arrivals(flight, solve(flight, START))
    assert one.reachable and one.tas_kt is not None and one.gs_kt is not None and one.mach is not None
    assert one.gs_kt * 1.5 == pytest.approx(one.distance_nm)
    flown = replace(flight, legs=(replace(FLIGHT.legs[0], tas_kt=one.tas_kt),))
    (again,) = arrivals(flown, solve(flown, START))
    assert again.early_min == pytest.approx(0.0, abs=0.01)  # minutes
    assert again.words == "the airspeed held keeps it"


def test_the_heading_for_a_time_due_is_that_of_here() -> None:
    """On a great circle the course turns; GeographicLib gives the one it sets out on."""
    far = Waypoint(name="LIMA", position=Position(52.0, -60.0), path="great_circle", due=at(240.0))
    flight = replace(STRAIGHT, waypoints=(far,))
    (one,) = arrivals(flight, solve(flight, START))
    start, wind = flight.start.position, flight.legs[0].wind
    course = Geodesic.WGS84.Inverse(start.lat, start.lon, far.position.lat, far.position.lon)["azi1"]
    assert isinstance(wind, Wind) and one.tas_kt is not None and one.heading_deg is not None
    # the wind triangle by its sides: the drift that keeps this course at the airspeed asked for
    drift = math.asin(wind.kt / one.tas_kt * math.sin(math.radians(wind.from_deg - course)))
    assert one.heading_deg == pytest.approx((course + math.degrees(drift)) % 360.0, abs=1e-6)


@pytest.mark.parametrize(
    ("minutes", "words"), [(40.0, r"even at Mach 0\.95"), (240.0, "lose time by a longer way"), (0.5, "min late")]
)
def test_a_time_that_cannot_be_kept_says_so(minutes: float, words: str) -> None:
    flight = replace(STRAIGHT, waypoints=(replace(TO, due=at(minutes)),))
    (one,) = arrivals(flight, solve(flight, START))
    assert not one.reachable and one.tas_kt is None
    assert re.search(words, one.words)
    (late,) = arrivals(flight, solve(flight, at(minutes + 1.0)))
    assert late.words == "the time has passed"


def test_speed_and_course_lines_are_named_and_those_between_are_not() -> None:
    """Latitude lines on a course of south and west: across, along and between (bound 20°)."""
    kinds = []
    for heading in (180.0, 270.0, 225.0, 198.0, 203.0):
        leg = Leg(time=START, heading_deg=heading, tas_kt=430.0)
        there = solve(replace(FLIGHT, legs=(leg,)), at(60)).dr[-1].position
        line = Line(id="l1", kind="latitude", time=at(60), latitude=there.lat - 0.1, sigma_nm=2.0)
        flight = replace(FLIGHT, legs=(leg,), lines=(line,))
        solution = solve(flight)
        check = line_check(flight, solution, solution.lines[0])
        kinds.append(check.kind if check else None)
        if heading == 180.0:
            assert check is not None and check.gs_kt is not None and check.gs_sigma_kt is not None
            # a tenth of a degree of latitude further on: 6.0 NM in an hour (WGS 84 at 34° to 41°N)
            assert check.gs_kt == pytest.approx(436.0, abs=0.1)
            assert check.gs_sigma_kt == pytest.approx(math.hypot(2.0, 2.0), abs=0.01)  # line and start, in one hour
            assert "speed line" in {step.name for step in explain(flight, solution, "l1").steps}
        if heading == 270.0:
            assert check is not None and check.course_deg is not None and check.course_sigma_deg is not None
            assert check.offset_nm == pytest.approx(-6.0, abs=0.05)  # south is left of west
            off = 270.0 - math.degrees(math.atan2(6.0, 430.0))
            assert check.course_deg - (check.dr_course_deg or 0.0) == pytest.approx(off - 270.0, abs=0.02)
            assert check.course_sigma_deg == pytest.approx(math.degrees(math.hypot(2.0, 2.0) / 430.0), abs=0.02)
    assert kinds == ["speed", "course", None, "speed", None]


TEXT = """format = "nightleg-flight-1"
[start]
time = 2026-03-14T22:00:00Z
position = "41 30.0 N 028 15.0 W"
[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 262
tas_kt = 430
bank_deg = {bank}
[[waypoint]]
name = "JULIET"
position = "40 30.0 N 034 00.0 W"
due = {first}
[[waypoint]]
name = "KILO"
position = "40 00.0 N 040 00.0 W"
due = {second}
"""


@pytest.mark.parametrize(
    ("bank", "first", "second", "words"),
    [
        ("75", "2026-03-14T23:00:00Z", "2026-03-14T23:30:00Z", "from 0 to 60"),
        ("25", "2026-03-14T21:00:00Z", "2026-03-14T23:30:00Z", "not after the start of the flight"),
        ("25", "2026-03-14T23:30:00Z", "2026-03-14T23:00:00Z", "not later than the time due at JULIET"),
    ],
)
def test_what_is_wrong_is_told_at_its_place(bank: str, first: str, second: str, words: str) -> None:
    with pytest.raises(FlightError, match=words):
        parse_flight(TEXT.format(bank=bank, first=first, second=second))


def test_what_is_right_is_read() -> None:
    read: Document = parse_flight(TEXT.format(bank="25", first="2026-03-14T23:00:00Z", second="2026-03-14T23:30:00Z"))
    assert read.flight.legs[0].bank_deg == 25.0
    assert read.flight.waypoints[1].due == at(90)


@pytest.mark.parametrize(("minutes", "passed"), [(0.0, False), (60.0, False), (120.0, True), (240.0, True)])
def test_the_end_of_the_route_is_told_as_passed_once_it_lies_behind(minutes: float, passed: bool) -> None:
    solution = solve(STRAIGHT, at(minutes))
    found = onward(STRAIGHT, solution)
    assert found is not None and found.name == "KILO"
    assert found.passed is passed
    here = solution.dr[-1].position
    leg, back = (  # whether it lies behind, by geographiclib's azimuths
        Geodesic.WGS84.Inverse(*start, *TO.position)["azi1"] for start in (STRAIGHT.start.position, here)
    )
    assert (math.cos(math.radians(back - leg)) < 0.0) is passed


def test_a_waypoint_that_is_not_the_last_is_followed_by_the_next_and_never_passed() -> None:
    far = replace(STRAIGHT, waypoints=(TO, Waypoint(name="LIMA", position=Position(39.0, -60.0))))
    found = onward(far, solve(far, at(100.0)))
    assert found is not None and (found.name, found.passed) == ("LIMA", False)
