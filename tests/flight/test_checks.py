"""Heading checks and winds by drift in a flight."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import ppigrf
import pytest
from msgspec.structs import replace

from nightleg.air.wind import ground
from nightleg.flight.model import Drift, Flight, HeadingCheck, Leg, Sight, Start, Wind
from nightleg.flight.solve import solve
from nightleg.units.positions import Position

START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)


def at(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


FLIGHT = Flight(
    start=Start(time=START, position=Position(41.5, -28.25)),
    legs=(Leg(time=START, heading_deg=262.0, tas_kt=430.0, wind=Wind(from_deg=310.0, kt=45.0), altitude_ft=31000.0),),
)


def checked(shown: str, shown_deg: float, body: str = "Venus", minutes: float = 0.0):
    check = HeadingCheck(
        id="h1", body=body, time=at(minutes), relative_bearing_deg=20.0, shown_deg=shown_deg, shown=shown
    )
    return solve(replace(FLIGHT, heading_checks=(check,))).heading_checks[0]


def test_true_heading_is_zn_less_the_relative_bearing() -> None:
    result = checked("true", 240.0)
    probe = Sight(id="s", body="Venus", time=at(0), hs=20.0)
    zn = solve(replace(FLIGHT, sights=(probe,))).sight("s").zn
    assert result.zn == pytest.approx(zn, abs=1e-9)
    assert result.true_heading_deg == pytest.approx((zn - 20.0) % 360.0)
    assert result.error_deg == pytest.approx((240.0 - (zn - 20.0) + 180.0) % 360.0 - 180.0)


def test_a_compass_is_held_against_the_magnetic_heading() -> None:
    """Variation by ppigrf: true less variation (east positive) is what a compass without deviation shows."""
    east, north, _ = ppigrf.igrf(-28.25, 41.5, 31000 * 0.3048e-3, datetime(2026, 3, 14, 22, 0))
    variation = math.degrees(math.atan2(east.item(), north.item()))
    true = checked("true", 0.0).true_heading_deg
    result = checked("compass", 250.0)
    assert result.should_show_deg == pytest.approx((true - variation) % 360.0, abs=0.01)
    assert result.error_deg == pytest.approx((250.0 - true + variation + 180.0) % 360.0 - 180.0, abs=0.01)


@pytest.mark.parametrize(("lat", "lon", "grid"), [(75.0, -90.0, 90.0), (-75.0, -90.0, 270.0), (75.0, 90.0, 270.0)])
def test_grid_heading_of_true_north(lat: float, lon: float, grid: float) -> None:
    """Polar stereographic grid: 75N 090W true 000 is grid 090; 75S 090W 270; 75N 090E 270 (geometry)."""
    base = replace(
        FLIGHT,
        start=Start(time=START, position=Position(lat, lon)),
        legs=(replace(FLIGHT.legs[0], steering="great_circle"),),
    )
    check = HeadingCheck(
        id="h",
        body="Capella" if lat > 0 else "Canopus",
        time=START,
        relative_bearing_deg=0.0,
        shown_deg=0.0,
        shown="true",
    )
    zn = solve(replace(base, heading_checks=(check,))).heading_checks[0].zn
    north = replace(check, relative_bearing_deg=zn if zn <= 360.0 else zn - 360.0, shown="grid", shown_deg=grid)
    result = solve(replace(base, heading_checks=(north,))).heading_checks[0]
    assert result.true_heading_deg % 360.0 == pytest.approx(0.0, abs=1e-9)
    assert result.should_show_deg == pytest.approx(grid, abs=1e-9)
    assert result.error_deg == pytest.approx(0.0, abs=1e-9)


def test_a_high_body_is_warned_of() -> None:
    assert any("low body" in w for w in checked("true", 250.0, body="Capella").warnings)
    assert any("below the horizon" in w for w in checked("true", 250.0, body="Sun", minutes=120.0).warnings)


def test_drifts_near_each_other_give_a_wind() -> None:
    headings = (220.0, 300.0)
    drifts = tuple(
        Drift(
            id=f"d{i}",
            time=at(20 + 3 * i),
            heading_deg=h,
            drift_deg=float(ground(h, 430.0, 290.0, 60.0)[2]),
        )
        for i, h in enumerate(headings)
    )
    (found,) = solve(replace(FLIGHT, drifts=drifts)).drift_winds
    assert found.ids == ("d0", "d1") and found.wind is not None
    assert (found.wind.from_deg, found.wind.kt) == (pytest.approx(290.0, abs=1e-6), pytest.approx(60.0, abs=1e-6))


def test_a_lone_drift_says_why_it_gives_none() -> None:
    drift = Drift(id="d1", time=at(20), heading_deg=262.0, drift_deg=-5.0)
    later = Drift(id="d2", time=at(50), heading_deg=200.0, drift_deg=-8.0)
    first, second = solve(replace(FLIGHT, drifts=(drift, later))).drift_winds
    assert first.wind is None and "two headings" in first.why_not
    assert second.ids == ("d2",)


def test_the_wind_found_at_a_fix_has_an_error_of_its_own() -> None:
    """Two known places an hour apart, 1 and 2 NM wrong on each axis: √5 kt."""
    from nightleg.flight.model import Fix

    known = Fix(id="k", time=at(60), kind="known", position=Position(40.0, -37.0), sigma_nm=1.0)
    result = solve(replace(FLIGHT, fixes=(known,))).fix("k")
    assert result.wind_cov_kt2 is not None
    assert result.wind_cov_kt2[0][0] == pytest.approx(5.0)
    assert result.wind_cov_kt2[0][1] == 0.0
