"""Published methods of fixing a position, written again from their formulae, against ours on the same observations.

All formulae here are from memory and were derived again:

- G. H. Kaplan, *Determining the Position and Motion of a Vessel from Celestial Observations*, Navigation 42(4), 1995:
  least squares for latitude, longitude, course and speed of a vessel that holds a rhumb line on the spheroid;
- the Nautical Almanac's explanation, "position from intercept and azimuth using a calculator";
- the double altitude of two bodies by spherical triangles (NGA Pub. 9, and any textbook);
- a published two-body example: C.-L. Chen, T.-P. Hsu and J.-R. Chang, *A Novel Approach to Determine the Astronomical
  Vessel Position*, Journal of Marine Science and Technology 11(4), 2003 (its numbers from memory, worked again here).
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from numpy.typing import NDArray

from nightleg.fix.circles import crossings
from nightleg.flight.model import Fix, Flight, Leg, Sextant, Sight, Start, WindUncertainty
from nightleg.flight.solution import Solution
from nightleg.flight.solve import solve
from nightleg.units.positions import Position

Array = NDArray[np.float64]

START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)
A_NM, E2 = 6378137.0 / 1852.0, 0.00669437999014  # WGS 84
SIGMA_ARCMIN, COURSE, SPEED_KT = 1.0, 240.0, 18.0
BODIES = ("Capella", "Sirius", "Dubhe", "Procyon", "Alkaid", "Aldebaran", "Regulus", "Polaris", "Rigel", "Arcturus")
MINUTES = (8.0, 19.0, 31.0, 40.0, 52.0, 66.0, 79.0, 93.0, 104.0, 118.0)


# ---- the vessel's sights, worked once by the program


def vessel(wind_sigma_kt: float, seed: int = 7) -> tuple[Flight, Solution]:
    """Ten stars in two hours from a vessel whose reckoning is some miles and a knot or two wrong.

    A sea horizon, so that Ho does not depend on the place; readings carry errors of 1′.
    """
    rng = np.random.default_rng(seed)
    truth = (40.10, -30.15, math.radians(244.0), 19.5)
    sights = [Sight(id=f"s{k}", body=b, time=START + timedelta(minutes=m), hs=40.0) for k, (b, m) in _shots()]

    def flight(shots: list[Sight]) -> Flight:
        return Flight(
            start=Start(time=START, position=Position(40.0, -30.0), sigma_nm=2.0),
            legs=(Leg(time=START, heading_deg=COURSE, tas_kt=SPEED_KT, altitude_ft=0.0),),
            sextant=Sextant(horizon="natural", height_of_eye_m=0.0, sigma_arcmin=SIGMA_ARCMIN),
            wind_uncertainty=WindUncertainty(sigma_kt=wind_sigma_kt),
            sights=tuple(shots),
            fixes=(Fix(id="f", time=START + timedelta(hours=2), sights=tuple(s.id for s in shots)),),
        )

    noise = rng.normal(0.0, SIGMA_ARCMIN, len(sights)) / 60.0
    wanted = []
    for sight in solve(flight(sights)).sights:
        lat, lon = sail(*truth, (sight.time - START).total_seconds() / 3600.0)
        wanted.append(altitude(lat, lon, sight.gha, sight.dec)[0])
    for _ in range(5):
        seen = solve(flight(sights)).sights
        sights = [
            Sight(id=s.id, body=s.body, time=s.time, hs=(s.hs or 0.0) + w + e - (r.ho or 0.0))
            for s, r, w, e in zip(sights, seen, wanted, noise, strict=True)
        ]
    ready = flight(sights)
    solution = solve(ready)
    assert all(result.ho is not None and 10.0 < result.ho < 80.0 for result in solution.sights)
    return ready, solution


def _shots() -> list[tuple[int, tuple[str, float]]]:
    return list(enumerate(zip(BODIES, MINUTES, strict=True)))


def altitude(lat: float, lon: float, gha: float, dec: float) -> tuple[float, float]:
    """Altitude and azimuth in degrees by the textbook's formulae."""
    p, d, t = math.radians(lat), math.radians(dec), math.radians(gha + lon)
    h = math.asin(math.sin(p) * math.sin(d) + math.cos(p) * math.cos(d) * math.cos(t))
    z = math.atan2(-math.cos(d) * math.sin(t), math.cos(p) * math.sin(d) - math.sin(p) * math.cos(d) * math.cos(t))
    return math.degrees(h), math.degrees(z) % 360.0


# ---- Kaplan's method


def sail(lat: float, lon: float, course_rad: float, speed_kt: float, hours: float) -> tuple[float, float]:
    """Kaplan's equations of the rhumb line: latitude by the meridian arc, longitude by the isometric latitude."""
    north = speed_kt * hours * math.cos(course_rad)
    end = lat
    for _ in range(6):  # the meridian's radius in the middle of the run; its change over 40 NM is below 1e-6
        s = math.sin(math.radians((lat + end) / 2.0))
        end = lat + math.degrees(north * (1.0 - E2 * s * s) ** 1.5 / (A_NM * (1.0 - E2)))
    if abs(end - lat) < 1e-9:
        n = A_NM / math.sqrt(1.0 - E2 * math.sin(math.radians(lat)) ** 2)
        east = speed_kt * hours * math.sin(course_rad)
        return end, lon + math.degrees(east / n / math.cos(math.radians(lat)))
    return end, lon + math.degrees(math.tan(course_rad) * (_isometric(end) - _isometric(lat)))


