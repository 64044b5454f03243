"""Transits, greatest altitudes and meridian latitudes against PyEphem (its own star places, time scale and altitudes).

PyEphem gives altitudes without refraction (pressure 0) on the geodetic vertical; for a star they need no parallax.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import ephem
import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from scipy.optimize import minimize_scalar

from nightleg.flight.latitudes import LatitudeFound, latitude_found
from nightleg.flight.model import Flight, Leg, Reading, Sight, Start
from nightleg.flight.shots import Shot, kit_of, observe, sky_of
from nightleg.flight.solve import solve
from nightleg.sight.chain import compute, preset_deg
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

START = datetime(2026, 3, 14, 18, 0, tzinfo=UTC)


def fly(lat: float, lon: float, track_deg: float, gs_kt: float) -> Flight:
    leg = Leg(time=START, track_deg=track_deg, gs_kt=gs_kt, altitude_ft=31000.0, steering="great_circle")
    return Flight(start=Start(time=START, position=Position(lat, lon)), legs=(leg,))


def place(flight: Flight, when: datetime) -> tuple[float, float]:
    """The DR by GeographicLib."""
    leg = flight.legs[0]
    hours = (when - START).total_seconds() / 3600.0
    line = Geodesic.WGS84.Direct(*flight.start.position, leg.track_deg, leg.gs_kt * hours * 1852.0)
    return line["lat2"], line["lon2"]


def star(flight: Flight, name: str, when: datetime) -> tuple[float, float, float]:
    """Altitude, declination and hour angle of a star by PyEphem, degrees."""
    observer = ephem.Observer()
    observer.lat, observer.lon = (math.radians(x) for x in place(flight, when))
    observer.pressure, observer.elevation = 0.0, 0.0
    observer.date = ephem.Date(when.replace(tzinfo=None))
    body = ephem.star(name)
    body.compute(observer)
    angle = math.degrees(float(observer.sidereal_time()) - float(body.ra))
    return math.degrees(float(body.alt)), math.degrees(float(body.dec)), (angle + 180.0) % 360.0 - 180.0


def found_at(flight: Flight, name: str, times: list[datetime], altitudes: list[float]) -> LatitudeFound:
    """The latitude of a sight whose readings are those altitudes with the corrections reversed."""
    body = Sight(id="s", body=name, time=times[0], hs=40.0)
    plot = solve(flight).plots[0]
    shots = [Shot(body, t, gmt_s(t), 40.0, 0.0) for t in times]
    obs = observe(kit_of(flight).sextant, shots, sky_of(shots), plot)
    lat, lon = plot.position(np.array([s.time_s for s in shots]))
    hs = preset_deg(obs, compute(obs, lat, lon), lat, ho_deg=np.array(altitudes))
    if len(times) == 1:
        sight = Sight(id="s", body=name, time=times[0], hs=float(hs[0]), duration_s=0.0)
    else:
        rows = tuple(Reading(time=t, hs=float(h)) for t, h in zip(times, hs, strict=True))
        sight = Sight(id="s", body=name, readings=rows)
    whole = Flight(start=flight.start, legs=flight.legs, sights=(sight,))
    solution = solve(whole)
    found = latitude_found(whole, solution, solution.sight("s"))
    assert found is not None
    return found


def transit(flight: Flight, name: str, *, upper: bool = True) -> datetime:
    """When the hour angle passes 0 (or 180°) at the moving DR, by halving."""
    low, high = START, START + timedelta(hours=11)

    def angle(when: datetime) -> float:
        off = star(flight, name, when)[2] - (0.0 if upper else 180.0)
        return (off + 180.0) % 360.0 - 180.0

    steps = [low + timedelta(minutes=10 * k) for k in range(67)]
    pair = next((a, b) for a, b in pairwise(steps) if angle(a) < 0.0 <= angle(b) < 90.0)
    low, high = pair
    for _ in range(40):
        middle = low + (high - low) / 2
        low, high = (middle, high) if angle(middle) < 0.0 else (low, middle)
    return low


CASES = [
    # body, latitude, longitude, track, ground speed, upper
    ("Capella", 20.0, -10.0, 0.0, 0.0, True),
    ("Sirius", 41.0, -30.0, 10.0, 150.0, True),
    ("Sirius", -50.0, -30.0, 350.0, 100.0, True),
    ("Regulus", 55.0, 20.0, 200.0, 120.0, True),
    ("Canopus", -20.0, -5.0, 170.0, 60.0, True),
    ("Dubhe", 55.0, 100.0, 90.0, 240.0, False),
    ("Deneb", 60.0, 40.0, 271.0, 120.0, False),
    ("Acrux", -45.0, 150.0, 80.0, 300.0, False),
]


@pytest.mark.parametrize(("name", "lat", "lon", "track", "gs", "upper"), CASES)
def test_transit_and_latitude_by_one_shot(
    name: str, lat: float, lon: float, track: float, gs: float, upper: bool
) -> None:
    """A shot six minutes before the transit, reduced to the meridian, gives the DR that PyEphem's altitude is from."""
    flight = fly(lat, lon, track, gs)
    at = transit(flight, name, upper=upper)
    when = at - timedelta(minutes=6)
    found = found_at(flight, name, [when], [star(flight, name, when)[0]])
    assert found.transit == ("upper" if upper else "lower")
    # 1″ between the two libraries' places is 0.07 s of time; sidereal time by PyEphem lacks DUT1 (below 0.9 s)
    assert found.transit_time is not None
    assert abs((found.transit_time - at).total_seconds()) < 1.5
    # 0.9 s of hour angle six minutes off the meridian comes to 0.1′ at the most; places differ by 1″
    assert (found.lat - place(flight, when)[0]) * 60.0 == pytest.approx(0.0, abs=0.15)
    assert found.left_out_arcmin is not None
    assert abs(found.difference_nm) <= found.left_out_arcmin + 1e-6


