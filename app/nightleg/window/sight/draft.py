"""The sight being typed: from the text of the form's fields to values. No Qt here.

What is typed may be right, wrong, or only not finished: "22" on the way to "2252" is no mistake, and nobody is to be
told off for it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial
from typing import Any, Literal, TypeVar

from nightleg.flight.check_sights import EARLIEST_SHOT, LATEST_SHOT
from nightleg.flight.kinds import declared
from nightleg.flight.model import Flight, Limb, Reading
from nightleg.flight.quantities import DurationS, ReadingSigmaArcmin, SpeedChange, TurnRate
from nightleg.flight.shots import watch_to_gmt
from nightleg.sky.catalogue import find_body, nearest_bodies
from nightleg.units.angles import plain_signs, read_angle
from nightleg.units.errors import EntryError, quoted
from nightleg.units.positions import Position, read_position
from nightleg.units.times import nearest_date, read_clock, write_clock, write_instant
from nightleg.window.other.kinds import Other
from nightleg.window.sight.series import RowText

T = TypeVar("T")

FieldName = Literal["body", "time", "reading", "series", "duration", "turn", "speed", "sigma", "assumed"]
FIELDS: tuple[FieldName, ...] = ("body", "time", "reading")
"""The fields that every sight needs."""
MORE: tuple[FieldName, ...] = ("duration", "turn", "speed", "sigma", "assumed")
"""The fields that have a usual value when they are empty."""

NEW_FIX = "new"
"""What the draft's `fix` says for a fix that is not there yet."""
NO_FIX = "none"
"""What the draft's `fix` says for a sight that goes into none."""

LIMBED = ("Sun", "Moon")
"""Bodies of which a limb can be shot."""

BEGUN_FIGURES = 4  # a reading of fewer figures may be on its way to another
BEGUN_DEG = 10.0  # and is taken to be, where it is this far from the computed altitude

_ROWS_TOLD = 3  # rows of a series of which it is said what is wrong
_LOWEST_HS_DEG, _HIGHEST_HS_DEG = -2.0, 90.0  # as in the flight file


@dataclass(frozen=True, slots=True)
class Draft:
    """The form as typed. `fix` is the id of a fix, NEW_FIX, NO_FIX, or None where the rule is to choose.

    `series` counts in place of time and reading once there is a row. `sight` is the id of the filed sight that is being
    changed; what was being typed before that lies in `aside`. `other` is what is typed of another kind; while it names
    one, the sight waits.
    """

    body: str = ""
    time: str = ""
    reading: str = ""
    limb: Limb = "centre"
    fix: str | None = None
    series: tuple[RowText, ...] = ()
    duration: str = ""
    turn: str = ""
    speed: str = ""
    sigma: str = ""
    assumed: str = ""
    sight: str | None = None
    aside: Draft | None = None
    other: Other = field(default_factory=Other)


@dataclass(frozen=True, slots=True)
class Remark:
    """What there is to say of a field; `wrong` if it cannot stand, else it is only not finished."""

    text: str
    wrong: bool


@dataclass(frozen=True, slots=True)
class Typed:
    """A draft as understood: what could be read of each field (None: empty, unfinished or wrong) and remarks.

    `rows` are remarks on rows of the series, by number (from 0) and column (0 time, 1 altitude).
    """

    body: str | None = None
    watch_time: datetime | None = None
    hs_deg: float | None = None
    limb: Limb = "centre"
    readings: tuple[Reading, ...] = ()
    duration_s: float | None = None
    turn_deg_per_min: float | None = None
    speed_change_kt_per_min: float | None = None
    sigma_arcmin: float | None = None
    assumed: Position | None = None
    remarks: dict[FieldName, Remark] = field(default_factory=dict)
    rows: dict[tuple[int, int], Remark] = field(default_factory=dict)

    @property
    def placed(self) -> bool:
        """Whether body and time are known: enough to compute the altitude."""
        return self.body is not None and self.watch_time is not None

    @property
    def complete(self) -> bool:
        """Whether it is a sight."""
        return self.placed and self.hs_deg is not None

    @property
    def answerable(self) -> bool:
        """Whether nothing is in the way of an answer: rows that cannot be read are left out of a series."""
        return not self.remarks or (set(self.remarks) == {"series"} and bool(self.readings))


