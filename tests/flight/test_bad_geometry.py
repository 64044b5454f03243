"""Geometry that gives no position or a poor one, poles and the 180° meridian: a result with a warning, or why not."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from msgspec.structs import replace

from nightleg.earth.local import between
from nightleg.fix.ellipse import outline
from nightleg.flight.errors import FlightError
from nightleg.flight.model import Fix, Flight, Leg, Line, Sight, Start, Wind
from nightleg.flight.read import parse_flight
from nightleg.flight.solution import FixResult
from nightleg.flight.solve import solve
from nightleg.flight.suspects import MOST_SHOTS, WEIGHED, suspects
from nightleg.sight.reduction import altitude_azimuth
from nightleg.sky.catalogue import NAVIGATIONAL_STARS
from nightleg.sky.places import places_of
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)
EAST = Leg(time=START, heading_deg=90.0, tas_kt=400.0, wind=Wind(from_deg=310.0, kt=45.0), altitude_ft=31000.0)
NORTH = Leg(time=START, heading_deg=0.0, tas_kt=400.0, steering="great_circle", altitude_ft=31000.0)
STILL = Leg(time=START, heading_deg=0.0, tas_kt=0.0, steering="great_circle", altitude_ft=31000.0)
POLE_IN_AN_HOUR_DEG = 83.36729  # 400 NM by the meridian of WGS 84
EXACT_NM = 0.01  # readings made by iteration through the program's own chain come back to the DR


def at(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


def stars_near(place: Position, azimuths_deg: tuple[float, ...]) -> list[str]:
    """Stars between 10° and 75° nearest to those azimuths at the time of the fix, no star twice."""
    names = list(NAVIGATIONAL_STARS)
    found = places_of(names, np.full(len(names), gmt_s(at(60))))
    height, azimuth = altitude_azimuth(*place, found.gha_deg, found.dec_deg)
    chosen: list[int] = []
    for wanted in azimuths_deg:
        free = [k for k in range(len(names)) if 10.0 < height[k] < 75.0 and k not in chosen]
        chosen.append(min(free, key=lambda k: abs((azimuth[k] - wanted + 180.0) % 360.0 - 180.0)))
    return [names[k] for k in chosen]


def seen_from_the_dr(place: Position, leg: Leg, bodies: list[str], **of_fix: bool) -> Flight:
    """A flight whose shots, four minutes apart and the last at the fix, read what the DR calls for."""
    sights = tuple(
        Sight(id=f"s{k}", body=body, time=at(60 - 4 * (len(bodies) - 1 - k)), hs=40.0) for k, body in enumerate(bodies)
    )
    flight = Flight(start=Start(time=START, position=place), legs=(leg,), sights=sights)
    for _ in range(5):
        seen = solve(flight).sights
        sights = tuple(
            replace(s, hs=(s.hs or 0.0) - (r.intercept_nm or 0.0) / 60.0) for s, r in zip(sights, seen, strict=True)
        )
        flight = replace(flight, sights=sights)
    return replace(flight, fixes=(Fix(id="f1", time=at(60), sights=tuple(s.id for s in sights), **of_fix),))


def worked(flight: Flight) -> FixResult:
    """The fix; whatever it is, explanations can be asked for and are words with finite odds."""
    solution = solve(flight)
    verdict = suspects(flight, solution, "f1")
    assert verdict.words and all(math.isfinite(s.log_odds) for s in verdict.suspects)
    return solution.fix("f1")


def off_nm(result: FixResult) -> float:
    assert result.position is not None
    return math.hypot(*(float(x) for x in between(*result.dr, *result.position)))


MIDDLE = Position(41.5, -28.0)
AT_FIX = Position(41.0, -18.4)


# ---- lines that hardly cross, or do not


@pytest.mark.parametrize("azimuths", [(90.0, 270.0), (270.0, 90.0), (90.0, 95.0, 270.0)])
def test_bodies_ahead_and_astern_alone(azimuths: tuple[float, ...]) -> None:
    result = worked(seen_from_the_dr(MIDDLE, EAST, stars_near(AT_FIX, azimuths)))
    assert off_nm(result) < EXACT_NM
    assert any("nearly parallel" in said for said in result.trust)
    assert result.ellipse95 is not None and result.ellipse95.semi_major_nm > 2.5 * result.ellipse95.semi_minor_nm


@pytest.mark.parametrize("count", [2, 3, 6])
def test_one_star_again_and_again(count: int) -> None:
    """All at one time: no position, and the reason; with the DR there is one."""
    flight = seen_from_the_dr(MIDDLE, EAST, ["Capella"] * count)
    together = replace(flight, sights=tuple(replace(s, time=at(60), hs=flight.sights[-1].hs) for s in flight.sights))
    result = worked(together)
    assert result.position is None and result.cov_nm2 is None and not result.adopted
    assert any("parallel" in said for said in result.warnings)
    with_dr = worked(replace(together, fixes=(replace(together.fixes[0], prior=True),)))
    assert off_nm(with_dr) < EXACT_NM


def test_circles_that_do_not_meet() -> None:
    """Two small circles far from each other: no fix, not a place between them, with and without the DR."""
    flight = seen_from_the_dr(MIDDLE, EAST, ["Capella", "Sirius"])
    apart = replace(flight, sights=tuple(replace(s, hs=hs) for s, hs in zip(flight.sights, (89.0, 85.0), strict=True)))
    for prior in (False, True):
        result = worked(replace(apart, fixes=(replace(apart.fixes[0], prior=prior),)))
        assert result.position is None and not result.adopted
        assert any(
            "no fix" in said and ("not meet" in said or "no single position" in said) for said in result.warnings
        )


# ---- fixes and sights in odd places of the flight


def test_a_fix_before_the_start_is_refused_at_its_place() -> None:
    text = """
