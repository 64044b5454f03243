"""Other lines in a flight: built from what was logged, taken into the fix with their own errors."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import ppigrf
import pytest
from geographiclib.geodesic import Geodesic

from nightleg.earth.local import between
from nightleg.flight.model import Fix, Flight, Leg, Line, Sextant, Sight, Start, Wind
from nightleg.flight.read import parse_flight
from nightleg.flight.solution import Solution
from nightleg.flight.solve import solve
from nightleg.units.positions import Position

START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)
STATION = Position(41.0, -30.5)


def at(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


def flight(*lines: Line, fixes: tuple[Fix, ...] = (), **more) -> Flight:
    base = {
        "start": Start(time=START, position=Position(41.5, -28.25)),
        "legs": (
            Leg(time=START, heading_deg=262.0, tas_kt=430.0, wind=Wind(from_deg=310.0, kt=45.0), altitude_ft=31000.0),
        ),
    }
    return Flight(**{**base, "lines": lines, "fixes": fixes, **more})


def fix(*ids: str, minutes: float = 30.0, **more) -> Fix:
    return Fix(**{"id": "f1", "time": at(minutes), "sights": ids, **more})


def nm(a: Position, b: Position) -> float:
    return math.hypot(*(float(x) for x in between(*a, *b)))


def truth(minutes: float, off=(4.0, -3.0)) -> Position:
    """A place beside the DR."""
    lat, lon = solve(flight()).plots[0].position(minutes * 60.0 + solve(flight()).plots[0].time_s)
    from nightleg.earth.local import offset

    there = offset(lat, lon, *off)
    return Position(float(there[0]), float(there[1]))


def seen_from(place: Position) -> tuple[float, float, float]:
    """Distance (NM) and bearing of the station from a place, and the radial the place is on, by geographiclib."""
    line = Geodesic.WGS84.Inverse(*place, *STATION)
    return line["s12"] / 1852.0, line["azi1"] % 360.0, (line["azi2"] + 180.0) % 360.0


def test_range_and_bearing_fix_the_place_they_were_made_at() -> None:
    place = truth(30.0)
    distance, bearing, _ = seen_from(place)
    one = Line(id="r", kind="range", time=at(30), station=STATION, range_nm=distance, slant=False, sigma_nm=0.5)
    two = Line(id="b", kind="bearing", time=at(30), station=STATION, bearing_deg=bearing, sigma_deg=1.0)
    result = solve(flight(one, two, fixes=(fix("r", "b"),))).fix("f1")
    assert result.position is not None
    assert nm(result.position, place) == pytest.approx(0.0, abs=0.02)
    assert result.trust[0] == "two lines: no check"


def test_radial_and_latitude_with_a_star() -> None:
    """Three kinds in one fix, each off by nothing: residuals vanish, and all are checked against each other."""
    place = truth(30.0)
    _, _, radial = seen_from(place)
    draft = Sight(id="s", body="Capella", time=at(30), hs=60.0)
    sight = draft
    for _ in range(4):
        placed = Sight(id="s", body="Capella", time=at(30), hs=sight.hs, assumed=place)
        left = solve(flight(sights=(placed,))).sight("s").intercept_nm
        assert sight.hs is not None and left is not None
        sight = Sight(id="s", body="Capella", time=at(30), hs=sight.hs - left / 60.0)
    lines = (
        Line(id="v", kind="radial", time=at(30), station=STATION, radial_deg=radial, reference="true", sigma_deg=1.0),
        Line(id="l", kind="latitude", time=at(30), latitude=place.lat, sigma_nm=2.0),
    )
    result = solve(flight(*lines, sights=(sight,), fixes=(fix("s", "v", "l"),))).fix("f1")
    assert result.position is not None and result.dof == 1
    # the reading's deflection is that of the DR in this construction: 0.1 NM
    assert nm(result.position, place) < 0.15
    assert all(abs(r) < 0.15 for r in result.residuals_arcmin.values())


def test_a_line_is_carried_to_the_fix_time() -> None:
    """A latitude line taken twenty minutes earlier is moved by the run of the DR."""
    early, now = truth(10.0), truth(30.0)
    lines = (
        Line(id="l", kind="latitude", time=at(10), latitude=early.lat, sigma_nm=1.0),
        Line(id="r", kind="range", time=at(30), station=STATION, range_nm=seen_from(now)[0], slant=False),
    )
    solution = solve(flight(*lines, fixes=(fix("l", "r"),)))
    result = solution.fix("f1")
    assert result.position is not None
    # ten miles of displacement do not change by the carry more than the convergence of the meridians makes them
    assert abs(result.position.lat - now.lat) * 60.0 < 0.1
    assert nm(result.position, now) < 0.5


def test_magnetic_radials_take_the_variation_of_the_station() -> None:
    east, north, _ = ppigrf.igrf(STATION.lon, STATION.lat, 0.0, datetime(2026, 3, 14, 22, 30))
    variation = math.degrees(math.atan2(east.item(), north.item()))
    place = truth(30.0)
    _, _, radial = seen_from(place)
    plain = Line(id="v", kind="radial", time=at(30), station=STATION, radial_deg=(radial - variation) % 360.0)
    line = solve(flight(plain)).line("v")
    assert line.position is not None
    assert seen_from(line.position)[2] == pytest.approx(radial, abs=0.01)
    given = Line(
        id="v",
        kind="radial",
        time=at(30),
        station=STATION,
        radial_deg=(radial + 8.0) % 360.0,
        station_variation_deg=-8.0,
    )
    other = solve(flight(given)).line("v")
    assert other.position is not None and seen_from(other.position)[2] == pytest.approx(radial, abs=1e-6)


def test_relative_bearings_are_counted_from_the_heading() -> None:
    place = truth(30.0)
    _, bearing, _ = seen_from(place)
    relative = Line(
        id="b", kind="bearing", time=at(30), station=STATION, relative_bearing_deg=(bearing - 262.0) % 360.0
    )
    absolute = Line(id="b", kind="bearing", time=at(30), station=STATION, bearing_deg=bearing)
    assert solve(flight(relative)).line("b").offset_nm == pytest.approx(solve(flight(absolute)).line("b").offset_nm)


def test_a_slant_range_is_reduced_by_the_height() -> None:
    """31 000 ft are 5.10 NM: 87 NM of slant range are 86.85 on the ground."""
    slant = solve(flight(Line(id="r", kind="range", time=at(30), station=STATION, range_nm=87.0))).line("r")
    ground = solve(flight(Line(id="r", kind="range", time=at(30), station=STATION, range_nm=87.0, slant=False))).line(
        "r"
    )
    assert slant.position is not None and ground.position is not None
    assert seen_from(ground.position)[0] == pytest.approx(87.0, abs=1e-4)
    assert seen_from(slant.position)[0] == pytest.approx(math.sqrt(87.0**2 - 5.102**2), abs=1e-3)


def test_pressure_line_from_the_start() -> None:
    """Air path 430 kt on 262 from the start; D rising by 130 ft puts the line left of the air position in the north."""
    line = Line(id="p", kind="pressure", time=at(60), from_="start", d1_ft=210.0, d2_ft=340.0, sigma_nm=7.0)
    found = solve(flight(line)).line("p")
    assert found.position is not None and found.normal_deg is not None
    calm = flight(legs=(Leg(time=START, heading_deg=262.0, tas_kt=430.0, altitude_ft=31000.0),))
    air = solve(calm, now=at(60)).dr[-1].position
    middle = (41.5 + air.lat) / 2.0
    expected = -21.51 / math.sin(math.radians(middle)) * 130.0 / 430.0
    north, east = between(*air, *found.position)
    across = float(-north * math.sin(math.radians(262.0)) + east * math.cos(math.radians(262.0)))
    assert across == pytest.approx(expected, abs=0.02)
    assert found.normal_deg == pytest.approx(352.0, abs=0.1)


def test_a_line_with_the_dr_gives_a_most_probable_position() -> None:
    line = Line(id="l", kind="latitude", time=at(30), latitude=truth(30.0).lat, sigma_nm=1.0)
    alone = solve(flight(line, fixes=(fix("l"),))).fix("f1")
    assert alone.position is None and alone.mpp_rule is not None
    taken = solve(flight(line, fixes=(fix("l", prior=True),))).fix("f1")
    assert taken.position is not None and taken.ellipse95 is not None


def test_an_error_common_to_the_shots_does_not_touch_the_lines() -> None:
    """With a wide common error a range keeps its weight, and the star beside it loses its own."""
    place = truth(30.0)
    distance, bearing, _ = seen_from(place)
    lines = (
        Line(id="r", kind="range", time=at(30), station=STATION, range_nm=distance, slant=False, sigma_nm=0.5),
        Line(id="b", kind="bearing", time=at(30), station=STATION, bearing_deg=bearing, sigma_deg=1.0),
    )
    plain = solve(flight(*lines, fixes=(fix("r", "b"),))).fix("f1")
    wide = solve(flight(*lines, fixes=(fix("r", "b"),), sextant=Sextant(common_sigma_arcmin=30.0))).fix("f1")
    assert plain.cov_nm2 == wide.cov_nm2


def test_refused_lines_are_named_and_the_rest_answered() -> None:
    over = Position(*solve(flight(), now=at(30)).dr[-1].position)
    station_below = Line(id="b", kind="bearing", time=at(30), station=over, bearing_deg=10.0)
    too_short = Line(id="r", kind="range", time=at(30), station=STATION, range_nm=2.0)
    good = Line(id="l", kind="latitude", time=at(30), latitude=41.2)
    solution = solve(flight(station_below, too_short, good, fixes=(fix("b", "r", "l", prior=True),)))
    assert [p.place for p in solution.problems] == ["[[line]] 1 (b)", "[[line]] 2 (r)"]
    assert solution.line("b").position is None and solution.line("b").warnings
    assert solution.fix("f1").position is not None and solution.fix("f1").sights == ("l",)


def test_no_pressure_line_near_the_equator() -> None:
    line = Line(id="p", kind="pressure", time=at(30), from_="start", d1_ft=210.0, d2_ft=340.0)
    south = flight(line, start=Start(time=START, position=Position(5.0, -28.0)))
    assert "equator" in solve(south).problems[0].message


def test_a_line_set_aside() -> None:
    line = Line(id="l", kind="latitude", time=at(30), latitude=41.2, use=False)
    solution = solve(flight(line, fixes=(fix("l"),)))
    assert not solution.line("l").used and solution.line("l").position is not None
    assert "set aside" in solution.fix("f1").warnings[0]


def test_lines_in_every_quadrant_agree_with_the_place() -> None:
    """Stations all round: bearing, radial and range each pass through the place they were made at."""
    place = truth(30.0)
    for azimuth in np.arange(5.0, 360.0, 30.0):
        end = Geodesic.WGS84.Direct(*place, azimuth, 120.0 * 1852.0)
        station = Position(end["lat2"], end["lon2"])
        made = (
            Line(id="b", kind="bearing", time=at(30), station=station, bearing_deg=azimuth),
            Line(
                id="v",
                kind="radial",
                time=at(30),
                station=station,
                radial_deg=(end["azi2"] + 180.0) % 360.0,
                reference="true",
            ),
            Line(id="r", kind="range", time=at(30), station=station, range_nm=120.0, slant=False),
        )
        solution: Solution = solve(flight(*made, fixes=(fix("b", "v", "r"),)))
        result = solution.fix("f1")
        assert result.position is not None
        assert nm(result.position, place) < 0.02, azimuth


def test_lines_are_drawn_where_they_lie_and_where_they_are_carried_to() -> None:
    from nightleg.flight.plotting import lines_of_position

    place = truth(10.0)
    made = (
        Line(id="l", kind="latitude", time=at(10), latitude=place.lat),
        Line(id="r", kind="range", time=at(10), station=STATION, range_nm=seen_from(place)[0], slant=False),
        Line(id="b", kind="bearing", time=at(10), station=STATION, bearing_deg=seen_from(place)[1]),
    )
    whole = flight(*made, fixes=(fix("l", "r", "b"),))
    solution = solve(whole)
    drawn = lines_of_position(whole, solution)
    assert [line.label for line in drawn] == ["latitude", "range", "bearing"]
    for line in drawn:
        shape = solution.line(line.id).shape
        assert shape is not None
        lat, lon = np.array(line.observed).T
        assert float(np.max(np.abs(shape.offset_nm(lat, lon)))) < 0.02
        assert line.advanced != line.observed and line.advanced_to == at(30)


def test_a_line_that_disagrees_is_off_by_miles() -> None:
    """A line's residual is a distance, an altitude's an angle: the words say which."""
    sights = "\n".join(
        f'[[line]]\nid = "r{i}"\nkind = "range"\ntime = 2026-03-14T22:30:00Z\nstation = "{lat} {lon}"\n'
        f"range_nm = {far}\nslant = false\n"
        for i, (lat, lon, far) in enumerate(
            [(42.0, -30.0, 60.0), (40.0, -30.0, 99.0), (41.0, -28.7, 59.0), (41.0, -31.3, 59.0)]
        )
    )
    text = f"""format = "nightleg-flight-1"
title = "ranges"
[start]
time = 2026-03-14T22:00:00Z
position = "41 -30"
[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 0
tas_kt = 0
wind = "000/0"
altitude_ft = 0
{sights}
[[line]]
id = "k1"
kind = "latitude"
time = 2026-03-14T22:30:00Z
latitude = "41 00 N"
sigma_nm = 1
[[fix]]
id = "f1"
time = 2026-03-14T22:30:00Z
sights = ["r0", "r1", "r2", "r3", "k1"]
"""
    said = " ".join(solve(parse_flight(text).flight).fix("f1").trust)
    assert "one disagrees: r1 range, off by" in said and " NM (" in said and "′" not in said