def understand(draft: Draft, flight: Flight, near: datetime) -> Typed:
    """Read every field by itself; times are those nearest to `near`."""
    remarks: dict[FieldName, Remark] = {}
    rows: dict[tuple[int, int], Remark] = {}
    body = _body(draft.body, remarks)
    readings: tuple[Reading, ...] = ()
    if in_series(draft):
        readings = _series(draft.series, flight, near, remarks, rows)
        watch_time, hs_deg = mean_of(readings) if readings else (None, None)
    else:
        watch_time = _remarked("time", remarks, lambda: _time(draft.time, flight, near))
        hs_deg = _remarked("reading", remarks, lambda: _reading(draft.reading))
    return Typed(
        body,
        watch_time,
        hs_deg,
        draft.limb if body in LIMBED else "centre",
        readings,
        _number("duration", draft.duration, DurationS, remarks),
        _number("turn", draft.turn, TurnRate, remarks, sides=True),
        _number("speed", draft.speed, SpeedChange, remarks),
        _number("sigma", draft.sigma, ReadingSigmaArcmin, remarks),
        _remarked("assumed", remarks, lambda: read_position(draft.assumed) if draft.assumed.strip() else None),
        remarks,
        rows,
    )


def in_series(draft: Draft) -> bool:
    """Whether the draft holds a series, which then counts in place of time and reading."""
    return any(time.strip() or altitude.strip() for time, altitude in draft.series)


def mean_of(readings: Sequence[Reading]) -> tuple[datetime, float]:
    """Mean watch time, to the second, and mean altitude."""
    first = readings[0].time
    mean = first + sum((one.time - first for one in readings), timedelta()) / len(readings)
    whole = (mean + timedelta(microseconds=500_000)).replace(microsecond=0)
    return whole, sum(one.hs for one in readings) / len(readings)


def whole(text: str) -> bool:
    """Whether a reading has all the figures that one is typed with; else it may be on its way to another."""
    groups = re.findall("[0-9]+", text)
    return sum(map(len, groups)) >= BEGUN_FIGURES or (len(groups) > 1 and len(groups[1]) > 1)


def all_whole(draft: Draft) -> bool:
    """Whether the reading, or each of a series, is whole."""
    return all(map(whole, _readings_typed(draft)))


def _readings_typed(draft: Draft) -> list[str]:
    return [altitude for _, altitude in draft.series if altitude.strip()] if in_series(draft) else [draft.reading]


def begun(draft: Draft, hs_deg: float, hc_deg: float) -> str:
    """Why a reading is taken as only begun; empty if it stands.

    A first figure is on its way to a reading and must not throw the fix across the ocean.
    """
    off_deg = abs(hs_deg - hc_deg)
    texts = _readings_typed(draft)
    if any(map(whole, texts)) or off_deg <= BEGUN_DEG:
        return ""
    return f"{texts[0].strip()} so far, {off_deg:.0f}° from Hc; degrees and minutes count as typed, like 41 23.5"


class Begun(EntryError):
    """Not wrong, only not finished."""


def _remarked(name: FieldName, remarks: dict[FieldName, Remark], read: Callable[[], T]) -> T | None:
    """What `read` gives; what it raises is remarked on at the field."""
    found, remark = _tried(read)
    if remark:
        remarks[name] = remark
    return found


def _tried(read: Callable[[], T]) -> tuple[T | None, Remark | None]:
    try:
        return read(), None
    except EntryError as error:
        return None, Remark(str(error), not isinstance(error, Begun))


def _body(text: str, remarks: dict[FieldName, Remark]) -> str | None:
    if not text.strip():
        return None
    try:
        return find_body(text)
    except EntryError as error:
        fitting = [name for name in nearest_bodies(text, 4) if name.casefold().startswith(text.strip().casefold())]
        hip = "hip".startswith(text.strip().casefold()[:3])
        remarks["body"] = Remark(", ".join(fitting) + " …", False) if fitting else Remark(str(error), not hip)
        return None


