"""Kinds of value with parts: times, positions, winds, and the rows of lists.

Like `flight.kinds`; apart from them because they make values of `flight.model`, which the model's own annotations
cannot need.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from typing import Any, TypeVar

from nightleg.flight.kinds import MOST_ROWS_WRONG, Kind, Number, RowErrors, declared
from nightleg.flight.model import Reading, TruthPoint, Wind, WindOfFix
from nightleg.flight.quantities import AltitudeFt, Arcmin, DirectionDeg, HsDeg, SpeedKt
from nightleg.flight.valuetext import decimal, degrees_and_minutes, short, shown, toml_text
from nightleg.sky.ephemeris import FIRST, LAST
from nightleg.units.errors import EntryError
from nightleg.units.positions import Position, read_latitude, read_longitude, read_position
from nightleg.units.times import first_after, nearest_date, read_clock, read_instant, write_instant

EARLIEST, LATEST = FIRST, LAST  # of the ephemeris
BEFORE_START = timedelta(hours=1)  # an undated reading of that hour is before the start, not a day after it

_WIND = re.compile(r"([+-]?[0-9]+(?:\.[0-9]*)?) */ *([+-]?[0-9]+(?:\.[0-9]*)?)")
_GRID = re.compile(r"\s*grid\s+", re.IGNORECASE)
_LAT_DEG = Number(-90.0, 90.0, "degrees, north positive")
_LON_DEG = Number(-180.0, 180.0, "degrees, east positive")
_ROW_DEG = Number(-90.0, 90.0, "degrees of altitude")

T = TypeVar("T")


class Time(Kind, frozen=True):
    """An instant with its zone, within the ephemeris."""

    words = "a date and time with Z, like 2026-03-14T22:52:00Z"

    def read(self, given: Any) -> datetime:
        """Aware UTC. Raises EntryError for a time without a zone and outside the ephemeris."""
        if isinstance(given, str):
            given = read_instant(short(given))
        if isinstance(given, datetime):
            if given.tzinfo is None:
                raise EntryError(self.wrong(given, f"which has no zone; add Z for GMT: {given.isoformat()}Z"))
            try:
                when = given.astimezone(UTC)
            except OverflowError:
                when = datetime.min.replace(tzinfo=UTC)
            if not EARLIEST <= when <= LATEST:
                why = f"outside the ephemeris, which runs from {write_instant(EARLIEST)} to {write_instant(LATEST)}"
                raise EntryError(self.wrong(given, why))
            return when
        why = "a date without a time" if isinstance(given, date) else ""
        raise EntryError(self.wrong(given, "a time without a date" if isinstance(given, time) else why))

    def write(self, value: datetime) -> str:
        """ISO 8601 with Z."""
        return write_instant(value)


class PositionText(Kind, frozen=True):
    """A latitude and a longitude in one text."""

    words = 'a position in quotes like "41 30.0 N 028 15.0 W" or "41.5 -28.25"'

    def read(self, given: Any) -> Position:
        """The position. Raises EntryError."""
        if not isinstance(given, str):
            raise EntryError(self.wrong(given))
        try:
            return read_position(short(given, 100))
        except EntryError as error:
            message = str(error).partition("; write")[0]  # of one half; the example is that of a whole position
            raise EntryError(f"{message}; right is {self.words}") from None

    def write(self, value: Position) -> str:
        """Degrees and minutes where they hold the value exactly, else decimal degrees."""
        lat = degrees_and_minutes(value.lat, read_latitude, "NS", 2)
        lon = degrees_and_minutes(value.lon, read_longitude, "EW", 3)
        return f'"{lat[1:-1]} {lon[1:-1]}"' if lat and lon else f'"{decimal(value.lat)} {decimal(value.lon)}"'


class WindText(Kind, frozen=True):
    """A wind, "310/45"."""

    words = 'a wind like "310/45": from, degrees true / knots'

    def read(self, given: Any) -> Wind | WindOfFix:
        """The wind. Raises EntryError."""
        if not isinstance(given, str):
            raise EntryError(self.wrong(given))
        parts = _WIND.fullmatch(short(given).strip())
        if parts is None:
            raise EntryError(self.wrong(given))
        numbers = []
        for what, text, quantity in (("direction", parts[1], DirectionDeg), ("speed", parts[2], SpeedKt)):
            try:
                numbers.append(declared(quantity).read(float(text)))
            except EntryError:
                right = declared(quantity).words.removeprefix("a number ")
                raise EntryError(f"given {shown(given)}: the {what} is {text}; right is {right}") from None
        return Wind(from_deg=numbers[0], kt=numbers[1])

    def write(self, value: Any) -> str:
        """As a navigator writes it, with the decimals it needs."""
        return f'"{decimal(value.from_deg).zfill(3)}/{decimal(value.kt)}"'


class LegWind(WindText, frozen=True):
    """A wind, or the wind found at a fix."""

    words = (
        'a wind like "310/45" (from, degrees true / knots), "grid 045/30" by the grid, or "fix:f1", the wind found at '
        "that fix"
    )

    def read(self, given: Any) -> Wind | WindOfFix:
        """The wind, or the reference. Raises EntryError."""
        if isinstance(given, str) and given.startswith("fix:") and given[4:].strip():
            return WindOfFix(given[4:].strip())
        by_grid = _GRID.match(given) if isinstance(given, str) else None
        if by_grid is None:
            return super().read(given)
        try:
            found = super().read(given[by_grid.end() :])
        except EntryError:
            raise EntryError(self.wrong(given)) from None
        return Wind(from_deg=found.from_deg, kt=found.kt, grid=True) if isinstance(found, Wind) else found

    def write(self, value: Any) -> str:
        """As a navigator writes it."""
        if isinstance(value, WindOfFix):
            return toml_text(f"fix:{value.fix}")
        text = super().write(value)
        return f'"grid {text[1:]}' if value.grid else text


class CorrectionTable(Kind, frozen=True):
    """Corrections by altitude."""

    words = "rows of altitude in degrees and correction in arcmin, rising: [[10, 0.3], [45, 0.1]]"

    def read(self, given: Any) -> tuple[tuple[float, float], ...]:
        """The rows. Raises EntryError."""

        def row(cells: list[Any], before: tuple[float, float] | None) -> tuple[float, float]:
            altitude_deg, arcmin = _ROW_DEG.read(cells[0]), declared(Arcmin).read(cells[1])
            if before and altitude_deg <= before[0]:
                raise EntryError(
                    f"altitude {decimal(altitude_deg)} does not rise above the {decimal(before[0])} before it"
                )
            return altitude_deg, arcmin

        return _rows(self, given, (2,), row)

    def write(self, value: Any) -> str:
        """As a TOML array."""
        return "[" + ", ".join(f"[{altitude!r}, {arcmin!r}]" for altitude, arcmin in value) + "]"


class Readings(Kind, frozen=True):
    """The readings of a series; their dates come from the sight's time, or else from the start of the flight."""

    words = 'rows of watch time and reading: [["22:52:00", "61 10.2"], ["22:52:30", "61 08.1"]]'

    def read(self, given: Any) -> tuple[tuple[Any, float], ...]:
        """Pairs of an instant, or seconds of the day where no date was written, and degrees. Raises EntryError."""
        return _rows(self, given, (2,), lambda cells, _: (_clock(cells[0]), declared(HsDeg).read(cells[1])))

    @staticmethod
    def dated(rows: tuple[tuple[Any, float], ...], near: datetime | None, start: datetime) -> tuple[Reading, ...]:
        """The readings on the dates nearest `near`; without it the first such time that is not before `start`.

        What lies less than an hour before `start` is taken for that, not for the next day. Without `near` the readings
        after the first are dated by it. Raises EntryError.
        """
        readings: list[Reading] = []
        for when, hs in rows:
            if not isinstance(when, datetime):
                when = nearest_date(when, near) if near else first_after(when, start - BEFORE_START)
            near = near or when
            readings.append(Reading(time=Time().read(when), hs=hs))
        return tuple(readings)

    def write(self, value: Any) -> str:
        """With whole dates, which hold in every case."""
        return "[" + ", ".join(f'["{write_instant(one.time)}", {declared(HsDeg).write(one.hs)}]' for one in value) + "]"


