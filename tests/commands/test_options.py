"""Times and sizes of a call."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime

import pytest

from nightleg.commands.options import instant, moment, size
from nightleg.commands.terminal import InputError

START = datetime(2026, 3, 14, 22, 0, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "day", "clock"),
    [
        ("2252", 14, (22, 52, 0)),
        ("225230", 14, (22, 52, 30)),
        ("22:52", 14, (22, 52, 0)),
        ("2200", 15, (22, 0, 0)),  # 30 s before the start: the next one is a day later
        ("220030", 14, (22, 0, 30)),  # the start itself
        ("0015", 15, (0, 15, 0)),
        ("2026-03-15T01:42:00Z", 15, (1, 42, 0)),
        ("2026-03-15T03:42:00+02:00", 15, (1, 42, 0)),
    ],
)
def test_the_time_meant(text: str, day: int, clock: tuple[int, int, int]) -> None:
    assert moment(text).after(START) == datetime(2026, 3, day, *clock, tzinfo=UTC)


@pytest.mark.parametrize(
    "text",
    ["", "now", "2460", "2400", "225260", "9", "2026-03-14", "2026-03-14T22:52:00", "2026-02-30T00:00:00Z",
     "2026-03-14T22:52:60Z", "2026-03-14T25:00:00Z", "nan", "٢٢٥٢", "1e4", "-2252", "2252\n0", "0000-01-01T00:00:00Z"],
)  # fmt: skip
def test_malformed_times_are_refused(text: str) -> None:
    with pytest.raises(argparse.ArgumentTypeError, match=r"write|must|run from|add Z|no possible"):
        moment(text)


def test_a_clock_time_alone_is_no_instant() -> None:
    with pytest.raises(argparse.ArgumentTypeError, match="2026-03-14T22:52:00Z"):
        instant("2252")


def test_the_end_of_the_calendar() -> None:
    with pytest.raises(InputError, match="--at 2200"):
        moment("2200").after(datetime(9999, 12, 31, 23, 0, tzinfo=UTC))


def test_sizes() -> None:
    assert size("1920x1080") == (1920, 1080)
    for wrong in ("1920", "1920*1080", "0x0", "-1x5", "99999x99999", "1920x", "1920.5x1080", ""):
        with pytest.raises(argparse.ArgumentTypeError, match=r"1920x1080|pixels"):
            size(wrong)
