"""From the sight being typed to the flight: as a candidate that is solved at each keystroke, and as edits when filed.

No Qt here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from msgspec.structs import replace

from nightleg.flight.edits import Append, Edit, Put, Remove
from nightleg.flight.model import Fix, Flight, Sight
from nightleg.flight.shots import ready, watch_to_gmt
from nightleg.units.angles import write_angle
from nightleg.units.positions import Position, write_position
from nightleg.units.times import instant, write_clock
from nightleg.window.sight.draft import NEW_FIX, NO_FIX, Draft, Typed
from nightleg.window.sight.series import clock_text, file_clock

SAME_FIX = timedelta(minutes=30)  # a shot further from the last fix than this begins a new one
_WAITED_FOR = timedelta(minutes=10)  # a sight of the waiting body within this of the waiting time is that one
_SAME_TIME = timedelta(seconds=1)
_SAME_DEG = 1e-6  # 0.00006′, less than any text of the form tells
_USUAL = Sight(id="", body="Sun")


def open_fix(flight: Flight, draft: Draft, watch_time: datetime | None) -> Fix | None:
    """The fix that the sight being typed belongs to; None for one that is not there yet.

    It is the one chosen in the form, else the one that the flight's next sight names, else the last one, if the shot is
    within half an hour of it.
    """
    celestial = [fix for fix in flight.fixes if fix.kind == "celestial"]
    if draft.fix in (NEW_FIX, NO_FIX):
        return None
    wanted = draft.fix or (flight.next_sight.fix if flight.next_sight else None)
    for fix in celestial:
        if fix.id == wanted:
            return fix
    last = max(celestial, key=lambda fix: fix.time, default=None)
    if last is None or (watch_time is not None and abs(watch_time - last.time) > SAME_FIX):
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
    """A flight with the sight being typed in it, and that sight with its fix, if any.

    `new_fix`: the fix came with it. `before`: the filed sight that it takes the place of.
    """

    flight: Flight
    sight: Sight
    fix: Fix | None
    new_fix: bool
    gmt: datetime
    before: Sight | None = None


def candidate(flight: Flight, draft: Draft, typed: Typed, *, probe: bool = False) -> Candidate | None:
    """The sight that a draft amounts to, put into its fix; None if it is not complete.

    A `probe` needs no reading and is not used: it tells where the body stands.
    """
    if typed.body is None or typed.watch_time is None or (typed.hs_deg is None and not probe):
        return None
    before = next((sight for sight in flight.sights if sight.id == draft.sight), None)
    sight = _sight(flight, typed, before, probe)
    gmt = watch_to_gmt(flight.watch, flight.start.time, typed.watch_time)
    if before is None:
        sights, stays, left = (*flight.sights, sight), None, None
    else:
        sights = tuple(sight if one is before else one for one in flight.sights)
        was = fix_of(flight, before.id)
        stays, left = (was, None) if draft.fix in (None, was) else (None, was)
    fixes = [replace(fix, sights=_less(fix, sight.id)) if fix.id == left else fix for fix in flight.fixes]
    joined = next((fix for fix in fixes if fix.id == stays), None) or open_fix(flight, draft, typed.watch_time)
    new_fix = joined is None and draft.fix != NO_FIX
    if joined is not None:
        ids = (*joined.sights, sight.id) if sight.id not in joined.sights else joined.sights
        last = None if probe or not follows(flight, joined) else _last(flight, sights, ids, {sight.id: gmt})
        time = joined.time if last is None or abs(last - joined.time) < _SAME_TIME else last
        joined = replace(joined, sights=ids, time=time)
        fixes = [joined if fix.id == joined.id else fix for fix in fixes]
    elif new_fix:
        joined = Fix(id=free_id("f", {fix.id for fix in fixes}), time=gmt, sights=(sight.id,))
        fixes.append(joined)
    return Candidate(replace(flight, sights=sights, fixes=tuple(fixes)), sight, joined, new_fix, gmt, before)


def follows(flight: Flight, fix: Fix) -> bool:
    """Whether a fix stands at the time of its last shot, as one does whose time nobody has set; then it goes on so."""
    last = _last(flight, flight.sights, fix.sights, {})
    return last is not None and abs(fix.time - last) < _SAME_TIME


def _last(
    flight: Flight, sights: tuple[Sight, ...], ids: tuple[str, ...], known: dict[str, datetime]
) -> datetime | None:
    """GMT of the last of some shots and lines; `known` are times of shots that are known already."""
    watch, start = flight.watch, flight.start.time
    shots = {one.id: known.get(one.id) or instant(ready(watch, start, one).time_s) for one in sights if one.id in ids}
    lines = {line.id: line.time for line in flight.lines if line.id in ids}
    return max([*shots.values(), *lines.values()], default=None)


def _sight(flight: Flight, typed: Typed, before: Sight | None, probe: bool) -> Sight:
    """The sight as it would be filed; what the form has no field for stays as it was."""
    assert typed.body is not None
    ids = {sight.id for sight in flight.sights} | {line.id for line in flight.lines}
    lone = probe or not typed.readings
    return replace(
        before or replace(_USUAL, id=free_id("s", ids)),
        body=typed.body,
        time=typed.watch_time,
        hs=(45.0 if probe or typed.hs_deg is None else typed.hs_deg) if lone else None,
        readings=() if lone else typed.readings,
        duration_s=_USUAL.duration_s if typed.duration_s is None else typed.duration_s,
        limb=typed.limb,
        turn_deg_per_min=typed.turn_deg_per_min or 0.0,
        speed_change_kt_per_min=typed.speed_change_kt_per_min or 0.0,
        sigma_arcmin=typed.sigma_arcmin,
        assumed=typed.assumed,
        use=not probe and (before is None or before.use),
    )


def _less(fix: Fix, id: str) -> tuple[str, ...]:
    return tuple(one for one in fix.sights if one != id)


def fix_of(flight: Flight, id: str) -> str | None:
    """The id of the earliest fix that a filed sight belongs to."""
    holding = [fix for fix in flight.fixes if id in fix.sights]
    return min(holding, key=lambda fix: fix.time).id if holding else None


def filing(flight: Flight, draft: Draft, made: Candidate) -> tuple[Edit, ...]:
    """The edits that put a sight into the document: its table, its id in the fix, and the waiting one taken away."""
    sight, asked = made.sight, flight.next_sight
    edits: list[Edit] = []
    if made.before is None:
        values = {key: value for key, value in _values(draft, sight).items() if value is not None}
        edits.append(Append("sight", {"id": sight.id, **values}))
    else:
        old, new = made.before, _values(draft, sight)
        edits += [Put(("sight", sight.id), key, new[key]) for key in _changed(old, sight)]
    edits += _fix_edits(flight, made)
    waited = asked is not None and sight.time is not None and abs(sight.time - asked.time) < _WAITED_FOR
    if made.before is None and asked is not None and waited and asked.body == sight.body:
        edits.append(Remove(("next_sight",)))
    return tuple(edits)


def _fix_edits(flight: Flight, made: Candidate) -> Iterator[Edit]:
    before = {fix.id: fix for fix in flight.fixes}
    for fix in made.flight.fixes:
        if fix.id not in before:
            yield Append("fix", {"id": fix.id, "time": fix.time, "sights": list(fix.sights)})
            continue
        if fix.sights != before[fix.id].sights:
            yield Put(("fix", fix.id), "sights", list(fix.sights))
        if fix.time != before[fix.id].time:
            yield Put(("fix", fix.id), "time", fix.time)


def _values(draft: Draft, sight: Sight) -> dict[str, Any]:
    """Keys of the sight's table, as typed; None for what is as usual."""
    in_rows = bool(sight.readings)
    rows = [altitude.strip() for time, altitude in draft.series if time.strip() and altitude.strip()]
    return {
        "body": sight.body,
        "time": sight.time,
        "hs": None if in_rows else draft.reading.strip(),
        "readings": [[file_clock(one.time), text] for one, text in zip(sight.readings, rows, strict=False)] or None,
        "duration_s": None if sight.duration_s == _USUAL.duration_s else sight.duration_s,
        "limb": None if sight.limb == _USUAL.limb else sight.limb,
        "turn_deg_per_min": sight.turn_deg_per_min or None,
        "speed_change_kt_per_min": sight.speed_change_kt_per_min or None,
        "sigma_arcmin": sight.sigma_arcmin,
        "assumed": None if sight.assumed is None else " ".join(draft.assumed.split()),
    }


