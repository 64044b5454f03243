"""Dead reckoning: legs, turns, carrying there and back, restarts, growth of the error."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nightleg.air.motion import LegMotion, fly_heading
from nightleg.air.reckoning import Reckoning, last_plot
from nightleg.earth.local import between

P0 = ((4.0, 0.0), (0.0, 4.0))


def leg(start_s: float, heading: float, tas: float = 430.0, steering: str = "rhumb", wind=(310.0, 45.0)) -> LegMotion:
    track, gs = fly_heading(heading, tas, *wind)
    return LegMotion(start_s, math.inf, heading, tas, *wind, track, gs, 31000.0, None, steering)


def plot(*legs: LegMotion, lat: float = 41.5, lon: float = -28.25, **more) -> Reckoning:
    return Reckoning(tuple(legs), 0.0, lat, lon, P0, 12.0, **more)


def apart_nm(a, b) -> float:
    return float(np.max(np.hypot(*between(a[0], a[1], b[0], b[1]))))


def test_a_straight_hour_north_is_sixty_mean_minutes() -> None:
    still = leg(0.0, 0.0, 60.0, wind=(0.0, 0.0))
    lat, lon = plot(still, lat=44.5, lon=10.0).position(3600.0)
    # a minute of latitude near 45° is 1852.2 m (WGS 84 meridian radius)
    assert float(lat) == pytest.approx(45.5 - 0.0001, abs=2e-4)
    assert float(lon) == pytest.approx(10.0, abs=1e-12)


def test_a_turn_is_two_straight_runs() -> None:
    first, second = leg(0.0, 262.0), leg(1800.0, 200.0)
    both, alone = plot(first, second), plot(first)
    corner = alone.position(1800.0)
    after = Reckoning((second,), 1800.0, float(corner[0]), float(corner[1]), P0, 12.0).position(3600.0)
    assert apart_nm(both.position(3600.0), after) == pytest.approx(0.0, abs=1e-9)
    assert both.leg_index(1799.9) == 0
    assert both.leg_index(1800.0) == 1


@given(
    lat=st.floats(-70.0, 70.0),
    lon=st.floats(-180.0, 180.0),
    headings=st.lists(st.floats(0.0, 359.9), min_size=1, max_size=4),
    great=st.booleans(),
    times=st.tuples(st.floats(0.0, 7200.0), st.floats(0.0, 7200.0)),
    off=st.tuples(st.floats(-60.0, 60.0), st.floats(-60.0, 60.0)),
)
@settings(max_examples=150, deadline=None)
def test_carrying_there_and_back_returns_the_point(lat, lon, headings, great, times, off) -> None:
    steering = "great_circle" if great else "rhumb"
    legs = [leg(1500.0 * i, heading, steering=steering) for i, heading in enumerate(headings)]
    dr = plot(*legs, lat=lat, lon=lon)
    here = (lat + off[0] / 60.0, lon + off[1] / 60.0)
    there = dr.carry(*here, *times)
    back = dr.carry(*there, times[1], times[0])
    assert apart_nm(back, here) == pytest.approx(0.0, abs=1e-6)  # 2 mm


@given(times=st.lists(st.floats(0.0, 6000.0), min_size=3, max_size=3), great=st.booleans())
@settings(max_examples=60, deadline=None)
def test_carrying_in_two_steps_is_carrying_in_one(times, great) -> None:
    steering = "great_circle" if great else "rhumb"
    dr = plot(leg(0.0, 262.0, steering=steering), leg(2000.0, 300.0, steering=steering))
    a, b, c = times
    here = (41.0, -29.0)
    assert apart_nm(dr.carry(*dr.carry(*here, a, b), b, c), dr.carry(*here, a, c)) == pytest.approx(0.0, abs=1e-6)


def test_many_points_and_times_at_once() -> None:
    dr = plot(leg(0.0, 262.0), leg(1800.0, 200.0))
    times = np.array([600.0, 1800.0, 2400.0, 3000.0])
    lats, lons = np.array([[41.0], [42.0]]), np.array([[-28.0], [-29.0]])
    together = dr.carry(lats, lons, 2000.0, times)
    assert together[0].shape == (2, 4)
    for i in range(2):
        for j, time in enumerate(times):
            single = dr.carry(lats[i, 0], lons[i, 0], 2000.0, time)
            assert apart_nm(single, (together[0][i, j], together[1][i, j])) == pytest.approx(0.0, abs=1e-9)


def test_great_circle_leg_follows_the_geodesic() -> None:
    """Against geographiclib (Karney 2013): position and track along a geodesic from the leg's start."""
    from geographiclib.geodesic import Geodesic

    one = leg(0.0, 300.0, steering="great_circle")
    dr = plot(one)
    line = Geodesic.WGS84.Direct(41.5, -28.25, one.track_deg, one.gs_kt * 2.0 * 1852.0)
    lat, lon = dr.position(7200.0)
    assert apart_nm((lat, lon), (line["lat2"], line["lon2"])) == pytest.approx(0.0, abs=1e-6)
    assert dr.track(7200.0) == pytest.approx(line["azi2"] % 360.0, abs=1e-9)
    assert dr.heading(7200.0) == pytest.approx((line["azi2"] - one.drift_deg) % 360.0, abs=1e-9)


