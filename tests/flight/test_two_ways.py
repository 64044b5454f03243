"""Two ways to lay off a sight, from the DR and from an assumed position, over the globe: both give the same circle."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from msgspec.structs import replace

from nightleg.earth.local import offset
from nightleg.flight.model import Fix, Flight, Leg, Sight, Start, Wind
from nightleg.flight.plotting import circle_about, lines_of_position
from nightleg.flight.shots import Shot, kit_of, observe, sky_of
from nightleg.flight.solution import SightResult
from nightleg.flight.solve import solve
from nightleg.flight.working import explain
from nightleg.sight.chain import compute, preset_deg
from nightleg.sight.reduction import altitude
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)
BODIES = ("Capella", "Vega", "Sirius", "Canopus", "Moon", "Jupiter", "Acrux", "Polaris", "Spica", "Arcturus", "Sun")


def flights() -> list[tuple[Flight, float]]:
    """Flights all over the world with a sight that stands 10° to 80° high, and how far it reads off, arcmin."""
    rng, made = np.random.default_rng(7), []
    corners = [(89.2, 10.0), (-89.5, -130.0), (0.0, 180.0), (12.0, -179.99), (-33.0, 179.99), (0.01, 0.0)]
    spread = rng.uniform((-1.0, -180.0), (1.0, 180.0), (60, 2))
    for lat, lon in corners + [(float(np.degrees(np.arcsin(z))), float(x)) for z, x in spread]:
        leg = Leg(
            time=START,
            heading_deg=float(rng.uniform(0.0, 360.0)),
            tas_kt=420.0,
            wind=Wind(from_deg=280.0, kt=35.0),
            altitude_ft=31000.0,
            steering="great_circle",
        )
        base = Flight(start=Start(time=START, position=Position(lat, lon)), legs=(leg,))
        plot, when = solve(base).plots[0], START + timedelta(minutes=12)
        for body in rng.permutation(BODIES):
            sight = Sight(id="s", body=str(body), time=when, hs=45.0)
            shots = [Shot(sight, when, gmt_s(when), 45.0, 1.0 / 3.0)]
            obs = observe(kit_of(base).sextant, shots, sky_of(shots), plot)
            at_lat, at_lon = plot.position(np.array([gmt_s(when)]))
            at = compute(obs, at_lat, at_lon)
            if 10.0 < float(at.hc_deg[0]) < 80.0:
                off = float(rng.uniform(-20.0, 20.0))
                hs = float(preset_deg(obs, at, at_lat, ho_deg=at.hc_deg + off / 60.0)[0])
                made.append((replace(base, sights=(replace(sight, hs=hs),)), off))
                break
    return made


FLIGHTS = flights()


def from_assumed(flight: Flight) -> tuple[SightResult, SightResult]:
    """The sight from the DR and from an assumed position: whole degrees of latitude and of LHA, as with tables."""
    dr = solve(flight).sight("s")
    lat = float(np.clip(round(dr.dr.lat), -89.0, 89.0))
    lon = ((round((dr.gha + dr.dr.lon) % 360.0) - dr.gha) + 180.0) % 360.0 - 180.0
    assumed = replace(flight, sights=(replace(flight.sights[0], assumed=Position(lat, lon)),))
    return dr, solve(assumed).sight("s")


def test_there_are_flights_in_every_part_of_the_world() -> None:
    assert len(FLIGHTS) > 50


@pytest.mark.parametrize("number", range(0, len(FLIGHTS)))
def test_both_ways_give_the_same_circle(number: int) -> None:
    """Every point of both lines has the altitude Ho, and Ho itself is the same."""
    flight, off = FLIGHTS[number]
    dr, assumed = from_assumed(flight)
    assert assumed.assumed and not dr.assumed and assumed.ho == dr.ho is not None
    assert dr.intercept_nm == pytest.approx(off, abs=0.02)  # the preset is for the DR: it closes to rounding
    assert assumed.lha == pytest.approx(round(assumed.lha), abs=1e-9)
    for sight in (dr, assumed):
        lats, lons = circle_about(sight, 120.0)
        assert np.abs(altitude(lats, lons, sight.gha, sight.dec) - dr.ho).max() < 1e-9  # degrees


@pytest.mark.parametrize("number", range(0, len(FLIGHTS), 3))
def test_the_intercept_leads_from_either_position_to_the_circle(number: int) -> None:
    """Laid off along Zn from the assumed position as from the DR, 1′ as 1 NM: the ellipsoid makes 0.6 % of it."""
    for sight in from_assumed(FLIGHTS[number][0]):
        assert sight.intercept_nm is not None and sight.ho is not None
        a = np.radians(sight.zn)
        lat, lon = offset(*sight.reduced_from, sight.intercept_nm * np.cos(a), sight.intercept_nm * np.sin(a))
        left = (float(altitude(lat, lon, sight.gha, sight.dec)) - sight.ho) * 60.0
        assert abs(left) < 0.007 * abs(sight.intercept_nm) + 0.02


def test_the_straight_tangents_differ_by_the_circles_bow() -> None:
    """s²·tan H/(2·3438) NM at s along the line: for s = 30 NM and H = 70°, 0.36 NM (geometry)."""
    flight, _ = next(one for one in FLIGHTS if 60.0 < solve(one[0]).sight("s").hc < 80.0)
    dr, _ = from_assumed(flight)
    assert dr.ho is not None and dr.intercept_nm is not None
    a, along = np.radians(dr.zn), 30.0
    north = dr.intercept_nm * np.cos(a) - along * np.sin(a)
    east = dr.intercept_nm * np.sin(a) + along * np.cos(a)
    lat, lon = offset(*dr.dr, north, east)
    off = (float(altitude(lat, lon, dr.gha, dr.dec)) - dr.ho) * 60.0
    bow = along**2 * np.tan(np.radians(dr.hc)) / (2.0 * 3438.0)
    # the ellipsoid makes 0.6 % of what is laid off as 1′ = 1 NM
    assert off == pytest.approx(-bow, abs=0.006 * (abs(dr.intercept_nm) + along))


def test_the_stub_sets_out_from_the_assumed_position() -> None:
    """On the chart the azimuth runs from where the sight was laid off to its line, and the fix is the same."""
    flight, _ = FLIGHTS[10]
    fix = Fix(id="f1", time=START + timedelta(minutes=12), sights=("s",), prior=True)
    flight = replace(flight, fixes=(fix,))
    dr, assumed = from_assumed(flight)
    moved = replace(flight, sights=(replace(flight.sights[0], assumed=assumed.reduced_from),))
    for one, sight in ((flight, dr), (moved, assumed)):
        (line,) = lines_of_position(one, solve(one))
        assert line.stub[0] == sight.reduced_from
        assert sight.ho is not None
        end = line.stub[1]
        assert float(altitude(*end, sight.gha, sight.dec)) == pytest.approx(sight.ho, abs=1e-9)
    a, b = solve(flight).fix("f1").position, solve(moved).fix("f1").position
    assert a is not None and b is not None
    assert a == pytest.approx(b, abs=1e-12)


def test_the_working_says_which_way() -> None:
    flight, _ = FLIGHTS[10]
    _, assumed = from_assumed(flight)
    moved = replace(flight, sights=(replace(flight.sights[0], assumed=assumed.reduced_from),))
    for one, way in ((flight, "DR"), (moved, "assumed position")):
        steps = {step.name: dict(step.inputs) for step in explain(one, solve(one), "s").steps}
        assert f"latitude ({way})" in steps["Hc"] and f"longitude ({way})" in steps["LHA"]
