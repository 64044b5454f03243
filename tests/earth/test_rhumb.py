"""Rhumb lines: properties, edges and shapes. The numbers are checked in tests/outside/earth."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightleg.earth.ellipsoid import NM_M
from nightleg.earth.rhumb import check, rhumb_direct, rhumb_inverse
from nightleg.units.errors import EntryError

LATITUDES = st.floats(-84.0, 84.0)
LONGITUDES = st.floats(-180.0, 180.0)
MM_NM = 1e-3 / NM_M


@given(LATITUDES, LONGITUDES, st.floats(0.0, 360.0), st.floats(-200.0, 200.0))
def test_there_and_back(lat: float, lon: float, track_deg: float, nm: float) -> None:
    end_lat, end_lon = rhumb_direct(lat, lon, track_deg, nm)
    assert abs(end_lon) <= 180.0
    back_lat, back_lon = rhumb_direct(end_lat, end_lon, track_deg, -nm)
    # 1e-12 degrees are a tenth of a micrometre; longitudes are ten times as loose at 84° and as numbers near 180.
    assert back_lat == pytest.approx(lat, abs=1e-12)
    assert (back_lon - lon + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=2e-11)
    distance, track = rhumb_inverse(lat, lon, end_lat, end_lon)
    assert distance == pytest.approx(abs(nm), abs=1e-4 * MM_NM)
    if abs(nm) > 0.01:
        off = (track - track_deg - (180.0 if nm < 0.0 else 0.0) + 180.0) % 360.0 - 180.0
        assert abs(off) < math.degrees(1e-4 * MM_NM / abs(nm))  # 0.1 micrometre across the line


@given(LATITUDES, LONGITUDES, LATITUDES, LONGITUDES)
def test_reversal(lat1: float, lon1: float, lat2: float, lon2: float) -> None:
    nm, track = rhumb_inverse(lat1, lon1, lat2, lon2)
    back_nm, back_track = rhumb_inverse(lat2, lon2, lat1, lon1)
    assert back_nm == pytest.approx(nm, rel=1e-14, abs=1e-12)
    assert 0.0 <= track < 360.0
    if nm > 1e-3:
        assert abs((back_track - track) % 360.0 - 180.0) < 1e-9
    end_lat, end_lon = rhumb_direct(lat1, lon1, track, nm)
    assert end_lat == pytest.approx(lat2, abs=1e-10)
    assert (end_lon - lon2 + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=1e-9)


@given(LATITUDES, st.floats(1e-14, 1e-3), st.floats(1.0, 1000.0))
def test_no_jump_near_east_and_west(lat: float, lean_deg: float, nm: float) -> None:
    # The parallel itself, and courses a hair off it on both sides, must be in line: the middle of the two outer ends is
    # the middle one but for the second order, below 1e-9 of the distance for 1e-3 degrees.
    lats, lons = rhumb_direct(lat, 0.0, [90.0 - lean_deg, 90.0, 90.0 + lean_deg], nm)
    scale = 1.0 / math.cos(math.radians(lat))
    assert abs(lats[0] + lats[2] - 2.0 * lats[1]) < 1e-9 * nm / 60.0 + 1e-12
    assert abs((lons[0] + lons[2] - 2.0 * lons[1] + 180.0) % 360.0 - 180.0) < 1e-9 * nm / 60.0 * scale**3 + 1e-11


def test_equal_points() -> None:
    assert rhumb_inverse(41.5, -28.25, 41.5, -28.25) == (0.0, 0.0)
    assert rhumb_direct(41.5, -28.25, 123.0, 0.0) == pytest.approx((41.5, -28.25), abs=1e-13)


def test_180th_meridian() -> None:
    lat, lon = rhumb_direct(0.0, 179.5, 90.0, 60.0)
    assert lat == pytest.approx(0.0, abs=1e-13) and -180.0 <= lon < -179.4
    nm, track = rhumb_inverse(40.0, 179.0, 40.0, -179.0)
    assert track == 90.0 and nm == pytest.approx(92.2, abs=0.1)
    # Half a turn apart: out and back are one line.
    out_nm, out_track = rhumb_inverse(10.0, 0.0, 10.0, 180.0)
    back_nm, back_track = rhumb_inverse(10.0, 180.0, 10.0, 0.0)
    assert (out_nm, out_track, back_track) == (back_nm, 90.0, 270.0)


def test_poles_are_nan_and_told() -> None:
    lat, lon = rhumb_direct(
        [89.0, 89.0, 90.0, 10.0, -89.5], 10.0, [0.0, 45.0, 180.0, 0.0, 200.0], [60.5, 200.0, 5.0, 60.0, 40.0]
    )
    assert np.isnan(lat).tolist() == np.isnan(lon).tolist() == [True, True, True, False, True]
    check([10.0, 41.5], 0.0, 60.0)
    with pytest.raises(EntryError, match=r"track of 45\.0° for 200\.0 NM from latitude 89\.0000° runs into a pole"):
        check([10.0, 89.0], [0.0, 45.0], [60.0, 200.0])
    assert np.isnan(rhumb_inverse(90.0, 0.0, 80.0, 0.0)).all()
    near_lat, near_lon = rhumb_direct(89.9, 0.0, 90.0, 5.0)  # close by, the parallel is still flown
    assert near_lat == pytest.approx(89.9, abs=1e-12) and 45.0 < near_lon < 50.0


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_no_number_gives_nan(bad: float) -> None:
    line, pair = (41.5, -28.25, 258.0, 100.0), (41.5, -28.25, 40.0, -36.0)
    for place in range(4):
        lat, lon = rhumb_direct(*_with_a_bad_one(line, place, bad))
        assert np.isnan(lon[0]) and np.isfinite([lat[1], lon[1]]).all()
        nm, _ = rhumb_inverse(*_with_a_bad_one(pair, place, bad))
        assert np.isnan(nm[0]) and np.isfinite(nm[1])


def _with_a_bad_one(good: tuple[float, ...], place: int, bad: float) -> list[list[float]]:
    """Two elements of each value, the first of one of them spoilt."""
    return [[bad if i == place else value, value] for i, value in enumerate(good)]


def test_shapes() -> None:
    lat, lon = rhumb_direct(np.zeros((3, 1)), np.zeros(4), 45.0, 10.0)
    assert lat.shape == lon.shape == (3, 4)
    nm, track = rhumb_inverse(np.zeros((3, 1)), np.zeros(4), 1.0, 1.0)
    assert nm.shape == track.shape == (3, 4)
    assert all(np.ndim(value) == 0 for value in (*rhumb_direct(1, 2, 3, 4), *rhumb_inverse(1, 2, 3, 4)))
    assert rhumb_direct([], [], [], [])[0].shape == (0,)
