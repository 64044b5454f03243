"""Whole sights against Astropy: what a sextant shows, made from Astropy's topocentric altitude, reduces to nothing.

A sea-horizon shot from a standing observer: Astropy's AltAz (no refraction, the same kernel DE421 and UT1) gives where
the centre stands, its distance gives the semidiameter; the Nautical Almanac's refraction and dip, written again here,
make the reading. Reduced at the true place the intercept must be zero; three of them must fix the place.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
import skyfield_data
from astropy import units
from astropy.coordinates import AltAz, Distance, EarthLocation, SkyCoord, get_body, solar_system_ephemeris
from astropy.time import Time
from astropy.utils import iers

from nightleg.flight.model import Fix, Flight, Leg, Sextant, Sight, Start
from nightleg.flight.solve import solve
from nightleg.sky import timescale
from nightleg.sky.catalogue import star
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

KERNEL = str(Path(skyfield_data.__file__).parent / "data" / "de421.bsp")
RADIUS_KM = {"Sun": 696000.0, "Moon": 1737.4}
EYE_M = 12.0
# Polar motion (0.6″) and diurnal aberration (0.3″) are left out on our side: 0.02′; refraction is written to 0.001′.
TOLERANCE_ARCMIN = 0.03


@pytest.fixture(autouse=True)
def offline():
    with (
        iers.conf.set_temp("auto_download", False),
        iers.conf.set_temp("iers_degraded_accuracy", "warn"),
        solar_system_ephemeris.set(KERNEL),
    ):
        yield


def seen(body: str, when: datetime, place: Position) -> tuple[float, float]:
    """Topocentric altitude of the centre without refraction (degrees) and distance (km), by Astropy."""
    time = Time(when.replace(tzinfo=None), scale="utc")
    time.delta_ut1_utc = float(timescale.dut1_s(gmt_s(when)))
    site = EarthLocation.from_geodetic(place.lon * units.deg, place.lat * units.deg, EYE_M * units.m)
    frame = AltAz(obstime=time, location=site, pressure=0 * units.hPa)
    if body in ("Sun", "Moon", "Venus", "Mars", "Jupiter", "Saturn"):
        direction = get_body(body.lower(), time, site).transform_to(frame)
        return float(direction.alt.deg), float(direction.distance.to_value(units.km))
    data = star(body)
    catalogued = SkyCoord(
        ra=data.ra_deg * units.deg,
        dec=data.dec_deg * units.deg,
        pm_ra_cosdec=data.pm_ra_mas_per_year * units.mas / units.yr,
        pm_dec=data.pm_dec_mas_per_year * units.mas / units.yr,
        distance=Distance(parallax=data.parallax_mas * units.mas),
        obstime=Time(1991.25, format="jyear", scale="tt"),
    ).apply_space_motion(new_obstime=time)
    return float(catalogued.transform_to(frame).alt.deg), math.inf


def reading(body: str, when: datetime, place: Position, limb: str) -> float:
    """What the sextant shows above the sea horizon at 15 °C and 1013.25 hPa (ISO 2533 at sea level)."""
    centre, distance_km = seen(body, when, place)
    sign = {"lower": 1.0, "centre": 0.0, "upper": -1.0}[limb]
    target = centre - sign * math.degrees(math.asin(RADIUS_KM.get(body, 0.0) / distance_km))
    apparent = target
    for _ in range(40):
        bracket = math.radians(apparent + 7.32 / (apparent + 4.32))
        apparent = target + 0.0167 / math.tan(bracket) * 0.28 * 1013.25 / (15.0 + 273.0)
    return apparent + 0.0293 * math.sqrt(EYE_M)


def standing(place: Position, when: datetime, sights: tuple[Sight, ...], fixes: tuple[Fix, ...] = ()) -> Flight:
    return Flight(
        start=Start(time=when - timedelta(hours=1), position=place, sigma_nm=5.0),
        legs=(Leg(time=when - timedelta(hours=1), heading_deg=0.0, tas_kt=0.0),),
        sextant=Sextant(horizon="natural", height_of_eye_m=EYE_M),
        sights=sights,
        fixes=fixes,
    )


SHOTS = [
    ("Sun", "lower", datetime(2024, 6, 21, 15, 30, tzinfo=UTC), Position(35.0, -40.0)),
    ("Sun", "upper", datetime(1996, 12, 3, 4, 10, tzinfo=UTC), Position(-38.0, 150.0)),
    ("Moon", "lower", datetime(2024, 3, 20, 22, 15, tzinfo=UTC), Position(48.0, -20.0)),
    ("Moon", "upper", datetime(2015, 9, 28, 2, 40, tzinfo=UTC), Position(12.0, -60.0)),
    ("Moon", "centre", datetime(1983, 5, 20, 22, 15, tzinfo=UTC), Position(62.0, 10.0)),
    ("Moon", "lower", datetime(2011, 3, 19, 20, 0, tzinfo=UTC), Position(-15.0, 30.0)),
    ("Venus", "centre", datetime(2020, 4, 28, 20, 0, tzinfo=UTC), Position(40.0, 0.0)),
    ("Mars", "centre", datetime(2003, 8, 28, 0, 30, tzinfo=UTC), Position(20.0, 5.0)),
    ("Jupiter", "centre", datetime(2022, 9, 26, 22, 0, tzinfo=UTC), Position(45.0, 10.0)),
    ("Saturn", "centre", datetime(1999, 11, 6, 22, 0, tzinfo=UTC), Position(30.0, 15.0)),
    ("Capella", "centre", datetime(2024, 1, 10, 23, 0, tzinfo=UTC), Position(55.0, -40.0)),
    ("Canopus", "centre", datetime(1975, 1, 10, 23, 0, tzinfo=UTC), Position(-40.0, 20.0)),
]


@pytest.mark.parametrize(("body", "limb", "when", "place"), SHOTS)
def test_the_intercept_at_the_true_place_is_nothing(body: str, limb: str, when: datetime, place: Position) -> None:
    hs = reading(body, when, place, limb)
    assert 10.0 < hs < 80.0, "the case is meant to be an ordinary shot"
    sight = Sight(id="s", body=body, time=when, hs=hs, limb=limb)  # the limb is one of the literals
    result = solve(standing(place, when, (sight,))).sight("s")
    assert result.intercept_nm == pytest.approx(0.0, abs=TOLERANCE_ARCMIN)


def test_three_of_them_fix_a_place_thirty_miles_from_the_dr() -> None:
    """Moon, Jupiter and a star from a DR 30 NM off: the fix is the true place within 0.05 NM."""
    when, truth = datetime(2023, 11, 24, 20, 0, tzinfo=UTC), Position(38.0, -12.0)
    shots = [("Moon", "lower"), ("Jupiter", "centre"), ("Vega", "centre")]
    sights = tuple(
        Sight(id=f"s{i}", body=body, time=when, hs=reading(body, when, truth, limb), limb=limb)
        for i, (body, limb) in enumerate(shots)
    )
    dr = Position(truth.lat + 0.3, truth.lon - 0.5)
    result = solve(standing(dr, when, sights, (Fix(id="f", time=when, sights=("s0", "s1", "s2")),))).fix("f")
    assert result.position is not None and result.from_dr_nm is not None
    off = np.hypot(
        (result.position.lat - truth.lat) * 60.0,
        (result.position.lon - truth.lon) * 60.0 * math.cos(math.radians(truth.lat)),
    )
    assert 25.0 < result.from_dr_nm < 35.0
    assert off == pytest.approx(0.0, abs=0.05)
    assert all(abs(r) < 0.05 for r in result.residuals_arcmin.values())
