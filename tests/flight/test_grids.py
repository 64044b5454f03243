"""Grid headings and grid winds: against the rule, PROJ's convergence, and tracks that stay straight over the pole."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pyproj
import pytest
from geographiclib.geodesic import Geodesic
from msgspec.structs import replace

from nightleg.earth.grid import convergence_deg, lambert_constant
from nightleg.flight.errors import FlightError
from nightleg.flight.grids import GREENWICH, grid_state, grid_words, used_grid
from nightleg.flight.model import Fix, Flight, Grid, HeadingCheck, Leg, Start, Wind
from nightleg.flight.read import parse_flight
from nightleg.flight.solve import solve
from nightleg.flight.write import write_flight
from nightleg.units.positions import Position

START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)
LAMBERT = Grid(chart="lambert", cone_latitude_deg=50.0, reference_deg=-30.0)


def flight(at: Position, leg: Leg | None = None, **more: object) -> Flight:
    leg = leg or Leg(
        time=START, heading_grid_deg=90.0, tas_kt=400.0, altitude_ft=31000.0, steering="great_circle", wind=None
    )
    return Flight(start=Start(time=START, position=at), legs=(leg,), **more)


@pytest.mark.parametrize(
    ("lat", "lon", "grid_of_north"),
    # the rule grid = true - n (longitude - reference), n = 1 north, -1 south, reference 0 (common practice, no source)
    [(75.0, -90.0, 90.0), (-75.0, -90.0, 270.0), (75.0, 90.0, 270.0), (-75.0, 90.0, 90.0), (80.0, 0.0, 0.0)],
)
def test_true_north_by_the_polar_grid(lat: float, lon: float, grid_of_north: float) -> None:
    """A leg on that grid heading flies true north; the DR and a heading check tell the same grid direction."""
    leg = Leg(time=START, heading_grid_deg=grid_of_north, tas_kt=400.0, steering="great_circle")
    probe = HeadingCheck(
        id="h1", body="Vega", time=START, relative_bearing_deg=0.0, shown_deg=grid_of_north, shown="grid"
    )
    base = flight(Position(lat, lon), leg)
    zn = solve(replace(base, heading_checks=(probe,))).heading_checks[0].zn
    check = replace(probe, relative_bearing_deg=zn if zn <= 360.0 else 0.0)
    solution = solve(replace(base, heading_checks=(check,)))
    state = solution.dr[0]
    assert min(state.heading_deg, 360.0 - state.heading_deg) == pytest.approx(0.0, abs=1e-9)
    assert grid_state(GREENWICH, state).heading_deg == pytest.approx(grid_of_north, abs=1e-9)
    assert solution.heading_checks[0].should_show_deg == pytest.approx(grid_of_north, abs=1e-9)
    assert solution.heading_checks[0].error_deg == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("grid", "definition"),
    [
        (Grid(), "+proj=stere +lat_0=90 +lat_ts=90 +lon_0=0"),
        (Grid(reference_deg=-100.0), "+proj=stere +lat_0=90 +lat_ts=75 +lon_0=-100"),
        (Grid(reference_deg=45.0), "+proj=stere +lat_0=-90 +lat_ts=-71 +lon_0=45"),
        (LAMBERT, "+proj=lcc +lon_0=-30 +lat_0=50 +lat_1=50 +lat_2=50"),
        (
            Grid(chart="lambert", first_parallel_deg=33.0, second_parallel_deg=45.0, reference_deg=10.0),
            "+proj=lcc +lon_0=10 +lat_0=39 +lat_1=33 +lat_2=45",
        ),
        (
            Grid(chart="lambert", first_parallel_deg=-20.0, second_parallel_deg=-40.0, reference_deg=150.0),
            "+proj=lcc +lon_0=150 +lat_0=-30 +lat_1=-20 +lat_2=-40",
        ),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_convergence_against_proj(grid: Grid, definition: str) -> None:
    """True less grid is PROJ's meridian convergence of the same chart, whatever the heading check or the leg."""
    from nightleg.flight.grids import convergence

    south = "lat_0=-" in definition
    for lat in (-88.0, -70.0, -35.0) if south else (88.0, 70.0, 35.0):
        for lon in (grid.reference_deg + off for off in (-120.0, -5.0, 0.0, 40.0, 110.0)):
            factors = pyproj.Proj(definition + " +ellps=WGS84").get_factors(lon, lat)
            off = (convergence(grid, lat, lon) - factors.meridian_convergence + 180.0) % 360.0 - 180.0
            assert off == pytest.approx(0.0, abs=2e-5)  # degrees; PROJ takes differences


