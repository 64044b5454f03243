"""Instants and clock times, read and written."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightleg.units.errors import EntryError
from nightleg.units.times import (
    first_after,
    gmt_s,
    instant,
    is_dated,
    nearest_date,
    read_clock,
    read_dated,
    read_instant,
    write_clock,
    write_date,
    write_instant,
)

INSTANTS = st.datetimes(datetime(1899, 1, 1), datetime(2060, 1, 1), timezones=st.just(UTC))


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def test_epoch_and_days_without_leap_seconds() -> None:
    assert gmt_s(at("2000-01-01 00:00:00")) == 0.0
    # 2016-12-31 had a leap second that GMT as labelled does not count.
    assert gmt_s(at("2017-01-01 00:00:00")) - gmt_s(at("2016-12-31 23:59:59")) == 1.0
    assert instant(-86400.0) == at("1999-12-31 00:00:00")
    assert gmt_s(datetime(2000, 1, 1, 2, tzinfo=timezone(timedelta(hours=2)))) == 0.0


@given(INSTANTS)
def test_seconds_there_and_back(when: datetime) -> None:
    # A float of 2e9 s is good to 0.4 µs, so the microsecond comes back.
    assert instant(gmt_s(when)) == when


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, 1e18, -1e11])
def test_no_such_instant(bad: float) -> None:
    with pytest.raises(ValueError, match=r"not a time|outside the years"):
        instant(bad)


def test_zone_is_demanded() -> None:
    with pytest.raises(ValueError, match="no zone"):
        gmt_s(datetime(2026, 3, 14))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2026-03-14T22:52:00Z", "2026-03-14 22:52:00"),
        (" 2026-03-14t22:52z ", "2026-03-14 22:52:00"),
        ("2026-03-14 22:52:00.25Z", "2026-03-14 22:52:00.250000"),
        ("2026-03-14T22:52:00+02:00", "2026-03-14 20:52:00"),
        ("2026-03-14T22:52:00-0330", "2026-03-15 02:22:00"),
        ("2026-03-14T23:59:59.9999996Z", "2026-03-15 00:00:00"),
        ("1904-02-29T00:00:00Z", "1904-02-29 00:00:00"),
    ],
)
def test_read_instant(text: str, expected: str) -> None:
    assert read_instant(text) == at(expected)
    assert read_instant(text).utcoffset() == timedelta()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("2026-03-14T22:52:00", "no zone; add Z"),
        ("2016-12-31T23:59:60Z", "leap second"),
        ("2026-02-30T00:00:00Z", "no possible time"),
        ("2026-03-14T24:00:00Z", "no possible time"),
        ("2026-03-14T22:52:00+25:00", "no zone is"),
        ("0001-01-01T00:00:00+01:00", "no possible time"),
        ("14.3.2026 22:52", "not a date and time"),
        ("2252", "not a date and time"),
        ("", "not a date and time"),
        ("nan", "not a date and time"),
    ],
)
def test_refused_instants(text: str, words: str) -> None:
    with pytest.raises(EntryError, match=words):
        read_instant(text)


@given(INSTANTS)
def test_instants_there_and_back(when: datetime) -> None:
    assert read_instant(write_instant(when)) == when


def test_write_instant() -> None:
    assert write_instant(at("2026-03-14 22:52:00")) == "2026-03-14T22:52:00Z"
    assert write_instant(at("2026-03-14 22:52:10.500000")) == "2026-03-14T22:52:10.5Z"
    assert write_instant(datetime(2026, 3, 14, 1, tzinfo=timezone(timedelta(hours=2)))) == "2026-03-13T23:00:00Z"


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("2252", 82320.0),
        ("225230", 82350.0),
        ("22:52", 82320.0),
        ("22:52:30", 82350.0),
        ("2252:30", 82350.0),
        ("22-52-30", 82350.0),
        ("22 52 30", 82350.0),
        ("2252:30.25", 82350.25),
        ("225230,5", 82350.5),
        ("9:05", 32700.0),
        ("0000", 0.0),
        ("23:59:59.999", 86399.999),
        (" 2252Z ", 82320.0),
    ],
)
def test_read_clock(text: str, seconds: float) -> None:
    assert read_clock(text) == pytest.approx(seconds, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("2400", "hour 24"),
        ("2260", "minute 60"),
        ("22:52:60", "second 60"),
        ("225", "not a clock time"),
        ("22.52", "not a clock time"),
        ("-2252", "not a clock time"),
        ("", "not a clock time"),
        ("inf", "not a clock time"),
        ("22522", "not a clock time"),
    ],
)
def test_refused_clocks(text: str, words: str) -> None:
    with pytest.raises(EntryError, match=words):
        read_clock(text)


def test_write_clock_rounds_once() -> None:
    assert write_clock(at("2026-03-14 22:52:29.999999")) == "2252"
    assert write_clock(at("2026-03-14 22:52:30")) == "2253"
    assert write_clock(at("2026-03-14 22:52:30"), seconds=True) == "2252:30"
    assert write_clock(at("2026-03-14 22:59:59.5"), seconds=True) == "2300:00"
    assert write_clock(at("2026-03-14 23:59:59.9"), seconds=True) == "0000:00"
    assert write_clock(at("2026-03-14 23:59:59.9")) == "0000"


@given(INSTANTS)
def test_clock_there_and_back(when: datetime) -> None:
    whole = when.replace(microsecond=0)
    assert nearest_date(read_clock(write_clock(whole, seconds=True)), whole) == whole


def test_nearest_date_over_midnight() -> None:
    near = at("2026-03-15 00:03:00")
    assert nearest_date(read_clock("2358"), near) == at("2026-03-14 23:58:00")
    assert nearest_date(read_clock("0010"), near) == at("2026-03-15 00:10:00")
    assert nearest_date(read_clock("0002"), at("2026-12-31 23:50:00")) == at("2027-01-01 00:02:00")
    assert nearest_date(read_clock("1200"), at("2026-03-15 00:00:00")) == at("2026-03-15 12:00:00")  # a tie


@given(st.floats(0.0, 86399.0), INSTANTS)
def test_nearest_and_first(clock_s: float, near: datetime) -> None:
    half_day, day = timedelta(hours=12), timedelta(days=1)
    slack = timedelta(microseconds=1)
    assert abs(nearest_date(clock_s, near) - near) <= half_day + slack
    assert -slack <= first_after(clock_s, near) - near < day + slack
    assert (gmt_s(first_after(clock_s, near)) - clock_s + 43200.0) % 86400.0 == pytest.approx(43200.0, abs=2e-6)


def test_first_after() -> None:
    assert first_after(read_clock("0142"), at("2026-03-14 23:07:00")) == at("2026-03-15 01:42:00")
    assert first_after(read_clock("2307"), at("2026-03-14 23:07:00")) == at("2026-03-14 23:07:00")


def test_ends_of_the_calendar() -> None:
    with pytest.raises(EntryError, match="outside the calendar"):
        nearest_date(0.0, datetime(9999, 12, 31, 23, tzinfo=UTC))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2026-03-14 2252", "2026-03-14 22:52:00"),
        ("2026-03-14 22:52:30", "2026-03-14 22:52:30"),
        ("2026-03-14 2252Z", "2026-03-14 22:52:00"),
        ("2026-03-14", "2026-03-14 07:15:30"),  # the clock time that was there
        ("2026-03-14T22:52:00Z", "2026-03-14 22:52:00"),
        ("2026-03-14 22:52:00-0330", "2026-03-15 02:22:00"),
    ],
)
def test_a_date_typed_where_gmt_is_meant(text: str, expected: str) -> None:
    assert is_dated(text)
    assert read_dated(text, at("2025-11-01 07:15:30")) == at(expected)


@pytest.mark.parametrize(
    ("text", "words"),
    [("2026-02-30 2252", "no possible date"), ("2026-03-14 2262", "minute 62"), ("2026-03-14T22:52", "add Z")],
)
def test_refused_dates(text: str, words: str) -> None:
    with pytest.raises(EntryError, match=words):
        read_dated(text, at("2025-11-01 07:15:30"))


def test_a_clock_time_is_not_dated() -> None:
    assert not is_dated("2252") and not is_dated("22-52-30") and not is_dated("")


def test_write_date() -> None:
    assert write_date(at("2026-03-14 22:52:00")) == "14 March 2026"
    assert write_date(datetime(2026, 1, 1, 1, tzinfo=timezone(timedelta(hours=2))), short=True) == "31 Dec"
