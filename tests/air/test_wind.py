"""The wind triangle, there and back."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightleg.air.wind import air, ground, heading_to_make, read_wind, turn_from_to, wind_between, write_wind
from nightleg.units.errors import EntryError

DIRECTIONS = st.floats(0.0, 360.0)
TAS = st.floats(80.0, 600.0)
WINDS = st.floats(0.0, 60.0)


def off(a: float, b: float) -> float:
    return abs((a - b + 180.0) % 360.0 - 180.0)


def test_by_hand() -> None:
    # Wind from ahead, astern, left and right.
    assert ground(0.0, 400.0, 0.0, 50.0) == pytest.approx((0.0, 350.0, 0.0))
    assert ground(0.0, 400.0, 180.0, 50.0) == pytest.approx((0.0, 450.0, 0.0))
    track, gs, drift = ground(0.0, 300.0, 270.0, 300.0)  # from the left: drift to the right, by 45 degrees
    assert (track, gs, drift) == pytest.approx((45.0, 300.0 * math.sqrt(2.0), 45.0))
    track, gs, drift = ground(0.0, 300.0, 90.0, 300.0)
    assert (track, gs, drift) == pytest.approx((315.0, 300.0 * math.sqrt(2.0), -45.0))
    # A 3-4-5 triangle: crab into a wind from the right.
    heading, gs = heading_to_make(0.0, 500.0, 90.0, 300.0)
    assert (heading, gs) == pytest.approx((math.degrees(math.asin(0.6)), 400.0))


@given(DIRECTIONS, TAS, DIRECTIONS, WINDS)
def test_against_complex_numbers(heading: float, tas: float, from_deg: float, kt: float) -> None:
    # North is the real axis, east the imaginary one.
    vector = tas * np.exp(1j * np.radians(heading)) - kt * np.exp(1j * np.radians(from_deg))
    track, gs, drift = ground(heading, tas, from_deg, kt)
    assert gs == pytest.approx(abs(vector), rel=1e-12)
    assert off(track, math.degrees(np.angle(vector))) < 1e-9
    assert 0.0 <= track < 360.0 and abs(drift) < 90.0
    assert off(heading + drift, track) < 1e-9


@given(DIRECTIONS, TAS, DIRECTIONS, WINDS)
def test_there_and_back(heading: float, tas: float, from_deg: float, kt: float) -> None:
    track, gs, _ = ground(heading, tas, from_deg, kt)
    found_from, found_kt = wind_between(heading, tas, track, gs)
    assert found_kt == pytest.approx(kt, abs=1e-9)
    if kt > 0.01:
        assert off(found_from, from_deg) < 1e-7
    back_heading, back_tas = air(track, gs, from_deg, kt)
    assert off(back_heading, heading) < 1e-9 and back_tas == pytest.approx(tas, rel=1e-12)
    steered, made = heading_to_make(track, tas, from_deg, kt)
    assert off(steered, heading) < 1e-9 and made == pytest.approx(gs, rel=1e-12)


def test_zero_speeds() -> None:
    track, gs, drift = ground(20.0, 50.0, 20.0, 50.0)
    assert gs == 0.0 and math.isnan(track) and math.isnan(drift)
    assert ground(20.0, 0.0, 270.0, 30.0) == pytest.approx((90.0, 30.0, 70.0))  # blown along
    assert wind_between(20.0, 400.0, 20.0, 400.0) == (0.0, 0.0)
    heading, tas = air(90.0, 30.0, 270.0, 30.0)
    assert tas == 0.0 and math.isnan(heading)


def test_wind_too_strong() -> None:
    assert np.isnan(heading_to_make(0.0, 40.0, 90.0, 50.0)).all()  # across
    assert np.isnan(heading_to_make(0.0, 40.0, 0.0, 50.0)).all()  # ahead
    assert np.isnan(heading_to_make(0.0, 40.0, 0.0, 40.0)).all()  # no way made
    assert np.isnan(heading_to_make(0.0, 0.0, 0.0, 0.0)).all()
    assert heading_to_make(0.0, 40.0, 180.0, 50.0) == pytest.approx((0.0, 90.0))  # astern helps


def test_nan_shapes_and_north() -> None:
    track, gs, drift = ground([0.0, math.nan], [[400.0], [500.0]], 310.0, 45.0)
    assert track.shape == gs.shape == drift.shape == (2, 2)
    assert np.isnan(track[:, 1]).all() and np.isfinite(track[:, 0]).all()
    assert ground(-1e-18, 400.0, 0.0, 0.0)[0] == 0.0  # never 360
    assert turn_from_to([350.0, 10.0, 0.0], [10.0, 350.0, 180.0]).tolist() == [20.0, -20.0, 180.0]
    assert all(np.ndim(value) == 0 for value in (*ground(1, 2, 3, 4), *wind_between(1, 2, 3, 4), *air(1, 2, 3, 4)))


@pytest.mark.parametrize(
    ("from_deg", "kt", "text"),
    [
        (310.0, 45.0, "310/45"),
        (5.0, 8.0, "005/8"),
        (0.0, 12.0, "360/12"),
        (359.6, 12.0, "360/12"),
        (360.0, 12.0, "360/12"),
        (-10.0, 12.0, "350/12"),
        (310.0, 0.4, "000/0"),
        (0.0, 0.0, "000/0"),
        (9.5, 99.5, "010/100"),
    ],
)
def test_write_wind(from_deg: float, kt: float, text: str) -> None:
    assert write_wind(from_deg, kt) == text


@pytest.mark.parametrize("bad", [(math.nan, 1.0), (1.0, math.nan), (math.inf, 1.0), (1.0, -1.0)])
def test_no_wind_to_write(bad: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="cannot be written"):
        write_wind(*bad)


@pytest.mark.parametrize(
    ("text", "wind"),
    [
        ("310/45", (310.0, 45.0)),
        (" 310 / 45 kt ", (310.0, 45.0)),
        ("310.5/45.25", (310.5, 45.25)),
        ("310,5°/45", (310.5, 45.0)),
        ("360/10", (360.0, 10.0)),
        ("000/0", (0.0, 0.0)),
        ("5/120KT", (5.0, 120.0)),
    ],
)
def test_read_wind(text: str, wind: tuple[float, float]) -> None:
    assert read_wind(text) == wind


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("361/5", "directions run from 0 to 360"),
        ("31045", "not a wind; write direction from and knots like 310/45"),
        ("310/-5", "not a wind"),
        ("-10/5", "not a wind"),
        ("nan/5", "not a wind"),
        ("310/", "not a wind"),
        ("", "not a wind"),
        ("310/45/3", "not a wind"),
    ],
)
def test_refused_winds(text: str, words: str) -> None:
    with pytest.raises(EntryError, match=words):
        read_wind(text)


@given(st.integers(1, 360), st.integers(1, 300))
def test_written_winds_read_back(from_deg: int, kt: int) -> None:
    assert read_wind(write_wind(from_deg, kt)) == (from_deg, kt)