def _isometric(lat: float) -> float:
    s, e = math.sin(math.radians(lat)), math.sqrt(E2)
    return math.atanh(s) - e * math.atanh(e * s)


def kaplan(solution: Solution, fix_time: datetime, motion_too: bool) -> tuple[Array, Array]:
    """The four parameters at the fix time (degrees, degrees, radians, knots) and the covariance of the first two, NM².

    Each observation is linearised in the parameters; partial derivatives by differences of his equations.
    """
    shots = [(s.gha, s.dec, s.ho or 0.0, (s.time - fix_time).total_seconds() / 3600.0) for s in solution.sights]
    dr = solution.fix("f").dr
    x = np.array([dr.lat, dr.lon, math.radians(COURSE), SPEED_KT])
    free = 4 if motion_too else 2
    steps = np.array([1e-4, 1e-4, 1e-4, 1e-2])

    def computed(values: Array) -> Array:
        return np.array([60.0 * altitude(*sail(*values, hours), gha, dec)[0] for gha, dec, _, hours in shots])

    for _ in range(12):
        design = np.empty((len(shots), free))
        for k in range(free):
            step = np.zeros(4)
            step[k] = steps[k]
            design[:, k] = (computed(x + step) - computed(x - step)) / (2.0 * steps[k])
        left = np.array([60.0 * ho for _, _, ho, _ in shots]) - computed(x)
        change = np.linalg.lstsq(design, left, rcond=None)[0]
        x[:free] += change
    cov = SIGMA_ARCMIN**2 * np.linalg.inv(design.T @ design)[:2, :2]
    s2 = math.sin(math.radians(x[0])) ** 2
    scale = np.radians(1.0) * np.array(
        [A_NM * (1.0 - E2) / (1.0 - E2 * s2) ** 1.5, A_NM / math.sqrt(1.0 - E2 * s2) * math.cos(math.radians(x[0]))]
    )
    return x, cov * np.outer(scale, scale)


def apart_nm(position: Position | None, lat: float, lon: float) -> float:
    assert position is not None
    east = (position.lon - lon) * math.cos(math.radians(lat))
    return 60.0 * math.hypot(position.lat - lat, east)


def test_kaplan_with_course_and_speed_unknown() -> None:
    """A wind error that may have any size (1000 kt) leaves course and speed to the sights, as Kaplan does.

    0.01 NM: between our start and solution the run differs by 4 NM, over which carrying is taken as linear in the wind.
    """
    flight, solution = vessel(1000.0)
    result = solution.fix("f")
    found, cov = kaplan(solution, flight.fixes[0].time, motion_too=True)
    assert apart_nm(result.position, found[0], found[1]) < 0.01
    assert result.cov_nm2 is not None
    # 1 %: the covariance is taken along the run held there and along the run found here, 4° of course apart
    assert np.asarray(result.cov_nm2) == pytest.approx(cov, rel=0.01, abs=0.01 * float(np.trace(cov)))
    # and the method itself finds the run that the sights were made with: within three of its own sigmas
    assert math.degrees(found[2]) == pytest.approx(244.0, abs=12.0) and found[3] == pytest.approx(19.5, abs=4.0)


def test_kaplan_with_course_and_speed_held() -> None:
    """Without an error of the wind the run is that of the reckoning. 0.001 NM: both stop at that."""
    flight, solution = vessel(0.0)
    result = solution.fix("f")
    found, cov = kaplan(solution, flight.fixes[0].time, motion_too=False)
    assert apart_nm(result.position, found[0], found[1]) < 0.001
    assert np.asarray(result.cov_nm2) == pytest.approx(cov, rel=1e-3, abs=1e-3 * float(np.trace(cov)))


# ---- the Nautical Almanac's method


def almanac_position(sights: list[tuple[float, float, float]], lat: float, lon: float) -> tuple[float, float]:
    """Sums A to E of azimuths and intercepts, the improved position, again until it moves by less than 0.01 NM."""
    for _ in range(20):
        a = b = c = d = e = 0.0
        for gha, dec, ho in sights:
            hc, zn = altitude(lat, lon, gha, dec)
            z, p = math.radians(zn), ho - hc
            a, b, c = a + math.cos(z) ** 2, b + math.cos(z) * math.sin(z), c + math.sin(z) ** 2
            d, e = d + p * math.cos(z), e + p * math.sin(z)
        g = a * c - b * b
        dlon = (a * e - b * d) / (g * math.cos(math.radians(lat)))
        dlat = (c * d - b * e) / g
        lat, lon = lat + dlat, lon + dlon
        if 60.0 * math.hypot(dlon * math.cos(math.radians(lat)), dlat) < 1e-4:
            break
    return lat, lon