def test_a_plot_begun_inside_a_great_circle_goes_on_with_the_track_of_the_moment() -> None:
    from geographiclib.geodesic import Geodesic

    one = leg(0.0, 300.0, steering="great_circle")
    track = plot(one).track(3600.0)
    after = Reckoning((one,), 3600.0, 45.0, -36.0, P0, 12.0, entry_track_deg=track)
    line = Geodesic.WGS84.Direct(45.0, -36.0, track, one.gs_kt * 0.5 * 1852.0)
    assert apart_nm(after.position(5400.0), (line["lat2"], line["lon2"])) == pytest.approx(0.0, abs=1e-6)


def test_error_grows_by_the_rule() -> None:
    """σ² = σ₀² + (σ_w·t)² per axis: half the truth within 14 NM after an hour at 12 kt (1.177·12)."""
    cov = plot(leg(0.0, 262.0)).covariance(3600.0)
    assert np.allclose(cov, (4.0 + 144.0) * np.eye(2))


def test_exact_growth_is_the_rule_over_minutes_and_differs_by_percents_over_hours() -> None:
    dr = plot(leg(0.0, 262.0))
    soon, by_wind = dr.carried_covariance(600.0)
    assert np.allclose(soon, dr.covariance(600.0), atol=0.02 * 8.0)  # 2 % of the variance
    assert np.allclose(by_wind, np.eye(2) / 6.0, atol=0.003)
    late, _ = dr.carried_covariance(7200.0)
    assert not np.allclose(late, dr.covariance(7200.0), rtol=0.02)
    assert np.allclose(late, dr.covariance(7200.0), rtol=0.2, atol=80.0)


def test_exact_growth_against_flown_flights() -> None:
    """Covariance of 4 000 ends of flights drawn from the start's error and a wind's error."""
    dr = plot(leg(0.0, 20.0, wind=(250.0, 40.0)), lat=55.0, lon=10.0)
    rng = np.random.default_rng(5)
    ends = []
    for north, east, wn, we in rng.normal(0.0, [2.0, 2.0, 12.0, 12.0], (1500, 4)):
        from nightleg.earth.local import offset

        lat, lon = offset(dr.lat, dr.lon, north, east)
        blown = dr.with_wind_changed(wn, we)
        ends.append(blown.carry(lat, lon, 0.0, 7200.0))
    here = dr.position(7200.0)
    errors = np.array([np.array(between(*here, *end)) for end in ends])
    expected, _ = dr.carried_covariance(7200.0)
    # a variance from 1 500 draws has a standard error of 3.7 %
    assert np.allclose(np.cov(errors.T), expected, rtol=0.12, atol=40.0)