@pytest.mark.parametrize(("name", "lat", "lon", "track", "gs", "upper"), CASES)
def test_greatest_altitude_of_a_moving_observer(
    name: str, lat: float, lon: float, track: float, gs: float, upper: bool
) -> None:
    """Time and size of the greatest (at lower transit least) altitude by maximising PyEphem's along the flight."""
    flight = fly(lat, lon, track, gs)
    at = transit(flight, name, upper=upper)
    sign = -1.0 if upper else 1.0
    best = minimize_scalar(
        lambda minutes: sign * star(flight, name, at + timedelta(minutes=float(minutes)))[0],
        bounds=(-170.0, 170.0),
        method="bounded",
        options={"xatol": 1e-3},
    )
    found = found_at(flight, name, [at], [star(flight, name, at)[0]])
    assert abs(best.x) < 165.0
    assert found.greatest_time is not None and found.greatest_deg is not None
    minutes = (found.greatest_time - at).total_seconds() / 60.0
    assert minutes == pytest.approx(float(best.x), abs=0.15)  # where the altitude changes by 0.001′ a minute
    assert (found.greatest_deg - sign * float(best.fun)) * 60.0 == pytest.approx(0.0, abs=0.15)


def test_the_greatest_altitude_is_not_the_transit_for_one_who_flies_north() -> None:
    """Flying 010° at 150 kt toward Sirius' pole side, the altitude still falls: it was greatest well before."""
    flight = fly(41.0, -30.0, 10.0, 150.0)
    at = transit(flight, "Sirius")
    found = found_at(flight, "Sirius", [at], [star(flight, "Sirius", at)[0]])
    assert found.greatest_time is not None and found.transit_time is not None
    assert (found.transit_time - found.greatest_time).total_seconds() / 60.0 > 20.0


@pytest.mark.parametrize("track", [0.0, 45.0, 180.0, 270.0])
def test_latitude_by_a_series_about_the_transit(track: float) -> None:
    """Eleven readings over ten minutes by PyEphem, at 250 kt: the latitude at the transit is that of the DR there.

    Taking the greatest reading for the meridian altitude would be wrong by miles on a northerly course.
    """
    flight = fly(41.0, -30.0, track, 250.0)
    at = transit(flight, "Sirius")
    times = [at + timedelta(minutes=k - 4) for k in range(11)]
    altitudes = [star(flight, "Sirius", t)[0] for t in times]
    found = found_at(flight, "Sirius", times, altitudes)
    assert found.readings == 11
    assert abs((found.time - at).total_seconds()) < 1.5
    there = place(flight, found.time)[0]
    assert (found.lat - there) * 60.0 == pytest.approx(0.0, abs=0.1)
    assert abs(found.difference_nm) < 0.05
    greatest = found.dec + 90.0 - max(altitudes)
    if track in (0.0, 180.0):
        assert abs(greatest - there) * 60.0 > 10.0


def test_a_series_with_a_wrong_wind_still_gives_the_latitude() -> None:
    """The aircraft really flies 40 kt faster than the DR: the fitted curve is tilted, and right at the transit."""
    real, dr = fly(41.0, -30.0, 0.0, 290.0), fly(41.0, -30.0, 0.0, 250.0)
    at = transit(real, "Sirius")
    times = [at + timedelta(minutes=k - 5) for k in range(11)]
    found = found_at(dr, "Sirius", times, [star(real, "Sirius", t)[0] for t in times])
    assert (found.lat - place(real, found.time)[0]) * 60.0 == pytest.approx(0.0, abs=0.1)


@pytest.mark.parametrize("lat", [12.0, 41.0, 66.0, 80.0])
def test_polaris(lat: float) -> None:
    """Through the day the rule gives PyEphem's latitude: places differ by 1″, the rule by its bound."""
    for hours in (0.0, 3.0, 6.0, 9.0):
        when = START + timedelta(hours=hours)
        flight = fly(lat, -30.0, 90.0, 0.0)
        found = found_at(flight, "Polaris", [when], [star(flight, "Polaris", when)[0]])
        assert found.by == "polaris" and found.left_out_arcmin is not None
        assert abs(found.difference_nm) <= found.left_out_arcmin + 1e-6
        assert (found.lat - lat) * 60.0 == pytest.approx(0.0, abs=0.1)
