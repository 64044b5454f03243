"""Angles, read and written."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightleg.units.angles import read_angle, write_angle, write_arcmin, write_bearing
from nightleg.units.errors import EntryError


@pytest.mark.parametrize(
    ("text", "deg"),
    [
        ("61 08.0", 61.0 + 8.0 / 60.0),
        ("61.1333", 61.1333),
        ("61 08 00", 61.0 + 8.0 / 60.0),
        ("61°08.0'", 61.0 + 8.0 / 60.0),
        ("61° 08.0′", 61.0 + 8.0 / 60.0),
        ("61º08′30″", 61.0 + 8.5 / 60.0),
        ("61 08' 30''", 61.0 + 8.5 / 60.0),
        ("61d08m", 61.0 + 8.0 / 60.0),
        ("61-08.0", 61.0 + 8.0 / 60.0),
        ("61-08-30", 61.0 + 8.5 / 60.0),
        ("4123.5", 41.0 + 23.5 / 60.0),
        ("02815.0", 28.25),
        ("-4123.5", -41.0 - 23.5 / 60.0),
        ("-0 30.0", -0.5),
        ("−0 30.0", -0.5),
        ("+12", 12.0),
        ("61,5", 61.5),
        ("61 08,5", 61.0 + 8.5 / 60.0),
        ("61.", 61.0),
        (".5", 0.5),
        ("0", 0.0),
        ("61°", 61.0),
        ("61 59.9999", 61.0 + 59.9999 / 60.0),
        ("360", 360.0),
    ],
)
def test_read_angle(text: str, deg: float) -> None:
    assert read_angle(text) == pytest.approx(deg, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("61 60", "60 minutes; they must be below 60"),
        ("61 08 60", "60 seconds; they must be below 60"),
        ("4160", "60 minutes"),
        ("61.5 08", "only the last group"),
        ("61 08.5 30", "only the last group"),
        ("61 -08", "cannot be read as angle"),
        ("1e3", "cannot be read as angle"),
        ("nan", "cannot be read as angle"),
        ("inf", "cannot be read as angle"),
        ("61 08 00 00", "cannot be read as angle"),
        ("٦١", "cannot be read as angle"),
        ("61 08 N", "cannot be read as angle"),
        ("412359", "6 figures"),
        ("361", "from -360° to 360°"),
        ("", "is missing"),
        ("   ", "is missing"),
        ("a\x07b", r"a\\x07b"),
    ],
)
def test_refused_angles(text: str, words: str) -> None:
    with pytest.raises(EntryError, match=words):
        read_angle(text)


def test_limits_and_names() -> None:
    assert read_angle("90", highest_deg=90.0) == 90.0
    with pytest.raises(EntryError, match="the reading must be from 0° to 90°"):
        read_angle("90 00.1", lowest_deg=0.0, highest_deg=90.0, what="reading")
    assert math.copysign(1.0, read_angle("-0")) == 1.0


def test_letters() -> None:
    assert read_angle("41 30 s", letters="NS") == -41.5
    assert read_angle("N 41 30", letters="NS") == 41.5
    with pytest.raises(EntryError, match="both a sign and S"):
        read_angle("-41 30 S", letters="NS")
    with pytest.raises(EntryError, match="is missing"):
        read_angle("N", letters="NS")


@pytest.mark.parametrize(
    ("deg", "places", "text"),
    [
        (41.0 + 23.5 / 60.0, 1, "41°23.5′"),
        (41.99999, 1, "42°00.0′"),
        (-41.99999, 1, "−42°00.0′"),
        (-0.5, 1, "−0°30.0′"),
        (-0.0, 1, "0°00.0′"),
        (-0.0001, 1, "0°00.0′"),
        (5.0, 0, "5°00′"),
        (0.999, 0, "1°00′"),
        (12.3456, 3, "12°20.736′"),
        (359.99999, 1, "360°00.0′"),
    ],
)
def test_write_angle(deg: float, places: int, text: str) -> None:
    assert write_angle(deg, places) == text


def test_write_wrapped_and_padded() -> None:
    assert write_angle(359.99999, wrap=True, width=3) == "000°00.0′"
    assert write_angle(-0.00001, wrap=True) == "0°00.0′"
    assert write_angle(-10.5, wrap=True) == "349°30.0′"
    assert write_angle(5.5, width=3) == "005°30.0′"


@pytest.mark.parametrize(
    ("deg", "places", "text"),
    [
        (68.4, 0, "068°"),
        (68.14, 1, "068.1°"),
        (359.5, 0, "000°"),
        (360.0, 0, "000°"),
        (359.94, 1, "359.9°"),
        (359.96, 1, "000.0°"),
        (-1.0, 0, "359°"),
        (-1e-20, 0, "000°"),
    ],
)
def test_write_bearing(deg: float, places: int, text: str) -> None:
    assert write_bearing(deg, places) == text


@pytest.mark.parametrize(
    ("arcmin", "text"),
    [
        (0.4, "+0.4′"),
        (-0.84, "−0.8′"),
        (0.04, "0.0′"),
        (-0.04, "0.0′"),
        (-0.0, "0.0′"),
        (9.96, "+10.0′"),
        (-59.96, "−60.0′"),
    ],
)
def test_write_arcmin(arcmin: float, text: str) -> None:
    assert write_arcmin(arcmin) == text


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_no_number_is_no_text(bad: float) -> None:
    for write in (write_angle, write_bearing, write_arcmin):
        with pytest.raises(ValueError, match="cannot be written"):
            write(bad)


@given(st.floats(-360.0, 360.0), st.integers(0, 4))
def test_there_and_back(deg: float, places: int) -> None:
    # Half a unit of the last figure, and rounding of the last bit.
    assert read_angle(write_angle(deg, places)) == pytest.approx(deg, abs=0.5 / (60.0 * 10**places) + 1e-12)


@given(st.integers(0, 360 * 600))
def test_written_once_stays(units: int) -> None:
    text = write_angle(units / 600.0)
    assert "60.0" not in text.split("°")[1]
    assert write_angle(read_angle(text)) == text


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        value = read_angle(text)
    except EntryError as error:
        assert str(error).isprintable()
    else:
        assert math.isfinite(value)
