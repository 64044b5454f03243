"""Instants and clock times as navigators write them.

Inside the computing rooms an instant is `gmt_s`: seconds since 2000-01-01T00:00:00 of the log's GMT, counted without
leap seconds. At interfaces it is an aware datetime in UTC.
"""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime, timedelta

from nightleg.units.errors import EntryError, quoted

EPOCH = datetime(2000, 1, 1, tzinfo=UTC)
DAY_S = 86400.0

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip

_INSTANT = re.compile(
    r"([0-9]{4})-([0-9]{2})-([0-9]{2})[Tt ]([0-9]{2}):([0-9]{2})(?::([0-9]{2})(?:[.,]([0-9]+))?)?"
    r"\s*([Zz]|[+-][0-9]{2}:?[0-9]{2})?"
)
_CLOCK = re.compile(r"([0-9]{2}) ?[:\- ]? ?([0-9]{2})(?: ?[:\- ]? ?([0-9]{2})(?:[.,]([0-9]*))?)? ?[Zz]?")
_ONE_DIGIT_HOUR = re.compile(r"([0-9])(?=:[0-9]{2})")

_DATED = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})(.*)")

_ZONED = re.compile("[Tt+]|[0-9]-[0-9]{2}:?[0-9]{2}$")
_DATED_FORM = "write it like 2026-03-14 2252"
_INSTANT_FORM = "write it like 2026-03-14T22:52:00Z"
_CLOCK_FORM = "write it like 22:52:30, or 2252 without seconds"


def gmt_s(when: datetime) -> float:
    """Seconds since the epoch of an aware datetime. Raises ValueError for one without a zone."""
    if when.utcoffset() is None:
        raise ValueError(f"{when.isoformat()} has no zone: GMT times carry UTC")
    return (when - EPOCH).total_seconds()


def instant(gmt_s: float) -> datetime:
    """The aware UTC datetime of `gmt_s`, rounded to the microsecond. Raises ValueError outside years 1 to 9999."""
    seconds = float(gmt_s)
    if not math.isfinite(seconds):
        raise ValueError(f"{seconds} is not a time")
    whole = math.floor(seconds)
    try:
        return EPOCH + timedelta(seconds=whole, microseconds=round((seconds - whole) * 1e6))
    except OverflowError:
        raise ValueError(f"{seconds:g} s from 2000-01-01 is outside the years 1 to 9999") from None


def read_instant(text: str) -> datetime:
    """The instant written in `text`, as aware UTC: ISO 8601 date and time with Z or an offset from GMT.

    Decimals of seconds are rounded to the microsecond. Raises EntryError, also for a time without a zone and for a leap
    second (:60), which a log of GMT cannot hold.
    """
    match = _INSTANT.fullmatch(text.strip())
    if match is None:
        raise EntryError(f"{quoted(text)} is not a date and time; {_INSTANT_FORM}")
    year, month, day, hour, minute, second, decimals, zone = match.groups()
    if zone is None:
        raise EntryError(f"{quoted(text)} has no zone; add Z for GMT: {text.strip()}Z")
    if second == "60":
        raise EntryError(f"{quoted(text)} is a leap second, which cannot be used; write the second before or after it")
    offset = timedelta()
    if zone not in "Zz":
        hours, minutes = int(zone[1:3]), int(zone[-2:])
        if hours > 23 or minutes > 59:
            raise EntryError(f"{quoted(text)}: no zone is {zone} from GMT; write Z for GMT")
        offset = timedelta(hours=hours, minutes=minutes) * (-1 if zone[0] == "-" else 1)
    try:
        local = datetime(int(year), int(month), int(day), int(hour), int(minute), int(second or 0), tzinfo=UTC)
        return local + timedelta(seconds=float(f"0.{decimals or 0}")) - offset
    except (ValueError, OverflowError) as error:
        raise EntryError(f"{quoted(text)} is no possible time: {error}; {_INSTANT_FORM}") from None


def is_dated(text: str) -> bool:
    """Whether what is typed for a time begins with a date."""
    return _DATED.match(text.strip()) is not None


