"""Deflection of the bubble against Newton: the apparent vertical of a platform moved over a turning sphere.

No formula of the handbooks enters: the platform's path is written in inertial coordinates, its acceleration is taken by
differences, and the apparent vertical is the direction of what holds it up. A star's altitude above that vertical's
horizon goes through the chain's step, which must return the altitude above the true one.
"""

from __future__ import annotations

import numpy as np
import pytest

from nightleg.sight import bubble

OMEGA = 7.292115e-5  # rad/s, WGS 84
R = 6371008.8  # m
G = 9.80665
KT = 1852.0 / 3600.0

# Left over are terms of third order, and the upward part of the acceleration, which the handbooks' formulae leave out:
# flying east at 480 kt takes up to 0.4 % off gravity and so adds as much to the lean, which is below 0.1′.
TOLERANCE_ARCMIN = 0.01
TOLERANCE_OF_LEAN = 0.004


def _up(lat: float, lon: float) -> np.ndarray:
    return np.array([np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)])


def _path(lat_deg: float, gs_kt: float, track_deg: float, turn_deg_min: float, accel_kt_min: float, great_circle: bool):
    """Positions (rotating Earth, radians) at -h, 0, +h for a constant track, turned and sped up as told."""
    h = 2.0
    states = {}
    for sign in (-1, 1):
        steps, lat, lon, track, v = 400, np.radians(lat_deg), 0.0, np.radians(track_deg), gs_kt * KT
        dt = sign * h / steps
        for _ in range(steps):
            bend = v * np.sin(track) * np.tan(lat) / R if great_circle else 0.0
            middle = lat + v * np.cos(track) * dt / 2 / R
            lon += v * np.sin(track) * dt / R / np.cos(middle)
            lat += v * np.cos(track) * dt / R
            track += (np.radians(turn_deg_min) / 60.0 + bend) * dt
            v += accel_kt_min * KT / 60.0 * dt
        states[sign] = (lat, lon)
    return h, (states[-1], (np.radians(lat_deg), 0.0), states[1])


def _apparent_up(h: float, points) -> np.ndarray:
    """Direction of the force that holds the platform, less what holds a plumb line at rest there; inertial axes."""

    def inertial(p, t):
        return R * _up(p[0], p[1] + OMEGA * t)

    before, here, after = points
    acceleration = (inertial(before, -h) - 2 * inertial(here, 0) + inertial(after, h)) / h**2
    at_rest = (inertial(here, -h) - 2 * inertial(here, 0) + inertial(here, h)) / h**2
    force = G * _up(*here) + acceleration - at_rest
    return force / np.linalg.norm(force)


CASES = [
    # latitude, GS, track, turn °/min, acceleration kt/min, great circle
    (60.0, 450.0, 45.0, 0.0, 0.0, False),
    (60.0, 450.0, 290.0, 0.0, 0.0, True),
    (-45.0, 480.0, 90.0, 0.0, 0.0, False),
    (-45.0, 480.0, 90.0, 0.0, 0.0, True),
    (-70.0, 500.0, 200.0, 1.5, 0.0, False),
    (35.0, 420.0, 315.0, -2.0, 3.0, False),
    (35.0, 420.0, 135.0, 2.0, -3.0, True),
    (0.0, 450.0, 250.0, 1.0, 2.0, False),
    (80.0, 430.0, 80.0, 0.0, 0.0, False),
    (-10.0, 300.0, 10.0, 0.5, 0.0, False),
]


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("azimuth_deg", [20.0, 110.0, 200.0, 290.0])
@pytest.mark.parametrize("altitude_deg", [15.0, 45.0, 75.0])
def test_levelling_returns_the_altitude_above_the_true_horizon(case, azimuth_deg: float, altitude_deg: float) -> None:
    lat_deg, gs_kt, track_deg, turn, accel, great_circle = case
    apparent_up = _apparent_up(*_path(*case))
    lat = np.radians(lat_deg)
    north, east = np.array([-np.sin(lat), 0.0, np.cos(lat)]), np.array([0.0, 1.0, 0.0])
    az, alt = np.radians(azimuth_deg), np.radians(altitude_deg)
    star = np.cos(alt) * (np.cos(az) * north + np.sin(az) * east) + np.sin(alt) * _up(lat, 0.0)
    shown_deg = np.degrees(np.arcsin(apparent_up @ star))
    right = bubble.coriolis_right_arcmin(lat_deg, gs_kt) + bubble.wander_right_arcmin(gs_kt, turn)
    if not great_circle:
        right = right + bubble.rhumb_right_arcmin(lat_deg, gs_kt, track_deg)
    levelled = bubble.level(shown_deg, right, bubble.ahead_arcmin(accel), azimuth_deg - track_deg)
    lean_arcmin = np.degrees(np.arccos(min(1.0, apparent_up @ _up(lat, 0.0)))) * 60.0
    # across the line of sight the lean counts with tan H as well
    allowed = TOLERANCE_ARCMIN + TOLERANCE_OF_LEAN * lean_arcmin * (1.0 + lean_arcmin / 3438.0 * np.tan(alt))
    assert (levelled - altitude_deg) * 60.0 == pytest.approx(0.0, abs=allowed)


def test_handbook_sizes() -> None:
    """FAA-H-8083-18 and AFPAM 11-216 print 2.62, 0.146 and 5.25 for hundreds of knots (from memory)."""
    assert pytest.approx(2.62, abs=0.015) == 100 * bubble.CORIOLIS_PER_KT
    assert pytest.approx(0.146, abs=0.0005) == 100**2 * bubble.RHUMB_PER_KT2
    assert pytest.approx(5.25, abs=0.005) == 100 * bubble.WANDER_PER_KT_DEG_MIN
    assert pytest.approx(3.006, abs=0.001) == bubble.AHEAD_PER_KT_MIN


def test_coriolis_sizes_and_sides() -> None:
    """Handbook sizes: 450 kt at 60°N 10.2′; 480 kt at 45°S on 090, 8.9′ the other way."""
    assert float(bubble.coriolis_right_arcmin(60.0, 450.0)) == pytest.approx(10.2, abs=0.06)
    assert float(bubble.coriolis_right_arcmin(-45.0, 480.0)) == pytest.approx(-8.9, abs=0.06)
    # a body to the right of track reads too low in the north
    assert float(bubble.first_order_arcmin(bubble.coriolis_right_arcmin(60.0, 450.0), 90.0)) > 0.0


def test_cross_tilt_is_the_square_of_the_lean_across() -> None:
    """Second order: 0.22′ for 20′ across at 75° of altitude, 0.5′ for 25′ at 80° (geometry: Z²·tan H/6876)."""
    for lean, altitude, size in ((20.0, 75.0, 0.22), (25.0, 80.0, 0.52)):
        levelled = float(bubble.level(altitude, lean, 0.0, 0.0))
        assert (levelled - altitude) * 60.0 == pytest.approx(size, abs=0.01)
        assert size == pytest.approx(lean**2 * np.tan(np.radians(altitude)) / 6876.0, abs=0.01)
