"""Worked examples and facts of the handbooks on lines of position and fixes.

AFPAM 11-216 (Air Navigation), FAA-H-8083-18 (Flight Navigator Handbook); numbers from memory, each worked again here.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from msgspec.structs import replace
from numpy.typing import NDArray

from nightleg.earth.local import between
from nightleg.fix.estimator import ErrorModel, Estimate, Seen, estimate
from nightleg.flight.model import Fix, Flight, Leg, Line, Sextant, Sight, Start
from nightleg.flight.plotting import lines_of_position
from nightleg.flight.solve import solve
from nightleg.sky.places import places
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

Array = NDArray[np.float64]

WHEN = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)


def place_with(body: str, height_deg: float, zn_deg: float) -> Position:
    """Where a body stands at that altitude and azimuth at `WHEN`, by the cosine and sine formulae of the triangle."""
    at = places(body, gmt_s(WHEN))
    d, h, z = (math.radians(x) for x in (float(at.dec_deg), height_deg, zn_deg))
    # sin d = sin L sin h + cos L cos h cos Z is one sine of L + phase
    size, phase = math.hypot(math.sin(h), math.cos(h) * math.cos(z)), math.atan2(math.cos(h) * math.cos(z), math.sin(h))
    lat = math.asin(math.sin(d) / size) - phase
    west = math.atan2(-math.cos(h) * math.sin(z), (math.sin(h) - math.sin(lat) * math.sin(d)) / math.cos(lat))
    return Position(math.degrees(lat), (math.degrees(west) - float(at.gha_deg) + 180.0) % 360.0 - 180.0)


def test_an_intercept_away() -> None:
    """AFPAM 11-216: Ho 32°14′, Hc 32°29′, Zn 120: 15 NM away, so the line is crossed 15 NM from the DR on 300."""
    here = place_with("Sirius", 32.0 + 29.0 / 60.0, 120.0)
    flight = Flight(
        start=Start(time=WHEN, position=here),
        legs=(Leg(time=WHEN, heading_deg=0.0, tas_kt=0.0, altitude_ft=0.0),),
        sextant=Sextant(horizon="natural"),
        sights=(Sight(id="s1", body="Sirius", time=WHEN, hs=32.0),),
    )
    for _ in range(4):
        told = solve(flight).sight("s1")
        wanted = (flight.sights[0].hs or 0.0) + 32.0 + 14.0 / 60.0 - (told.ho or 0.0)
        flight = replace(flight, sights=(replace(flight.sights[0], hs=wanted),))
    solution = solve(flight)
    told = solution.sight("s1")
    assert told.hc == pytest.approx(32.0 + 29.0 / 60.0, abs=1e-6) and told.zn == pytest.approx(120.0, abs=1e-6)
    assert told.intercept_nm == pytest.approx(-15.0, abs=1e-3)
    stub = lines_of_position(flight, solution)[0].stub
    north, east = between(*stub[0], *stub[-1])
    assert math.hypot(north, east) == pytest.approx(15.0, abs=0.1)  # 1′ is 1 NM within 0.6 %
    assert math.degrees(math.atan2(east, north)) % 360.0 == pytest.approx(300.0, abs=0.3)


@pytest.mark.parametrize("body", ["Vega", "Sirius", "Capella"])
def test_a_minute_early_is_fifteen_minutes_of_longitude(body: str) -> None:
    """AFPAM 11-216, ch. 12: for a shot one minute early the assumed position goes 15′ of longitude east (15.04′)."""
    then, now = (places(body, gmt_s(WHEN - timedelta(minutes=m))) for m in (1.0, 0.0))
    east_arcmin = ((float(now.gha_deg) - float(then.gha_deg)) % 360.0) * 60.0
    assert east_arcmin == pytest.approx(15.04, abs=0.005)


def test_effective_true_airspeed_of_a_pressure_line() -> None:
    """AFPAM 11-216: 516 NM of straight air path in two hours are ETAS 258 kt; Z = 21.47·(D₂ - D₁)/(ETAS·sin L)."""
    start = Position(45.0, -30.0)
    flight = Flight(
        start=Start(time=WHEN, position=start),
        legs=(Leg(time=WHEN, heading_deg=90.0, tas_kt=258.0, altitude_ft=18000.0),),
        lines=(Line(id="p", kind="pressure", time=WHEN + timedelta(hours=2), d1_ft=400.0, d2_ft=700.0),),
    )
    line = solve(flight).line("p")
    z_left = 21.47 * 300.0 / (258.0 * math.sin(math.radians(45.0)))
    # 0.2 %: the constant is 21.51 by the geostrophic wind on today's Earth, 21.47 as printed
    assert abs(line.offset_nm or 0.0) == pytest.approx(z_left, rel=2.5e-3)
    assert line.position is not None and line.position.lat > 45.0  # a rise carries to the left in the north


# ---- three lines in the plane: residual = u·(truth - place) + error


def crossed(azimuths_deg: tuple[float, ...], errors: Array, solve_common: bool = False) -> tuple[Estimate, Array]:
    """Fixes of lines with those errors (…, n), and how far north and east each lies of the truth at 30° N."""
    zn = np.radians(azimuths_deg)

    def see(lats: Array, lons: Array) -> Seen:
        north, east = between(lats, lons, 30.0, 0.0)
        left = north * np.cos(zn) + east * np.sin(zn) + errors[..., None, :]
        beside = np.zeros((*left.shape[:-2], 2, len(zn))) + left[..., :1, :]  # shots at the time of the fix: no wind
        return Seen(
            np.concatenate([left, beside], axis=-2), np.broadcast_to(np.degrees(zn), errors.shape), 0.0 * errors
        )

    model = ErrorModel(np.full(errors.shape, 2.5), 0.0, 0.0, 0.0)
    start = np.full(errors.shape[:-1], 30.0), np.zeros(errors.shape[:-1])
    found = estimate(see, *start, model, solve_common=solve_common)
    return found, np.stack(between(30.0, 0.0, found.lat, found.lon), axis=-1)


def test_the_triangle_holds_the_truth_one_time_in_four() -> None:
    """FAA-H-8083-18: with independent errors of either sign; inside, all three lines lie to one side of the truth."""
    count = 20_000
    errors = np.random.default_rng(8).normal(0.0, 2.5, (count, 3))
    found, off = crossed((0.0, 120.0, 240.0), errors)
    # the truth lies inside if its offsets from the three lines have one sign, which the errors are
    inside = np.all(errors > 0.0, axis=1) | np.all(errors < 0.0, axis=1)
    assert np.mean(inside) == pytest.approx(0.25, abs=2.6 * math.sqrt(0.25 * 0.75 / count))
    # and the fix always lies inside: its residuals have one sign
    assert np.all(np.sign(found.residuals_arcmin) == np.sign(found.residuals_arcmin[:, :1]))
    assert np.mean(np.hypot(*off.T)) > 1.0


@pytest.mark.parametrize(
    ("azimuths", "moved_by"),
    [
        ((0.0, 120.0, 240.0), 0.0),
        ((10.0, 100.0, 190.0, 280.0), 0.0),
        # (Σu·uᵀ)⁻¹·Σu by hand for u at 0°, 60° and 120°: (2/3, 2/√3), which is 4/3 towards 060
        ((0.0, 60.0, 120.0), 4.0 / 3.0),
    ],
)
def test_an_error_common_to_all_shots(azimuths: tuple[float, ...], moved_by: float) -> None:
    """FAA-H-8083-18: azimuths all round cancel a common error; within 180° it moves the fix out of the triangle."""
    common = 6.0
    errors = np.full((1, len(azimuths)), common)
    _, off = crossed(azimuths, errors)
    assert math.hypot(*off[0]) == pytest.approx(moved_by * common, abs=0.01)
    if moved_by:
        assert math.degrees(math.atan2(off[0, 1], off[0, 0])) == pytest.approx(60.0, abs=0.1)
    solved, left = crossed(azimuths, errors, solve_common=True)
    assert solved.common_arcmin[0] == pytest.approx(common, abs=0.01) and math.hypot(*left[0]) < 0.01


@pytest.mark.parametrize(("azimuths", "wrong", "moved_by"), [((0.0, 30.0), 5.0, 10.0), ((0.0, 60.0, 120.0), 3.0, 2.0)])
def test_an_error_in_one_line(azimuths: tuple[float, ...], wrong: float, moved_by: float) -> None:
    """FAA-H-8083-18: 5 NM in one of two lines at 30° moves the fix by 10 NM, 3 NM in one of three at 60° by 2 NM."""
    errors = np.zeros((1, len(azimuths)))
    errors[0, 0] = wrong
    assert math.hypot(*crossed(azimuths, errors)[1][0]) == pytest.approx(moved_by, abs=0.01)


def test_a_shot_taken_late_is_kept() -> None:
    """AFPAM 11-216: it is worked with the motions of its own time, so the fix does not care when it was taken."""
    here = Position(40.0, -30.0)
    leg = Leg(time=WHEN, heading_deg=250.0, tas_kt=430.0, altitude_ft=31000.0)
    places_of_fix = []
    for minute in (56.0, 58.5, 63.0):
        times = (52.0, minute, 60.0)
        sights = tuple(
            Sight(id=f"s{k}", body=b, time=WHEN + timedelta(minutes=m), hs=40.0)
            for k, (b, m) in enumerate(zip(("Capella", "Sirius", "Dubhe"), times, strict=True))
        )
        flight = Flight(start=Start(time=WHEN, position=here), legs=(leg,), sights=sights)
        for _ in range(5):
            seen = solve(flight).sights
            sights = tuple(
                replace(s, hs=(s.hs or 0.0) + (10.0 - (r.intercept_nm or 0.0)) / 60.0)
                for s, r in zip(flight.sights, seen, strict=True)
            )
            flight = replace(flight, sights=sights)
        fix = Fix(id="f", time=WHEN + timedelta(hours=1), sights=("s0", "s1", "s2"))
        places_of_fix.append(solve(replace(flight, fixes=(fix,))).fix("f").position)
    first = places_of_fix[0]
    assert first is not None
    for other in places_of_fix[1:]:
        assert other is not None
        # every shot reads 10′ too much; a body's azimuth turns by a degree in some minutes, which is 0.2 NM in 10
        assert math.hypot(*between(*first, *other)) < 0.5
