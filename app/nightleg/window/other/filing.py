"""From a line or another reading being typed to the flight: as a candidate that is solved, and as edits when filed.

No Qt here.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from msgspec.structs import replace

from nightleg.flight.edits import Append, Edit, Put
from nightleg.flight.model import Fix, Flight, Record
from nightleg.flight.schema import keys, tables
from nightleg.flight.shots import watch_to_gmt
from nightleg.window.other.draft import OtherTyped
from nightleg.window.other.kinds import EntryKind, Other
from nightleg.window.sight.draft import NEW_FIX, NO_FIX
from nightleg.window.sight.filing import SAME_FIX, free_id


@dataclass(frozen=True, slots=True)
class OtherMade:
    """A flight with the entry being typed in it; `fix` is the one that it goes into, or is itself.

    `given` are the keys of its table as the file takes them. A `probe` holds values that are not typed yet.
    """

    kind: EntryKind
    id: str
    given: dict[str, Any]
    flight: Flight
    record: Record
    gmt: datetime
    fix: Fix | None
    new_fix: bool
    probe: bool


def fix_for(flight: Flight, chosen: str | None, time: datetime) -> Fix | None:
    """The fix that a line goes into: the one chosen, else the one that waits for its sight or the last one, near it."""
    if chosen in (NEW_FIX, NO_FIX):
        return None
    celestial = [fix for fix in flight.fixes if fix.kind == "celestial"]
    for fix in celestial:
        if fix.id == chosen:
            return fix
    waited = flight.next_sight.fix if flight.next_sight else None
    near = [fix for fix in celestial if abs(fix.time - time) <= SAME_FIX]
    return max(near, key=lambda fix: (fix.id == waited, fix.time), default=None)


def other_candidate(flight: Flight, draft: Other, typed: OtherTyped) -> OtherMade | None:
    """The entry that a draft amounts to; None where it is not complete, not even with what can be probed."""
    kind = typed.kind
    probe = {key: value for key, value in kind.probe.items() if key in typed.missing}
    if typed.remarks or set(typed.missing) - set(probe):
        return None
    table = tables()[kind.table]
    held: tuple[Any, ...] = getattr(flight, table.field)
    id = free_id(kind.letter, _taken(flight, kind))
    known = keys(table.struct)
    values = {"id": id, **kind.fixed, **typed.values, **probe}
    if probe:
        values["use"] = False
    record = table.struct(**{known[key].field: value for key, value in values.items()})
    time: datetime = typed.values["time"]
    gmt = watch_to_gmt(flight.watch, flight.start.time, time) if kind.table == "heading_check" else time
    whole = replace(flight, **{table.field: (*held, record)})
    fix, new_fix = _joined(whole, draft, kind, record, gmt)
    if fix is not None and kind.in_fix:
        rest = tuple(one for one in whole.fixes if one.id != fix.id)
        whole = replace(whole, fixes=_in_place(whole.fixes, fix) if not new_fix else (*rest, fix))
    given = {"id": id, **kind.fixed, **{key: _usual(kind, key, value) for key, value in typed.given.items()}}
    return OtherMade(kind, id, given, whole, record, gmt, fix, new_fix, bool(probe))


def _taken(flight: Flight, kind: EntryKind) -> set[str]:
    """Ids that an entry of the kind cannot have: sights and lines share theirs, a person's work names any of them."""
    groups: tuple[Any, ...] = (
        flight.sights,
        flight.lines,
        flight.fixes,
        flight.heading_checks,
        flight.drifts,
        flight.landfalls,
    )
    return {one.id for group in groups for one in group}


def _joined(flight: Flight, draft: Other, kind: EntryKind, record: Any, gmt: datetime) -> tuple[Fix | None, bool]:
    """The fix with the entry in it, and whether it is new."""
    if isinstance(record, Fix):
        return record, True
    if not kind.in_fix or draft.fix == NO_FIX:
        return None, False
    fix = fix_for(flight, draft.fix, gmt)
    if fix is not None:
        return replace(fix, sights=(*fix.sights, record.id)), False
    return Fix(id=free_id("f", _taken(flight, kind)), time=gmt, sights=(record.id,)), True


def _in_place(fixes: tuple[Fix, ...], fix: Fix) -> tuple[Fix, ...]:
    return tuple(fix if one.id == fix.id else one for one in fixes)


def _usual(kind: EntryKind, key: str, value: Any) -> Any:
    """A choice left as usual need not stand in the file."""
    one = kind.field(key)
    usual = dict(one.options).get(one.usual)
    return None if one.options and not one.needed and value == usual else value


def other_filing(flight: Flight, made: OtherMade) -> tuple[Edit, ...]:
    """The edits that put an entry into the document: its table, and its id in the fix."""
    edits: list[Edit] = [Append(made.kind.table, made.given)]
    if made.fix is not None and made.kind.in_fix:
        if made.new_fix:
            edits.append(Append("fix", {"id": made.fix.id, "time": made.fix.time, "sights": list(made.fix.sights)}))
        else:
            edits.append(Put(("fix", made.fix.id), "sights", list(made.fix.sights)))
    return tuple(edits)


def with_other(known: Flight, made: OtherMade) -> Flight:
    """What is known of a flight, and the entry being typed with its fix, whether their time has come or not."""
    field = tables()[made.kind.table].field
    whole = known if made.kind.table == "fix" else replace(known, **{field: (*getattr(known, field), made.record)})
    ids = {sight.id for sight in whole.sights} | {line.id for line in whole.lines}
    fixes = {fix.id for fix in known.fixes} | ({made.fix.id} if made.fix else set())
    shown = tuple(fix for fix in made.flight.fixes if fix.id in fixes)
    return replace(
        whole, fixes=tuple(replace(fix, sights=tuple(id for id in fix.sights if id in ids)) for fix in shown)
    )