@pytest.mark.parametrize("count", [2, 3, 5])
def test_position_from_intercepts_by_the_almanac(count: int) -> None:
    """Shots at the time of the fix: its sums and our estimator are one least squares. 0.001 NM: both stop there."""
    when = START + timedelta(hours=1)
    chosen = ("Capella", "Sirius", "Dubhe", "Alkaid", "Aldebaran")[:count]
    height = (70.0, 30.0, 52.0, 33.0, 48.0)
    sights = tuple(Sight(id=f"s{k}", body=b, time=when, hs=height[k]) for k, b in enumerate(chosen))

    def standing(shots: tuple[Sight, ...]) -> Flight:
        return Flight(
            start=Start(time=START, position=Position(45.0, -20.0)),
            legs=(Leg(time=START, heading_deg=0.0, tas_kt=0.0, altitude_ft=0.0),),
            sextant=Sextant(horizon="natural"),
            sights=shots,
            fixes=(Fix(id="f", time=when, sights=tuple(s.id for s in shots)),),
        )

    off = (8.0, -5.0, 11.0, -2.0, 4.0)
    for _ in range(4):
        seen = solve(standing(sights)).sights
        sights = tuple(
            Sight(id=s.id, body=s.body, time=when, hs=(s.hs or 0.0) + off[k] / 60.0 - (r.intercept_nm or 0.0) / 60.0)
            for k, (s, r) in enumerate(zip(sights, seen, strict=True))
        )
    solution = solve(standing(sights))
    told = [(s.gha, s.dec, s.ho or 0.0) for s in solution.sights]
    lat, lon = almanac_position(told, 45.0, -20.0)
    assert apart_nm(solution.fix("f").position, lat, lon) < 0.001


# ---- two bodies


def double_altitude(one: tuple[float, float, float], two: tuple[float, float, float]) -> list[tuple[float, float]]:
    """Both places by the two spherical triangles: pole and bodies, then zenith and bodies (law of cosines)."""
    (gha1, dec1, h1), (gha2, dec2, h2) = (tuple(map(math.radians, body)) for body in (one, two))
    t = gha2 - gha1  # body two lies west of body one by t
    between = math.acos(math.sin(dec1) * math.sin(dec2) + math.cos(dec1) * math.cos(dec2) * math.cos(t))
    at_one = math.atan2(
        math.cos(dec2) * math.sin(t), math.cos(dec1) * math.sin(dec2) - math.sin(dec1) * math.cos(dec2) * math.cos(t)
    )  # at body one, from north to body two, westward
    zenith = math.acos((math.sin(h2) - math.sin(h1) * math.cos(between)) / (math.cos(h1) * math.sin(between)))
    places = []
    for sign in (1.0, -1.0):
        q = at_one + sign * zenith
        lat = math.asin(math.sin(h1) * math.sin(dec1) + math.cos(h1) * math.cos(dec1) * math.cos(q))
        west = math.atan2(
            math.cos(h1) * math.sin(q),
            math.sin(h1) * math.cos(dec1) - math.cos(h1) * math.sin(dec1) * math.cos(q),
        )
        places.append((math.degrees(lat), (-math.degrees(gha1 + west) + 180.0) % 360.0 - 180.0))
    return places


def dm(degrees: int, minutes: float) -> float:
    return degrees + minutes / 60.0


CAPELLA = (dm(131, 24.8), dm(45, 58.4), dm(15, 19.3))  # GHA, declination, Ho
ALKAID = (dm(3, 14.2), dm(49, 25.7), dm(77, 34.9))


def test_a_published_two_body_fix() -> None:
    """Capella and Alkaid: printed 41°39.1′ N 017°07.3′ W (from memory; the triangles worked here say the same)."""
    by_triangles = double_altitude(CAPELLA, ALKAID)
    ours = crossings(*CAPELLA, *ALKAID)
    for found in (by_triangles, ours):
        nearest = min(found, key=lambda place: abs(place[0] - 41.65) + abs(place[1] + 17.12))
        assert nearest[0] == pytest.approx(dm(41, 39.1), abs=0.05 / 60.0)
        assert nearest[1] == pytest.approx(-dm(17, 7.3), abs=0.05 / 60.0)


@pytest.mark.parametrize("seed", range(6))
def test_both_crossings_by_spherical_triangles(seed: int) -> None:
    rng = np.random.default_rng(seed)
    lat, lon = float(rng.uniform(-65.0, 65.0)), float(rng.uniform(-180.0, 180.0))
    bodies = []
    while len(bodies) < 2:
        gha, dec = float(rng.uniform(0.0, 360.0)), float(rng.uniform(-60.0, 60.0))
        height = altitude(lat, lon, gha, dec)[0]
        if 10.0 < height < 80.0:
            bodies.append((gha, dec, height))
    ours, theirs = sorted(crossings(*bodies[0], *bodies[1])), sorted(double_altitude(*bodies))
    assert len(ours) == len(theirs) == 2
    for one, two in zip(ours, theirs, strict=True):
        assert one[0] == pytest.approx(two[0], abs=1e-6)
        assert (one[1] - two[1] + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=1e-6)
