"""Invented solutions for the chart's own tests: geometry laid off by hand, no sky, no estimator."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from typing import Literal

import numpy as np

from nightleg.chart.scene import ChartScene, compose
from nightleg.earth.local import offset
from nightleg.fix.ellipse import cep_nm, ellipse
from nightleg.flight.model import Fix, Flight, Leg, Start, Truth, TruthPoint, Waypoint, Wind
from nightleg.flight.solution import (
    DrState,
    FixResult,
    LineOfPosition,
    Matrix,
    SightResult,
    Solution,
    TrackPoint,
    TrackRun,
)
from nightleg.units.positions import Position

START = datetime(2026, 3, 14, 22, 20, tzinfo=UTC)
AT_SEA = Position(40.5, -24.3)
BODIES = ("Capella", "Sirius", "Vega", "Arcturus", "Dubhe", "Regulus", "Spica", "Moon")


def moved(place: Position, azimuth_deg: float, distance_nm: float) -> Position:
    """A place so far from another in a direction."""
    a = math.radians(azimuth_deg)
    lat, lon = offset(place.lat, place.lon, distance_nm * math.cos(a), distance_nm * math.sin(a))
    return Position(float(lat), float(lon))


def curve(foot: Position, zn_deg: float, altitude_deg: float, half_nm: float, points: int = 49) -> tuple[Position, ...]:
    """A run of the circle of equal altitude about a foot on it; closed where the circle is small enough."""
    radius_nm = 60.0 * (90.0 - altitude_deg)
    if radius_nm * math.pi <= half_nm:
        centre = moved(foot, zn_deg, radius_nm)
        return tuple(moved(centre, a, radius_nm) for a in np.linspace(0.0, 360.0, points).tolist())
    turn = np.linspace(-half_nm, half_nm, points) / radius_nm
    a = math.radians(zn_deg)
    toward, across = radius_nm * (1.0 - np.cos(turn)), radius_nm * np.sin(turn)
    north = toward * math.cos(a) - across * math.sin(a)
    east = toward * math.sin(a) + across * math.cos(a)
    lats, lons = offset(foot.lat, foot.lon, north, east)
    return tuple(Position(float(lat), float(lon)) for lat, lon in zip(lats, lons, strict=True))


def sight(
    id: str, body: str, time: datetime, dr: Position, zn_deg: float, intercept_nm: float, fix: str
) -> SightResult:
    """A reduced sight with nothing in it but what a chart shows."""
    return SightResult(
        id=id, body=body, time=time, watch_time=time, hs=40.0, corrections=(), ho=40.0, hc=40.0, zn=zn_deg,
        intercept_nm=intercept_nm, gha=0.0, gha_aries=0.0, dec=0.0, lha=0.0, reduced_from=dr, assumed=False, dr=dr,
        track_deg=249.0, body_motion_arcmin_per_min=0.0, observer_motion_arcmin_per_min=0.0, sigma_arcmin=2.5, fix=fix,
        used=True,
    )  # fmt: skip


def fixed(
    id: str, time: datetime, dr: Position, place: Position | None, cov: Matrix, kind: str, prior: bool
) -> FixResult:
    """A fix with ellipses from a covariance."""
    return FixResult(
        id=id, kind="known" if kind == "known" else "celestial", time=time, position=place,
        cov_nm2=cov if place else None, ellipse50=ellipse(cov, 0.5) if place else None,
        ellipse95=ellipse(cov, 0.95) if place else None, cep_nm=cep_nm(cov) if place else None, sights=(),
        residuals_arcmin={}, intercepts_nm={}, redundancy={}, chi2=0.5, dof=1, p_value=0.48, common_error_arcmin=None,
        common_error_sigma_arcmin=None, prior=prior, dr=dr, dr_cov_nm2=((60.0, 0.0), (0.0, 60.0)), from_dr_nm=12.0,
        from_dr_deg=94.0, wind_from_deg=296.0, wind_kt=51.0, wind_since=None, mpp_rule=None,
        adopted=place is not None, trust=(),
    )  # fmt: skip


def crossing(
    *,
    start: Position = AT_SEA,
    track_deg: float = 249.0,
    gs_kt: float = 402.0,
    fixes: int = 1,
    shots: int = 3,
    altitude_deg: float = 40.0,
    half_nm: float = 120.0,
    kind: str = "fix",
    minutes_after: float = 0.5,
    off_nm: float = 12.6,
    minutes_between: float = 40.0,
    turn_deg: float = 0.0,
    seed: int = 1,
    reveal: bool = False,
    title: str = "Night crossing",
    until_now: bool = False,
    placed: bool = True,
) -> ChartScene:
    """A flight with fixes some minutes apart, each from `shots` bodies four minutes apart, in all shapes."""
    random = np.random.default_rng(seed)
    here, time = start, START
    runs, lines, results, sights = [], [], [], []
    states = [_state("start", time, here, track_deg, gs_kt, 2.0)]

    def run(until: datetime) -> list[TrackPoint]:
        minutes = (until - time).total_seconds() / 60.0
        steps = np.arange(0.0, minutes + 1e-9, 2.0).tolist()
        if steps[-1] < minutes:
            steps.append(minutes)
        return [TrackPoint(time + timedelta(minutes=m), moved(here, track_deg, gs_kt * m / 60.0)) for m in steps]

    for number in range(fixes):
        at = time + timedelta(minutes=minutes_between)
        points = run(at)
        runs.append(_ticked(points))
        dr = points[-1].position
        truth = moved(dr, 94.0 + float(random.normal(0.0, 40.0)), off_nm)
        name = f"f{number + 1}"
        first_zn = float(random.uniform(0.0, 360.0))
        for shot in range(shots):
            when = at - timedelta(minutes=4.0 * (shots - 1 - shot))
            zn = (first_zn + 360.0 / shots * shot + float(random.normal(0.0, 8.0))) % 360.0
            dr_then = moved(dr, track_deg + 180.0, gs_kt * (at - when).total_seconds() / 3600.0)
            place_then = moved(truth, track_deg + 180.0, gs_kt * (at - when).total_seconds() / 3600.0)
            noise = float(random.normal(0.0, 1.5))
            body = BODIES[(number * shots + shot) % len(BODIES)]
            id = f"s{number * shots + shot + 1}"
            foot_then, foot = moved(place_then, zn, noise), moved(truth, zn, noise)
            lines.append(
                LineOfPosition(
                    id,
                    name,
                    body,
                    when,
                    curve(foot_then, zn, altitude_deg, half_nm),
                    curve(foot, zn, altitude_deg, half_nm),
                    (dr_then, foot_then),
                    at,
                    True,
                )
            )
            sights.append(sight(id, body, when, dr_then, zn, 5.0, name))
        cov = ((9.0, 5.0), (5.0, 24.0))
        result = fixed(name, at, dr, truth if placed else None, cov, kind, kind == "estimated")
        results.append(result)
        here, time = (truth if placed else dr), at
        track_deg = (track_deg + turn_deg) % 360.0
        states.append(_state("fix", at, here, track_deg, gs_kt, 4.0, name))
    now = time + timedelta(minutes=minutes_after)
    if minutes_after > 0.0:
        points = run(now)
        runs.append(_ticked(points))
        states.append(_state("now", now, points[-1].position, track_deg, gs_kt, 7.0))
        here = points[-1].position
    flight = Flight(
        start=Start(time=START, position=start),
        legs=(Leg(time=START, heading_deg=243.0, tas_kt=430.0, wind=Wind(310.0, 45.0)),),
        title=title,
        waypoints=(
            Waypoint(name="JULIET", position=moved(start, track_deg + 3.0, 70.0)),
            Waypoint(name="KILO", position=moved(here, track_deg, 105.0), path="great_circle"),
        ),
        fixes=tuple(Fix(id=r.id, time=r.time) for r in results),
        truth=Truth(track=tuple(TruthPoint(time=r.time, position=moved(r.dr, 80.0, 15.0)) for r in results)),
    )
    solution = Solution(title, now, tuple(states), tuple(sights), tuple(results))
    return compose(flight, solution, lines, runs, now if until_now else None, reveal=reveal)


def _ticked(points: list[TrackPoint]) -> TrackRun:
    return TrackRun(tuple(points), tuple(p for p in points if p.time.minute % 10 == 0 and p.time.second == 0))


def _state(
    kind: Literal["start", "fix", "now"],
    time: datetime,
    place: Position,
    track_deg: float,
    gs_kt: float,
    sigma_nm: float,
    of: str | None = None,
) -> DrState:
    return DrState(
        kind=kind, time=time, position=place, track_deg=track_deg if gs_kt > 0.0 else None, gs_kt=gs_kt,
        drift_deg=6.0 if gs_kt > 0.0 else None, heading_deg=243.0, tas_kt=430.0, wind_from_deg=310.0, wind_kt=45.0,
        altitude_ft=31000.0, cov_nm2=((sigma_nm**2, 0.0), (0.0, sigma_nm**2)), sigma_nm=sigma_nm, of=of,
    )  # fmt: skip