@pytest.mark.parametrize("steering", ["rhumb", "great_circle"])
def test_wind_to_reach_where_another_wind_led(steering: str) -> None:
    held = plot(leg(0.0, 262.0, steering=steering), leg(4000.0, 200.0, steering=steering))
    true = plot(
        leg(0.0, 262.0, steering=steering, wind=(290.0, 62.0)),
        leg(4000.0, 200.0, steering=steering, wind=(290.0, 62.0)),
    )
    found = held.wind_to_reach(*(float(x) for x in true.position(7000.0)), 7000.0)
    assert found == (pytest.approx(290.0, abs=1e-4), pytest.approx(62.0, abs=1e-4))
    assert held.wind_to_reach(41.0, -28.0, 0.0) is None


@pytest.mark.parametrize("pole", [1.0, -1.0])
def test_wind_to_reach_beyond_a_pole(pole: float) -> None:
    """Beyond the pole north is the other way about; the ground track is GeographicLib's, in the wind to be found."""
    from geographiclib.geodesic import Geodesic

    course, track_deg, gs_kt = (0.0 if pole > 0.0 else 180.0), 12.0 * pole, 470.0
    held = plot(leg(0.0, course, steering="great_circle", wind=(0.0, 0.0)), lat=86.0 * pole, lon=30.0)
    tas_kt = held.leg(0.0).tas_kt
    north = gs_kt * math.cos(math.radians(course + track_deg)) - tas_kt * math.cos(math.radians(course))
    east = gs_kt * math.sin(math.radians(course + track_deg)) - tas_kt * math.sin(math.radians(course))
    there = Geodesic.WGS84.Direct(86.0 * pole, 30.0, course + track_deg, 2.0 * gs_kt * 1852.0)
    found = held.wind_to_reach(there["lat2"], there["lon2"], 7200.0)
    assert found is not None
    # 0.001 kt over two hours is 4 m
    assert -found[1] * math.cos(math.radians(found[0])) == pytest.approx(north, abs=1e-3)
    assert -found[1] * math.sin(math.radians(found[0])) == pytest.approx(east, abs=1e-3)


def test_wind_by_fix_from_air_position() -> None:
    """FAA-H-8083-18, wind by air plot: from the air position to the fix, over the time between (plane geometry)."""
    from nightleg.air.motion import polar

    held = plot(leg(0.0, 90.0, wind=(0.0, 0.0)), lat=0.5, lon=0.0)
    air = held.position(1800.0)
    lat, lon = float(air[0]) - 10.0 / 60.0, float(air[1]) + 5.0 / 60.0
    north, east = between(*air, lat, lon)
    direction, nm = polar(float(north), float(east))
    found = held.wind_to_reach(lat, lon, 1800.0)
    assert found is not None
    assert found[0] == pytest.approx((direction + 180.0) % 360.0, abs=0.2)
    assert found[1] == pytest.approx(nm / 0.5, abs=0.1)


def test_standing_still() -> None:
    dr = plot(leg(0.0, 90.0, tas=50.0, wind=(90.0, 50.0)))
    assert dr.legs[0].gs_kt == 0.0
    assert apart_nm(dr.position(7200.0), (41.5, -28.25)) == 0.0


def test_across_the_antimeridian() -> None:
    dr = plot(leg(0.0, 90.0, wind=(0.0, 0.0)), lat=-20.0, lon=179.5)
    _, lon = dr.position(1800.0)
    assert -180.0 <= float(lon) < -175.0


def test_the_last_plot() -> None:
    first, second = plot(leg(0.0, 90.0)), Reckoning((leg(0.0, 90.0),), 100.0, 0.0, 0.0, P0, 12.0)
    assert last_plot((first, second), 100.0) is second
    assert last_plot((first, second), 100.0, before=True) is first
    assert last_plot((first, second), -5.0) is first