def test_constants_of_cones() -> None:
    """n = sin of one standard parallel; for 33° and 45° on Clarke 1866 Snyder prints 0.6304965 (p. 296, from memory:
    WGS 84 differs in the sixth decimal)."""
    assert lambert_constant(45.0) == pytest.approx(np.sin(np.radians(45.0)))
    assert lambert_constant(-45.0) == pytest.approx(-np.sin(np.radians(45.0)))
    assert lambert_constant(33.0, 45.0) == pytest.approx(0.6304965, abs=1e-5)
    assert convergence_deg(1.0, 179.0, -179.0) == pytest.approx(-2.0)


def test_a_grid_wind_is_turned_at_the_leg() -> None:
    """At 90° W in the north the grid is 90° ahead of true; in the south 90° behind; on the cone by its n."""
    for lat, grid, true in ((75.0, None, 310.0), (-75.0, None, 130.0), (50.0, LAMBERT, None)):
        leg = Leg(
            time=START,
            heading_deg=0.0,
            tas_kt=400.0,
            wind=Wind(from_deg=40.0, kt=30.0, grid=True),
            steering="great_circle",
        )
        state = solve(flight(Position(lat, -90.0), leg, grid=grid)).dr[0]
        wanted = true if true is not None else (40.0 + np.sin(np.radians(50.0)) * -60.0) % 360.0
        assert state.wind_from_deg == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("south", [False, True])
def test_a_grid_heading_flies_over_the_pole(south: bool) -> None:
    """From 85° on grid 090 past the pole: a great circle by GeographicLib, the grid heading kept to half a degree."""
    sign = -1.0 if south else 1.0
    base = flight(Position(sign * 85.0, -95.0))
    now = START + timedelta(hours=1, minutes=45)
    solution = solve(base, now)
    state = solution.dr[-1]
    line = Geodesic.WGS84.Direct(sign * 85.0, -95.0, solution.dr[0].heading_deg, 700.0 * 1852.0)
    assert state.position.lat == pytest.approx(line["lat2"], abs=1e-6)
    assert state.position.lon == pytest.approx(line["lon2"], abs=1e-5)
    by = grid_state(GREENWICH, state)
    # a great circle is straight on the polar chart to third order: 0.4° at 5° from the pole
    assert by.heading_deg == pytest.approx(90.0, abs=0.5)


@pytest.mark.parametrize("lat", [88.0, -88.0, 89.95])
def test_lines_near_the_pole_are_carried_side_by_side(lat: float) -> None:
    """Points up to 60 NM about the DR keep their distances from it while they are carried over the pole.

    Held to one true track they would be turned about by as much as meridians converge.
    """
    from nightleg.earth.local import between, offset

    base = flight(Position(lat, 40.0))
    plot = solve(base, START + timedelta(hours=1)).plots[0]
    rng = np.random.default_rng(1)
    north, east = rng.uniform(-60.0, 60.0, (2, 40))
    lats, lons = offset(lat, 40.0, north, east)
    after = plot.carry(lats, lons, plot.time_s, plot.time_s + 1800.0)
    here = plot.position(plot.time_s + 1800.0)
    gone_north, gone_east = between(*here, *after)
    before, now = np.hypot(north, east), np.hypot(gone_north, gone_east)
    assert np.abs(now - before).max() < 0.5  # NM: a sphere's lines draw together by 60·(1 - cos 3.3°) NM
    back = plot.carry(*after, plot.time_s + 1800.0, plot.time_s)
    home_north, home_east = between(lats, lons, *back)
    assert np.hypot(home_north, home_east).max() < 1e-6


