"""Positions, read and written."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightleg.units.errors import EntryError
from nightleg.units.positions import (
    Position,
    normal_lon,
    read_latitude,
    read_longitude,
    read_position,
    write_latitude,
    write_longitude,
    write_position,
)


@pytest.mark.parametrize(
    "text",
    [
        "41 30.0 N 028 15.0 W",
        "41.5 -28.25",
        "41.5, -28.25",
        "41.5,-28.25",
        "41,5 -28,25",
        "41,5; -28,25",
        "41°30.0'N 028°15.0'W",
        "41°30.0′N, 028°15.0′W",
        "N41 30 W028 15",
        "N 41 30 W 028 15",
        "4130N 02815W",
        "4130N02815W",
        "n4130w02815",
        "41 30.0N, 028 15.0W",
        "41-30.0N 028-15.0W",
        "41 30 00 N 28 15 00 W",
        "41,5 N, 28,25 W",
        "41 30 -28 15",
        "41 30.0, -28 15.0",
        "41°30′ −28°15′",
    ],
)
def test_read_position(text: str) -> None:
    assert read_position(text) == pytest.approx(Position(41.5, -28.25), abs=1e-12)


def test_edges_of_the_earth() -> None:
    assert read_position("90 N 180 W") == (90.0, -180.0)
    assert read_position("90 S 180 E") == (-90.0, 180.0)
    assert read_position("0 0") == (0.0, 0.0)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is missing"),
        ("41 30 N", "no E or W"),
        ("28 15 W", "no N or S"),
        ("28 15 W 41 30 N", "latitude comes first"),
        ("41 30 N 28 15", "no E or W"),
        ("41 30 N 28 15 N", "one N or S and one E or W"),
        ("41 30 28 15", "cannot be split"),
        ("41,28", "cannot be split"),
        ("41.5", "cannot be split"),
        ("90 00.1 N 0 E", "the latitude must be from -90° to 90°"),
        ("41 N 180.1 E", "the longitude must be from -180° to 180°"),
        ("41.5 190", "the longitude must be from -180° to 180°"),
        ("-41 30 N 28 15 W", "both a sign and N"),
        ("41 60 N 28 15 W", "60 minutes"),
        ("nan nan", "one N or S and one E or W"),
        ("inf 0", "no E or W"),
        ("N W", "is missing"),
        ("41 30 N x 28 15 W", "cannot be read as longitude"),
    ],
)
def test_refused_positions(text: str, words: str) -> None:
    with pytest.raises(EntryError, match=words):
        read_position(text)


def test_halves() -> None:
    assert read_latitude("41 30.0 S") == -41.5
    assert read_latitude("-41.5") == -41.5
    assert read_longitude("180") == 180.0
    with pytest.raises(EntryError, match="latitude"):
        read_latitude("41 30 W")


def test_write() -> None:
    assert write_position(Position(41.0 + 12.4 / 60.0, -31.0 - 8.7 / 60.0)) == "41°12.4′N 031°08.7′W"
    assert write_latitude(-0.0001) == "00°00.0′N"
    assert write_longitude(-0.0001) == "000°00.0′E"
    assert write_latitude(-89.99999) == "90°00.0′S"
    assert write_longitude(-179.99999) == "180°00.0′W"
    assert write_longitude(190.0) == "170°00.0′W"
    assert write_longitude(5.999, places=0) == "006°00′E"
    for bad in (math.nan, 90.1, math.inf):
        with pytest.raises(ValueError, match="no latitude"):
            write_latitude(bad)
    for bad in (math.nan, math.inf):
        with pytest.raises(ValueError, match="cannot be written"):
            write_longitude(bad)


@given(st.floats(-90.0, 90.0), st.floats(-180.0, 180.0), st.integers(0, 3))
def test_there_and_back(lat: float, lon: float, places: int) -> None:
    back = read_position(write_position(Position(lat, lon), places))
    # Half a unit of the last figure of the minutes, and rounding of the last bit.
    assert back == pytest.approx((lat, lon), abs=0.5 / (60.0 * 10**places) + 1e-12)


def test_normal_lon() -> None:
    turns = np.array([0.0, 180.0, -180.0, 181.0, -181.0, 540.0, 359.0, 360.0, -720.5])
    assert normal_lon(turns) == pytest.approx([0.0, 180.0, -180.0, -179.0, 179.0, -180.0, -1.0, 0.0, -0.5])
    assert np.ndim(normal_lon(190.0)) == 0
    assert math.isnan(normal_lon(math.nan))
    assert normal_lon(28.123456789) == 28.123456789  # not touched


@given(st.text(alphabet="0123456789.,-+ NSEWnsew°'\"′″;", max_size=30))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        lat, lon = read_position(text)
    except EntryError as error:
        assert str(error).isprintable()
    else:
        assert abs(lat) <= 90.0 and abs(lon) <= 180.0