def _changed(old: Sight, new: Sight) -> Iterator[str]:
    """Keys whose values differ; a series without a time of its own needs none where its readings are as before."""
    for key in ("body", "duration_s", "limb", "turn_deg_per_min", "speed_change_kt_per_min", "sigma_arcmin"):
        if getattr(old, key) != getattr(new, key):
            yield key
    if not _same_places(old.assumed, new.assumed):
        yield "assumed"
    if not _same(old.hs, new.hs):
        yield "hs"
    rows = [(one.time, one.hs) for one in old.readings], [(one.time, one.hs) for one in new.readings]
    as_before = len(rows[0]) == len(rows[1]) and all(
        a[0] == b[0] and _same(a[1], b[1]) for a, b in zip(*rows, strict=True)
    )
    if not as_before:
        yield "readings"
    if old.time != new.time and not (old.readings and as_before):
        yield "time"


def _same(one: float | None, other: float | None) -> bool:
    """Whether two angles are the same, the decimals of the form's text aside."""
    return one is other or (one is not None and other is not None and abs(one - other) < _SAME_DEG)


def _same_places(one: Position | None, other: Position | None) -> bool:
    if one is None or other is None:
        return one is other
    return _same(one.lat, other.lat) and _same(one.lon, other.lon)


def waiting(flight: Flight) -> tuple[Draft, str]:
    """The draft of the sight that waits in the flight, its reading left to be typed, and the hint that tells it."""
    sight = flight.next_sight
    if sight is None:
        return Draft(), ""
    hint = f"reading given: {angle_text(sight.hs)}"
    draft = Draft(body=sight.body, time=_clock(sight.time), fix=sight.fix)
    return draft, f"{sight.text}\n{hint}" if sight.text else hint