def read_dated(text: str, near: datetime) -> datetime:
    """A date with a clock time as it is typed where GMT is meant: `2026-03-14 2252`, or as in `read_instant`.

    A date alone keeps the clock time of `near`. Raises EntryError.
    """
    given = _DATED.fullmatch(text.strip())
    if given is None or _ZONED.search(given[2]):
        return read_instant(text)
    year, month, day = (int(part) for part in given[1].split("-"))
    clock_s = read_clock(given[2]) if given[2].strip() else _clock_of(near)
    try:
        return datetime(year, month, day, tzinfo=UTC) + timedelta(seconds=clock_s)
    except (ValueError, OverflowError) as error:
        raise EntryError(f"{quoted(text)} is no possible date: {error}; {_DATED_FORM}") from None


def write_instant(when: datetime) -> str:
    """`when` as `2026-03-14T22:52:00Z`, with decimals of a second only where there are some."""
    utc = when.astimezone(UTC).replace(tzinfo=None)
    text = utc.isoformat()
    return (text.rstrip("0") if utc.microsecond else text) + "Z"


def read_clock(text: str) -> float:
    """Seconds of the day of a clock time: `2252`, `225230`, `22:52`, `22:52:30`, `2252:30`, with decimals of seconds.

    Dashes or spaces between the groups, a comma as decimal sign and a final Z are taken too. Raises EntryError.
    """
    given = _ONE_DIGIT_HOUR.sub(r"0\1", text.strip(), count=1) if text.strip()[1:2] == ":" else text.strip()
    match = _CLOCK.fullmatch(given)
    if match is None:
        raise EntryError(f"{quoted(text)} is not a clock time; {_CLOCK_FORM}")
    hour, minute, second, decimals = match.groups()
    if int(hour) > 23:
        raise EntryError(f"{quoted(text)} has hour {hour}; hours run from 00 to 23")
    if int(minute) > 59:
        raise EntryError(f"{quoted(text)} has minute {minute}; minutes run from 00 to 59")
    if int(second or 0) > 59:
        raise EntryError(f"{quoted(text)} has second {second}; seconds run from 00 to 59")
    return int(hour) * 3600.0 + int(minute) * 60.0 + float(f"{second or 0}.{decimals or 0}")


def write_date(when: datetime, *, short: bool = False) -> str:
    """The GMT date of `when` as `14 March 2026`, or `14 Mar`; in English, whatever the machine's language."""
    utc = when.astimezone(UTC)
    month = MONTHS[utc.month - 1]
    return f"{utc.day} {month[:3]}" if short else f"{utc.day} {month} {utc.year}"


def write_clock(when: datetime, seconds: bool = False) -> str:
    """The GMT clock of `when` as `2252`, or `2252:30` with seconds; rounded once, so 23:59:59.9 is `0000:00`."""
    utc = when.astimezone(UTC)
    unit_s = 1 if seconds else 60
    of_day = timedelta(hours=utc.hour, minutes=utc.minute, seconds=utc.second, microseconds=utc.microsecond)
    units = (of_day + timedelta(seconds=unit_s) / 2) // timedelta(seconds=unit_s)
    minutes, second = divmod(units * unit_s % int(DAY_S), 60)
    hour, minute = divmod(minutes, 60)
    return f"{hour:02d}{minute:02d}:{second:02d}" if seconds else f"{hour:02d}{minute:02d}"


def nearest_date(clock_s: float, near: datetime) -> datetime:
    """The instant with clock time `clock_s` (seconds of the day, GMT) that lies nearest to `near`; a tie goes later.

    So `2358` typed at 0003 is the day before, and a log over 0000Z needs no dates. Raises EntryError at the ends of the
    calendar.
    """
    return _on_a_day(near, clock_s, math.floor((_clock_of(near) - clock_s) / DAY_S + 0.5))


def first_after(clock_s: float, when: datetime) -> datetime:
    """The first instant with clock time `clock_s` (seconds of the day, GMT) that is not before `when`."""
    return _on_a_day(when, clock_s, math.ceil((_clock_of(when) - clock_s) / DAY_S))


def _clock_of(when: datetime) -> float:
    return gmt_s(when) % DAY_S


def _on_a_day(base: datetime, clock_s: float, days: int) -> datetime:
    """Clock time `clock_s` on the GMT day `days` after that of `base`."""
    midnight = base.astimezone(UTC).replace(hour=0, minute=0, second=0, microsecond=0)
    try:
        return midnight + timedelta(days=days, seconds=clock_s)
    except OverflowError:
        raise EntryError(f"no such day: {days:+d} from {base:%Y-%m-%d} is outside the calendar") from None