class Track(Kind, frozen=True):
    """The track really flown."""

    words = 'rows of GMT, latitude, longitude and, if known, altitude in feet: [["2026-03-14T22:00:00Z", 41.5, -28.25]]'

    def read(self, given: Any) -> tuple[TruthPoint, ...]:
        """The points, rising in time. Raises EntryError, also for none."""
        if given == []:
            raise EntryError(self.wrong(given))

        def row(cells: list[Any], before: TruthPoint | None) -> TruthPoint:
            when = Time().read(cells[0])
            if before and when <= before.time:
                raise EntryError(f"{write_instant(when)} is not later than the {write_instant(before.time)} before it")
            position = Position(_LAT_DEG.read(cells[1]), _LON_DEG.read(cells[2]))
            altitude_ft = declared(AltitudeFt).read(cells[3]) if len(cells) == 4 else None
            return TruthPoint(time=when, position=position, altitude_ft=altitude_ft)

        return _rows(self, given, (3, 4), row)

    def write(self, value: Any) -> str:
        """One point a line."""
        lines = []
        for point in value:
            numbers = [*point.position] if point.altitude_ft is None else [*point.position, point.altitude_ft]
            lines.append(f'    ["{write_instant(point.time)}", ' + ", ".join(repr(float(n)) for n in numbers) + "],\n")
        return "[\n" + "".join(lines) + "]"


def _clock(given: Any) -> datetime | float:
    if isinstance(given, datetime):
        return Time().read(given)
    if isinstance(given, time):
        if given.tzinfo is not None:
            raise EntryError(f"given {given}; write a clock time like 22:52:30")
        return timedelta(hours=given.hour, minutes=given.minute, seconds=given.second).total_seconds() + (
            given.microsecond / 1e6
        )
    if not isinstance(given, str):
        raise EntryError('the first of a pair is a watch time in quotes like "22:52:30"')
    text = short(given)
    return Time().read(text) if "T" in text.upper() else read_clock(text)


def _rows(kind: Kind, given: Any, lengths: tuple[int, ...], read: Callable[[list[Any], T | None], T]) -> tuple[T, ...]:
    """Every row read by `read`, which gets its cells and the row before. Raises RowErrors for all that are wrong."""
    if not isinstance(given, list):
        raise EntryError(kind.wrong(given))
    rows: list[T] = []
    wrong: list[tuple[int, str]] = []
    for i, cells in enumerate(given):
        try:
            if not isinstance(cells, list) or len(cells) not in lengths:
                raise EntryError(f"given {shown(cells)}; right are {kind.words}")
            rows.append(read(cells, rows[-1] if rows else None))
        except EntryError as error:
            wrong.append((i, str(error)))
            if len(wrong) == MOST_ROWS_WRONG:
                break
    if wrong:
        raise RowErrors(wrong)
    return tuple(rows)