def _time(text: str, flight: Flight, near: datetime) -> datetime | None:
    if not text.strip():
        return None
    try:
        shown = nearest_date(read_clock(text), near)
    except EntryError as error:
        figures = [sign for sign in text if sign.isdigit()]
        if len(figures) in (1, 2, 3, 5) and all(sign.isdigit() or sign in " :" for sign in text):
            raise Begun("hours and minutes, like 2252; seconds may follow") from error
        raise
    gmt = watch_to_gmt(flight.watch, flight.start.time, shown)
    if gmt < flight.start.time:
        start = write_clock(flight.start.time, seconds=True)
        raise EntryError(f"{quoted(text)} is before the start of the flight at {start} GMT")
    if not EARLIEST_SHOT <= gmt <= LATEST_SHOT:
        edge, side = (LATEST_SHOT, "after the end") if gmt > LATEST_SHOT else (EARLIEST_SHOT, "before the beginning")
        raise EntryError(f"{quoted(text)} is {side} of the ephemeris, {write_instant(edge)}")
    return shown


def _reading(text: str) -> float | None:
    if not text.strip():
        return None
    try:
        return read_angle(text, lowest_deg=_LOWEST_HS_DEG, highest_deg=_HIGHEST_HS_DEG, what="reading")
    except EntryError as error:
        figures = text.strip().lstrip("+-−")
        if figures in ("", ".") or (figures.isdecimal() and len(figures) == 3):
            raise Begun("degrees and minutes, like 41 23.5 or 4123.5") from error
        raise


def _series(
    rows: Sequence[RowText],
    flight: Flight,
    near: datetime,
    remarks: dict[FieldName, Remark],
    said: dict[tuple[int, int], Remark],
) -> tuple[Reading, ...]:
    """The readings that are whole; a row that is begun is left out until then, a wrong one until it is mended."""
    readings: list[Reading] = []
    for number, (time, altitude) in enumerate(rows):
        when, of_time = _tried(partial(_time, time, flight, near))
        hs_deg, of_altitude = _tried(partial(_reading, altitude))
        if bool(time.strip()) != bool(altitude.strip()):
            of_time, of_altitude = of_time or _wanted(time, "watch time"), of_altitude or _wanted(altitude, "altitude")
        said |= {(number, column): remark for column, remark in enumerate((of_time, of_altitude)) if remark}
        if hs_deg is not None and not whole(altitude) and _apart(hs_deg, rows):
            hs_deg, said[number, 1] = None, Remark(f"{altitude.strip()} so far", False)
        if when is not None and hs_deg is not None:
            readings.append(Reading(time=when, hs=hs_deg))
            near = when
    wrong: dict[int, str] = {}
    for (number, _), remark in said.items():
        if remark.wrong:
            wrong.setdefault(number, remark.text)
    if wrong:
        told = "\n".join(f"Row {number + 1} is left out: {text}" for number, text in list(wrong.items())[:_ROWS_TOLD])
        more = f"\nand {len(wrong) - _ROWS_TOLD} more" if len(wrong) > _ROWS_TOLD else ""
        remarks["series"] = Remark(told + more, True)
    elif said:
        remarks["series"] = Remark("a row is not whole yet", False)
    return tuple(readings)


def _apart(hs_deg: float, rows: Sequence[RowText]) -> bool:
    """Whether an altitude that is typed in part is far from the others, which are whole."""
    found = [_tried(partial(_reading, altitude))[0] for _, altitude in rows if whole(altitude)]
    others = [other for other in found if other is not None]
    return bool(others) and abs(hs_deg - sum(others) / len(others)) > BEGUN_DEG


def _wanted(text: str, what: str) -> Remark | None:
    """What a row that is half there still needs."""
    return None if text.strip() else Remark(f"{what} still to come, or leave the row empty", False)


def _number(
    name: FieldName, text: str, quantity: Any, remarks: dict[FieldName, Remark], *, sides: bool = False
) -> float | None:
    """A number in the range of its quantity; with `sides`, R or L may stand after it, right positive."""
    return _remarked(name, remarks, lambda: _read_number(text, quantity, sides)) if text.strip() else None


def _read_number(text: str, quantity: Any, sides: bool) -> float:
    kind, given, sign = declared(quantity), plain_signs(text).replace(",", "."), 1.0
    if given in ("+", "-", "."):
        raise Begun(f"right is {kind.words}")
    if sides and given[-1:].upper() in ("R", "L") and given[:1] not in ("+", "-"):
        sign, given = (1.0 if given[-1].upper() == "R" else -1.0), given[:-1].strip()
    try:
        value = float(given)
    except ValueError:
        raise EntryError(f"{quoted(text)} is no number; right is {kind.words}") from None
    return float(kind.read(sign * value))
