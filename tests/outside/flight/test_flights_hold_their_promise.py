"""Whole flights through `solve`: drawn from the error model, flown in truth, read, written down and worked.

Truth is flown here with scipy-free plain steps of its own; readings come from the chain's exact inverse at the true
place. The 95 % and 50 % ellipses must hold the truth within the 99 % limits of the binomial, over both fixes of each
flight (the second starts from the first).
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from scipy.stats import binom

from nightleg.air.motion import vector, wind_vector
from nightleg.earth.local import between
from nightleg.fix.ellipse import inside
from nightleg.flight.model import Fix, Flight, Leg, Sextant, Sight, Start, Watch, Wind, WindUncertainty
from nightleg.flight.shots import observe, ready, sky_of
from nightleg.flight.solve import solve
from nightleg.sight.chain import compute, preset_deg
from nightleg.sky.catalogue import NAVIGATIONAL_STARS
from nightleg.sky.places import places_of
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s, instant

START = datetime(2026, 1, 5, 0, 0, tzinfo=UTC)
SIGMA, WIND, WATCH, START_NM = 2.5, 12.0, 2.0, 3.0
FLIGHTS = 2000


def fly(lat: float, lon: float, north_kt: float, east_kt: float, hours: float) -> tuple[float, float]:
    """A constant velocity over the ellipsoid in steps of some seconds (midpoint rule)."""
    a, e2 = 6378137.0 / 1852.0, 0.00669437999014
    steps = max(1, int(abs(hours) * 360))
    dt = hours / steps
    for _ in range(steps):
        s = math.sin(math.radians(lat))
        meridian = a * (1 - e2) / (1 - e2 * s * s) ** 1.5
        middle = lat + math.degrees(north_kt * dt / 2 / meridian)
        s = math.sin(math.radians(middle))
        normal = a / math.sqrt(1 - e2 * s * s)
        lon += math.degrees(east_kt * dt / normal / math.cos(math.radians(middle)))
        lat += math.degrees(north_kt * dt / (a * (1 - e2) / (1 - e2 * s * s) ** 1.5))
    return lat, lon


def stars_for(when: datetime, place: Position, rng: np.random.Generator) -> list[str]:
    """Three stars between 15° and 70°, far apart in azimuth."""
    from nightleg.sight.reduction import altitude_azimuth

    names = list(NAVIGATIONAL_STARS)
    found = places_of(names, np.full(len(names), gmt_s(when)))
    height, azimuth = altitude_azimuth(place.lat, place.lon, found.gha_deg, found.dec_deg)
    up = [i for i in range(len(names)) if 15.0 < height[i] < 70.0]
    first = int(rng.choice(up))
    chosen = [first]
    for turn in (120.0, 240.0):
        wanted = (azimuth[first] + turn) % 360.0
        chosen.append(min(up, key=lambda i: abs((azimuth[i] - wanted + 180.0) % 360.0 - 180.0)))
    return [names[i] for i in chosen]


def one_flight(rng: np.random.Generator) -> list[tuple[np.ndarray, np.ndarray]]:
    """Errors (north, east) and covariances of the fixes of one flight."""
    start = START + timedelta(hours=float(rng.uniform(0.0, 24.0)))
    place = Position(float(np.degrees(np.arcsin(rng.uniform(-0.87, 0.87)))), float(rng.uniform(-180.0, 180.0)))
    wind = Wind(from_deg=float(rng.uniform(0.0, 360.0)), kt=float(rng.uniform(0.0, 80.0)))
    heading, tas = float(rng.uniform(0.0, 360.0)), float(rng.uniform(250.0, 460.0))
    leg = Leg(time=start, heading_deg=heading, tas_kt=tas, wind=wind, altitude_ft=31000.0)
    base = {
        "start": Start(time=start, position=place, sigma_nm=START_NM),
        "legs": (leg,),
        "sextant": Sextant(sigma_arcmin=SIGMA),
        "watch": Watch(sigma_s=WATCH),
        "wind_uncertainty": WindUncertainty(sigma_kt=WIND),
    }
    an, ae = vector(heading, tas)
    late_s = float(rng.normal(0.0, WATCH))
    lat, lon = place
    off = rng.normal(0.0, START_NM / 60.0, 2)
    lat, lon = lat + off[0], lon + off[1] / math.cos(math.radians(lat))
    since, sights, fixes, truths = 0.0, [], [], []
    for number, at_h in enumerate((0.8, 2.0)):
        wn, we = wind_vector(wind.from_deg, wind.kt)
        wn, we = wn + rng.normal(0.0, WIND), we + rng.normal(0.0, WIND)
        here = (lat, lon)

        def true_at(hours: float, here=here, since=since, wn=wn, we=we) -> tuple[float, float]:
            return fly(*here, an + wn, ae + we, hours - since)

        truth = true_at(at_h)
        times = [at_h - 8 / 60, at_h - 4 / 60, at_h + 2 / 60]
        names = stars_for(start + timedelta(hours=at_h), Position(*truth), rng)
        ids = []
        for k, (name, shot_h) in enumerate(zip(names, times, strict=True)):
            id = f"s{number}{k}"
            ids.append(id)
            true_h = shot_h + late_s / 3600.0
            hs = shown(base, name, start + timedelta(hours=true_h), true_at(true_h), wind)
            hs += float(rng.normal(0.0, SIGMA)) / 60.0
            sights.append(Sight(id=id, body=name, time=start + timedelta(hours=shot_h), hs=hs))
        fixes.append(Fix(id=f"f{number}", time=start + timedelta(hours=at_h), sights=tuple(ids)))
        truths.append(truth)
        lat, lon, since = *truth, at_h
    solution = solve(Flight(**base, sights=tuple(sights), fixes=tuple(fixes)))
    out = []
    for fix, truth in zip(fixes, truths, strict=True):
        result = solution.fix(fix.id)
        assert result.position is not None and result.cov_nm2 is not None
        out.append((np.array(between(*result.position, *truth)), np.array(result.cov_nm2)))
    return out


def shown(base: dict, name: str, when: datetime, place: tuple[float, float], wind: Wind) -> float:
    """The reading without error: the chain's inverse at the true place and time, the DR's track and speed."""
    when = instant(gmt_s(when))
    flight = Flight(**base)
    shot = ready(flight.watch, flight.start.time, Sight(id="s", body=name, time=when, hs=45.0))
    plot = solve(flight).plots[0]
    obs = observe(flight.sextant, (shot,), sky_of((shot,)), plot)
    return float(preset_deg(obs, compute(obs, *place), place[0])[0])


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_four_thousand_fixes_of_two_thousand_flights() -> None:
    rng = np.random.default_rng(1959)
    errors, covs = zip(*(fix for _ in range(FLIGHTS) for fix in one_flight(rng)), strict=True)
    count = len(errors)
    for share in (0.95, 0.50):
        hits = int(np.sum(inside(np.array(covs), np.array(errors), share)))
        low, high = binom.interval(0.99, count, share)
        assert low <= hits <= high, f"{hits / count:.4f} of {count} within the {share:.0%} ellipse"


def test_ten_fixes_lie_near_the_truth() -> None:
    rng = np.random.default_rng(3)
    fixes = [fix for _ in range(5) for fix in one_flight(rng)]
    assert len(fixes) == 10
    assert max(float(np.hypot(*error)) for error, _ in fixes) < 15.0