def draft_of(flight: Flight, sight: Sight, aside: Draft | None) -> Draft:
    """The draft of a filed sight, to be changed; `aside` is what was being typed."""
    lone = not sight.readings
    return Draft(
        body=sight.body,
        time=_clock(sight.time) if lone and sight.time else "",
        reading=angle_text(sight.hs) if lone and sight.hs is not None else "",
        limb=sight.limb,
        fix=fix_of(flight, sight.id) or NO_FIX,
        series=tuple((clock_text(one.time), angle_text(one.hs)) for one in sight.readings),
        duration=_unless(sight.duration_s, _USUAL.duration_s),
        turn=_unless(sight.turn_deg_per_min, 0.0),
        speed=_unless(sight.speed_change_kt_per_min, 0.0),
        sigma=_unless(sight.sigma_arcmin, None),
        assumed="" if sight.assumed is None else write_position(sight.assumed, 4 if _fine(sight) else 1),
        sight=sight.id,
        aside=aside,
    )


def _fine(sight: Sight) -> bool:
    """Whether tenths of a minute do not hold the assumed position."""
    assert sight.assumed is not None
    return any(abs(deg * 600.0 - round(deg * 600.0)) > 1e-6 for deg in sight.assumed)


def _unless(value: float | None, usual: float | None) -> str:
    return "" if value is None or value == usual else f"{value:g}"


def _clock(time: datetime) -> str:
    return write_clock(time, seconds=time.second != 0).replace(":", "")


def angle_text(deg: float) -> str:
    """An altitude as a person types it, `29 32.5`; with more decimals where they are needed to give it back."""
    places = next((n for n in (1, 2, 3, 4) if abs(deg * 60 * 10**n - round(deg * 60 * 10**n)) < 1e-4), 6)
    degrees, minutes = write_angle(deg, places).replace("−", "-").removesuffix("′").split("°")
    return f"{degrees} {minutes}"