format = "nightleg-flight-1"
[start]
time = 2026-03-14T22:00:00Z
position = "41 30.0 N 028 00.0 W"
[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 90.0
tas_kt = 400.0
[[sight]]
id = "s1"
body = "Capella"
time = 2026-03-14T22:10:00Z
hs = 60.0
[[fix]]
id = "f1"
time = 2026-03-14T21:50:00Z
sights = ["s1"]
"""
    with pytest.raises(FlightError, match=r"\[\[fix\]\] 1.*time.*before the start"):
        parse_flight(text)


def test_sights_on_both_sides_of_an_adopted_fix() -> None:
    flight = seen_from_the_dr(MIDDLE, EAST, ["Capella", "Sirius", "Dubhe"])
    known = Fix(id="k", time=at(57), kind="known", position=Position(41.4, -19.0), sigma_nm=1.0)
    result = solve(replace(flight, fixes=(known, flight.fixes[0]))).fix("f1")
    assert result.position is not None
    older = [said for said in result.warnings if "older than the last adopted fix" in said]
    assert [said.split()[0] for said in older] == ["s0", "s1"]


def many(count: int) -> Flight:
    """Shots of three stars over and over, with errors of 2.5′; the eighth is read one degree too high."""
    flight, rng = seen_from_the_dr(MIDDLE, EAST, ["Capella", "Sirius", "Dubhe"]), np.random.default_rng(0)
    error = rng.normal(0.0, 2.5 / 60.0, count)
    error[7] += 1.0
    sights = tuple(
        replace(flight.sights[k % 3], id=f"s{k}", hs=(flight.sights[k % 3].hs or 0.0) + error[k]) for k in range(count)
    )
    return replace(flight, sights=sights, fixes=(replace(flight.fixes[0], sights=tuple(s.id for s in sights)),))


@pytest.mark.parametrize("count", [WEIGHED + 5, MOST_SHOTS])
def test_of_many_shots_those_that_fit_worst_are_weighed(count: int) -> None:
    flight = many(count)
    verdict = suspects(flight, solve(flight), "f1")
    assert (verdict.suspects[0].id, verdict.suspects[0].explanation) == ("s7", "read one degree too high")
    assert f"of {count} shots the {WEIGHED} that fit worst" in verdict.words


def test_a_thousand_shots_make_a_fix_and_are_too_many_to_weigh() -> None:
    flight = many(1000)
    solution = solve(flight)
    assert off_nm(solution.fix("f1")) < 1.0
    assert suspects(flight, solution, "f1").words.startswith("1000 shots are too many")


@pytest.mark.parametrize("kind", ["bearing", "radial", "range"])
def test_a_station_under_the_aircraft(kind: str) -> None:
    """A direction to it or from it says nothing, and a range shorter than the height is none: refused at its place."""
    flight = seen_from_the_dr(MIDDLE, EAST, ["Capella", "Sirius"])
    station = solve(flight).fix("f1").dr
    given = {"bearing": {"bearing_deg": 10.0}, "radial": {"radial_deg": 10.0}, "range": {"range_nm": 5.0}}[kind]
    line = Line(id="l1", kind=kind, time=at(60), station=station, **given)
    with_line = replace(flight, lines=(line,), fixes=(replace(flight.fixes[0], sights=("s0", "s1", "l1")),))
    solution = solve(with_line)
    assert [p.place for p in solution.problems] == ["[[line]] 1 (l1)"]
    assert "near" in solution.problems[0].message or "height" in solution.problems[0].message
    assert solution.line("l1").position is None and off_nm(solution.fix("f1")) < EXACT_NM


# ---- poles


@pytest.mark.parametrize("lat", [89.9, 90.0, -89.9, -90.0])
@pytest.mark.parametrize("leg", [NORTH, STILL])
def test_from_a_pole(lat: float, leg: Leg) -> None:
    place = Position(lat, 10.0)
    dr = solve(Flight(start=Start(time=START, position=place), legs=(leg,)), now=at(60)).dr[-1].position
    result = worked(seen_from_the_dr(place, leg, stars_near(dr, (0.0, 120.0, 240.0))))
    assert off_nm(result) < EXACT_NM and result.warnings == ()
    assert result.ellipse95 is not None and 4.0 < result.ellipse95.semi_minor_nm < result.ellipse95.semi_major_nm < 7.0


def test_a_rhumb_line_at_the_pole_has_no_direction() -> None:
    flight = seen_from_the_dr(Position(90.0, 10.0), STILL, ["Markab", "Kochab", "Pollux"])
    result = worked(replace(flight, legs=(replace(STILL, steering="rhumb"),)))
    assert result.position is None
    assert any('steering = "great_circle"' in said for said in result.warnings)


@pytest.mark.parametrize("past_nm", [-60.0, -20.0, -1.0, 0.0, 1.0, 20.0, 26.0, 27.0, 28.0, 60.0])
def test_over_the_pole_between_shots_and_fix(past_nm: float) -> None:
    """The ellipse does not care where the pole lies: within 5 % the same as on any side of it.

    Azimuths of the first shots differ by up to 180° from those of the last by the meridians alone.
    """
    place = Position(POLE_IN_AN_HOUR_DEG + past_nm / 60.3, 10.0)  # 60.3 NM to a degree of latitude there
    result = worked(seen_from_the_dr(place, NORTH, ["Markab", "Kochab", "Pollux"]))
    assert off_nm(result) < EXACT_NM and result.warnings == ()
    assert result.ellipse95 is not None
    assert result.ellipse95.semi_major_nm == pytest.approx(5.75, rel=0.05)
    assert result.ellipse95.semi_minor_nm == pytest.approx(5.17, rel=0.05)
    assert result.trust == ("shots agree (p 1.00, one to spare)",)


def test_the_outline_of_an_ellipse_at_the_pole() -> None:
    """Every point of a circle of 10 NM about the pole is 10 NM from it, on all longitudes."""
    from nightleg.fix.ellipse import Ellipse

    lats, lons = outline(90.0, 10.0, Ellipse(10.0, 10.0, 0.0))
    assert 90.0 - lats == pytest.approx(np.full(lats.shape, 10.0 / 60.31), abs=2e-4)
    assert float(np.max(np.diff(np.sort(lons)))) < 5.0


# ---- the 180° meridian


@pytest.mark.parametrize("lon", [172.0, 172.6, 172.69, 173.0, -180.0, 180.0])
def test_across_the_180_meridian(lon: float) -> None:
    """Start, DR, fix, ellipse and lines on either side and astride: as at any other meridian."""
    place = Position(30.0, lon)
    bodies = stars_near(Position(29.5, (lon + 7.32 + 180.0) % 360.0 - 180.0), (0.0, 120.0, 240.0))
    result = worked(seen_from_the_dr(place, EAST, bodies))
    assert off_nm(result) < EXACT_NM and result.warnings == ()
    assert result.position is not None and result.ellipse95 is not None and -180.0 <= result.position.lon <= 180.0
    assert result.wind_kt == pytest.approx(45.0, abs=0.1)
    north, east = between(*result.position, *outline(*result.position, result.ellipse95))
    far = np.hypot(north, east)
    assert far.max() == pytest.approx(result.ellipse95.semi_major_nm, rel=1e-3)
    assert far.min() == pytest.approx(result.ellipse95.semi_minor_nm, rel=1e-3)


def test_a_station_across_the_180_meridian() -> None:
    """A range of 40 NM to a station east of the meridian, flown to from west of it."""
    flight = seen_from_the_dr(Position(30.0, 171.3), EAST, ["Polaris", "Diphda"])
    dr = solve(flight).fix("f1").dr
    station = Position(dr.lat, (dr.lon + 0.8 + 180.0) % 360.0 - 180.0)
    assert dr.lon > 0.0 > station.lon
    away = math.hypot(*(float(x) for x in between(*dr, *station)))
    line = Line(id="l1", kind="range", time=at(60), station=station, range_nm=away, slant=False)
    with_line = replace(flight, lines=(line,), fixes=(replace(flight.fixes[0], sights=("s0", "s1", "l1")),))
    assert off_nm(solve(with_line).fix("f1")) < 0.02  # the small offsets agree with the geodesic to 0.01 NM
