"""The sight being typed: from the text of the form's fields to a sight of the flight. No Qt here.

What is typed may be right, wrong, or only not finished: "22" on the way to "2252" is no mistake, and nobody is to be
told off for it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Literal

import msgspec

from nightleg.flight.model import Fix, Flight, Limb, Sight
from nightleg.flight.shots import watch_to_gmt
from nightleg.sky.catalogue import find_body, nearest_bodies
from nightleg.units.angles import read_angle, write_angle
from nightleg.units.errors import EntryError, quoted
from nightleg.units.times import nearest_date, read_clock, write_clock

FieldName = Literal["body", "time", "reading"]
FIELDS: tuple[FieldName, ...] = ("body", "time", "reading")

NEW_FIX = "new"
"""What the draft's `fix` says for a fix that is not there yet."""

LIMBED = ("Sun", "Moon")
"""Bodies of which a limb can be shot."""

_SAME_FIX = timedelta(minutes=30)  # a shot further from the last fix than this begins a new one
_LOWEST_HS_DEG, _HIGHEST_HS_DEG = -2.0, 90.0  # as in the flight file


@dataclass(frozen=True, slots=True)
class Draft:
    """The form as typed. `fix` is the id of a fix, NEW_FIX, or None where the rule is to choose."""

    body: str = ""
    time: str = ""
    reading: str = ""
    limb: Limb = "centre"
    fix: str | None = None


@dataclass(frozen=True, slots=True)
class Remark:
    """What there is to say of a field; `wrong` if it cannot stand, else it is only not finished."""

    text: str
    wrong: bool


@dataclass(frozen=True, slots=True)
class Typed:
    """A draft as understood: what could be read of each field (None: empty, unfinished or wrong) and remarks."""

    body: str | None = None
    watch_time: datetime | None = None
    hs_deg: float | None = None
    limb: Limb = "centre"
    remarks: dict[FieldName, Remark] = field(default_factory=dict)

    @property
    def placed(self) -> bool:
        """Whether body and time are known: enough to compute the altitude."""
        return self.body is not None and self.watch_time is not None

    @property
    def complete(self) -> bool:
        """Whether it is a sight."""
        return self.placed and self.hs_deg is not None


def understand(draft: Draft, flight: Flight, near: datetime) -> Typed:
    """Read every field by itself; times are those nearest to `near`."""
    remarks: dict[FieldName, Remark] = {}
    body = _body(draft.body, remarks)
    watch_time = _time(draft.time, flight, near, remarks)
    hs_deg = _reading(draft.reading, remarks)
    limb: Limb = draft.limb if body in LIMBED else "centre"
    return Typed(body, watch_time, hs_deg, limb, remarks)


def _body(text: str, remarks: dict[FieldName, Remark]) -> str | None:
    if not text.strip():
        return None
    try:
        return find_body(text)
    except EntryError as error:
        begun = [name for name in nearest_bodies(text, 4) if name.casefold().startswith(text.strip().casefold())]
        hip = "hip".startswith(text.strip().casefold()[:3])
        remarks["body"] = Remark(", ".join(begun) + " …", False) if begun else Remark(str(error), not hip)
        return None


def _time(text: str, flight: Flight, near: datetime, remarks: dict[FieldName, Remark]) -> datetime | None:
    if not text.strip():
        return None
    try:
        shown = nearest_date(read_clock(text), near)
    except EntryError as error:
        figures = [sign for sign in text if sign.isdigit()]
        begun = len(figures) in (1, 2, 3, 5) and all(sign.isdigit() or sign in " :" for sign in text)
        remarks["time"] = Remark("hours and minutes, like 2252; seconds may follow" if begun else str(error), not begun)
        return None
    if watch_to_gmt(flight.watch, flight.start.time, shown) < flight.start.time:
        start = write_clock(flight.start.time, seconds=True)
        remarks["time"] = Remark(f"{quoted(text)} is before the start of the flight at {start} GMT", True)
        return None
    return shown


def _reading(text: str, remarks: dict[FieldName, Remark]) -> float | None:
    if not text.strip():
        return None
    try:
        return read_angle(text, lowest_deg=_LOWEST_HS_DEG, highest_deg=_HIGHEST_HS_DEG, what="reading")
    except EntryError as error:
        figures = text.strip().lstrip("+-−")
        begun = figures in ("", ".") or (figures.isdecimal() and len(figures) == 3)
        remarks["reading"] = Remark("degrees and minutes, like 41 23.5 or 4123.5" if begun else str(error), not begun)
        return None


def open_fix(flight: Flight, draft: Draft, watch_time: datetime | None) -> Fix | None:
    """The fix that the sight being typed belongs to; None for one that is not there yet.

    It is the one chosen in the form, else the one that the flight's next sight names, else the last one, if the shot is
    within half an hour of it.
    """
    celestial = [fix for fix in flight.fixes if fix.kind == "celestial"]
    if draft.fix == NEW_FIX:
        return None
    wanted = draft.fix or (flight.next_sight.fix if flight.next_sight else None)
    for fix in celestial:
        if fix.id == wanted:
            return fix
    last = max(celestial, key=lambda fix: fix.time, default=None)
    if last is None or (watch_time is not None and abs(watch_time - last.time) > _SAME_FIX):
        return None
    return last


def free_id(letter: str, taken: set[str]) -> str:
    """The first of s1, s2, … that is free."""
    number = 1
    while f"{letter}{number}" in taken:
        number += 1
    return f"{letter}{number}"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A flight with the sight being typed in it, and that sight with its fix. `new_fix`: the fix came with it."""

    flight: Flight
    sight: Sight
    fix: Fix
    new_fix: bool
    gmt: datetime


def candidate(flight: Flight, draft: Draft, typed: Typed, *, probe: bool = False) -> Candidate | None:
    """The sight that a draft amounts to, put into its fix; None if it is not complete.

    A `probe` needs no reading and is not used: it tells where the body stands.
    """
    if typed.body is None or typed.watch_time is None or (typed.hs_deg is None and not probe):
        return None
    ids = {sight.id for sight in flight.sights} | {line.id for line in flight.lines}
    sight = Sight(
        id=free_id("s", ids),
        body=typed.body,
        time=typed.watch_time,
        hs=45.0 if probe or typed.hs_deg is None else typed.hs_deg,
        limb=typed.limb,
        use=not probe,
    )
    joined = open_fix(flight, draft, typed.watch_time)
    gmt = watch_to_gmt(flight.watch, flight.start.time, typed.watch_time)
    if joined is None:
        fix = Fix(id=free_id("f", {fix.id for fix in flight.fixes}), time=gmt, sights=(sight.id,))
        fixes = (*flight.fixes, fix)
    else:
        fix = msgspec.structs.replace(joined, sights=(*joined.sights, sight.id))
        fixes = tuple(fix if one.id == fix.id else one for one in flight.fixes)
    whole = msgspec.structs.replace(flight, sights=(*flight.sights, sight), fixes=fixes)
    return Candidate(whole, sight, fix, joined is None, gmt)


def waiting(flight: Flight) -> tuple[Draft, str]:
    """The draft of the sight that waits in the flight, its reading left to be typed, and the hint that tells it."""
    sight = flight.next_sight
    if sight is None:
        return Draft(), ""
    time = write_clock(sight.time, seconds=sight.time.second != 0).replace(":", "")
    degrees, minutes = write_angle(sight.hs).removesuffix("′").split("°")
    hint = f"reading given: {degrees} {minutes}"
    return Draft(body=sight.body, time=time, fix=sight.fix), f"{sight.text}\n{hint}" if sight.text else hint