@pytest.mark.parametrize("lat", [87.0, -87.0])
def test_after_a_fix_the_grid_heading_goes_on(lat: float) -> None:
    """A fix some miles off, on another meridian: the aircraft has not turned, so its grid heading is the same."""
    leg = Leg(time=START, heading_grid_deg=60.0, tas_kt=400.0, steering="great_circle")
    fix = Fix(id="f1", time=START + timedelta(minutes=20), kind="known", position=Position(lat, 170.0), sigma_nm=1.0)
    solution = solve(flight(Position(lat, 120.0), leg, fixes=(fix,)))
    after = next(state for state in solution.dr if state.kind == "fix")
    assert grid_state(GREENWICH, after).heading_deg == pytest.approx(60.0, abs=0.5)


def test_away_from_the_poles_a_fix_keeps_the_true_track() -> None:
    leg = Leg(time=START, heading_deg=60.0, tas_kt=400.0, steering="great_circle")
    fix = Fix(id="f1", time=START + timedelta(minutes=20), kind="known", position=Position(60.0, 130.0), sigma_nm=1.0)
    solution = solve(flight(Position(60.0, 120.0), leg, fixes=(fix,)))
    plot = solution.plots[0]
    after = next(state for state in solution.dr if state.kind == "fix")
    assert after.track_deg == pytest.approx(plot.track(plot.time_s + 1200.0))


def test_a_rhumb_leg_with_a_grid_heading_is_warned_of() -> None:
    leg = Leg(time=START, heading_grid_deg=60.0, tas_kt=400.0)
    assert any("grid heading" in said for said in solve(flight(Position(70.0, 0.0), leg)).warnings)


def test_what_the_file_says_is_written_again() -> None:
    for grid in (Grid(), LAMBERT, Grid(chart="lambert", first_parallel_deg=33.0, second_parallel_deg=45.0)):
        leg = Leg(time=START, heading_grid_deg=12.5, tas_kt=400.0, wind=Wind(from_deg=5.0, kt=20.0, grid=True))
        whole = flight(Position(70.0, 0.0), leg, grid=grid)
        assert parse_flight(write_flight(whole)).flight == whole
    assert used_grid(flight(Position(70.0, 0.0))) == GREENWICH
    assert used_grid(flight(Position(70.0, 0.0), Leg(time=START, heading_deg=0.0, tas_kt=400.0))) is None
    assert grid_words(Grid(reference_deg=-90.0)) == "polar grid, reference meridian 90° W"
    assert "n 0.7660, reference meridian 30° W" in grid_words(LAMBERT)


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ('chart = "lambert"', "a Lambert chart needs cone_latitude_deg"),
        ('chart = "lambert"\nfirst_parallel_deg = 33', "second_parallel_deg is missing"),
        ('chart = "lambert"\nsecond_parallel_deg = 33', "first_parallel_deg is missing"),
        ('chart = "lambert"\ncone_latitude_deg = 45\nfirst_parallel_deg = 33', "both give the cone"),
        ("cone_latitude_deg = 45", "a polar chart has no cone"),
        ('chart = "lambert"\nfirst_parallel_deg = -33\nsecond_parallel_deg = 33', "a middle off the equator"),
        ('chart = "lambert"\ncone_latitude_deg = 0.1', "a middle off the equator"),
        ('chart = "gnomonic"', 'right is one of "polar", "lambert"'),
        ("reference = 12", "nearest is reference_deg"),
    ],
)
def test_a_grid_that_cannot_be_is_told(table: str, said: str) -> None:
    text = write_flight(flight(Position(70.0, 0.0))) + f"\n[grid]\n{table}\n"
    with pytest.raises(FlightError) as caught:
        parse_flight(text)
    messages = [problem.message for problem in caught.value.problems]
    assert len(messages) == 1 and said in messages[0], messages
