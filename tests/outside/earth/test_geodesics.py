"""Geodesics against published lines and a second implementation."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from geographiclib.geodesic import Geodesic
from pyproj import Geod

from nightleg.earth.ellipsoid import NM_M
from nightleg.earth.geodesic import direct, inverse
from nightleg.units.angles import read_angle

LINES = np.loadtxt(Path(__file__).with_name("geodesics.csv"), delimiter=",")
# The published figures carry 1e-8 m and 1e-14 degrees; 1 micrometre and 1e-10 degrees leave room for the conversion
# between metres and nautical miles over 17 000 km.
LENGTH_M = 1e-6
ANGLE_DEG = 1e-10


def _off(a: npt.ArrayLike, b: npt.ArrayLike) -> Any:
    return np.abs((np.asarray(a) - np.asarray(b) + 180.0) % 360.0 - 180.0)


def test_karney_lines_inverse() -> None:
    lat1, lon1, azimuth1, lat2, lon2, azimuth2, metres = LINES.T
    nm, start, end = inverse(lat1, lon1, lat2, lon2)
    assert np.max(np.abs(nm * NM_M - metres)) < LENGTH_M
    assert np.max(_off(start, azimuth1)) < ANGLE_DEG
    assert np.max(_off(end, azimuth2)) < ANGLE_DEG


def test_karney_lines_direct() -> None:
    lat1, lon1, azimuth1, lat2, lon2, azimuth2, metres = LINES.T
    lat, lon, end = direct(lat1, lon1, azimuth1, metres / NM_M)
    assert np.max(np.abs(lat - lat2)) < ANGLE_DEG
    assert np.max(_off(lon, lon2)) < ANGLE_DEG
    assert np.max(_off(end, azimuth2)) < ANGLE_DEG


def test_karney_2013_worked_examples() -> None:
    # C. F. F. Karney, "Algorithms for geodesics", J. Geodesy 87 (2013), tables 2, 3 and 4 (values from memory).
    lat, lon, end = direct(40.0, 0.0, 30.0, 10_000_000.0 / NM_M)
    assert (lat, lon, end) == pytest.approx((41.79331020506, 137.84490004377, 149.09016931807), abs=1e-10)
    nm, azimuth, _ = inverse(-30.12345, 0.0, -30.12344, 0.00005)
    assert nm * NM_M == pytest.approx(4.944208, abs=5e-7)
    assert azimuth == pytest.approx(77.04353354237, abs=1e-8)  # 1e-8 degrees of a 5 m line are a nanometre
    nm, azimuth, _ = inverse(-30.0, 0.0, 29.9, 179.8)  # nearly antipodal
    assert nm * NM_M == pytest.approx(19989832.827610, abs=1e-5)
    assert azimuth == pytest.approx(161.89052473633, abs=1e-9)


def test_new_york_to_london() -> None:
    # 40.6 N 73.8 W to 51.6 N 0.5 W, the example of the GeographicLib manuals; length printed to the millimetre.
    nm, azimuth, _ = inverse(40.6, -73.8, 51.6, -0.5)
    assert nm * NM_M == pytest.approx(5551759.400, abs=5e-4)
    assert azimuth == pytest.approx(51.198883, abs=5e-7)


def test_flinders_peak_to_buninyong() -> None:
    # Geocentric Datum of Australia Technical Manual (ICSM): 54 972.271 m, 306°52'05.37", back 127°10'25.07", on GRS 80.
    lat1, lon1 = -read_angle("37 57 03.72030"), read_angle("144 25 29.52440")
    lat2, lon2 = -read_angle("37 39 10.15610"), read_angle("143 55 35.38390")
    nm, azimuth, end = inverse(lat1, lon1, lat2, lon2)
    # Printed to the millimetre and 0.01". WGS 84 differs from GRS 80 by less: see the next assertion.
    assert nm * NM_M == pytest.approx(54972.271, abs=1e-3)
    assert azimuth == pytest.approx(read_angle("306 52 05.37"), abs=0.01 / 3600)
    assert (end + 180.0) % 360.0 == pytest.approx(read_angle("127 10 25.07"), abs=0.01 / 3600)
    grs80_m = Geod(ellps="GRS80").inv(lon1, lat1, lon2, lat2)[2]
    assert abs(nm * NM_M - grs80_m) < 1e-4  # the ellipsoids are 0.1 mm apart at the pole


def test_random_lines_against_geographiclib() -> None:
    draw = np.random.default_rng(7)
    lat1, lat2 = np.degrees(np.arcsin(draw.uniform(-1, 1, (2, 200))))
    lon1, lon2 = draw.uniform(-180, 180, (2, 200))
    nm, azimuth, end = inverse(lat1, lon1, lat2, lon2)
    for i in range(len(lat1)):
        line = Geodesic.WGS84.Inverse(lat1[i], lon1[i], lat2[i], lon2[i])
        assert nm[i] * NM_M == pytest.approx(line["s12"], abs=LENGTH_M)
        assert _off(azimuth[i], line["azi1"]) < 1e-8  # azimuths of nearly antipodal lines are the less certain
        assert _off(end[i], line["azi2"]) < 1e-8
