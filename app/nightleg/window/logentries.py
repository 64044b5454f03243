"""The log's rows: everything of a flight in the order of time. No Qt here."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from nightleg.flight.model import Flight
from nightleg.flight.solution import DrState, FixResult, SightResult, Solution
from nightleg.units.angles import write_angle
from nightleg.units.positions import write_position
from nightleg.window.words import NONE, axes, clock, direction, intercept_short, wind

Kind = Literal["dr", "sight", "fix", "remark"]

COLUMNS = ("time", "entry", "reading", "Ho", "Hc", "Zn", "intercept", "note")
SPANS: dict[Kind, tuple[tuple[int, int], ...]] = {
    "dr": ((2, 3), (5, 2)),  # the position takes three columns, the wind two
    "fix": ((2, 3), (5, 2)),
    "sight": (),
    "remark": ((2, 6),),
}
"""Cells that take more than one column: first column, how many."""
_ORDER: dict[Kind, int] = {"remark": 0, "sight": 1, "fix": 2, "dr": 3}


@dataclass(frozen=True, slots=True)
class LogEntry:
    """A row: when, what, and the text of each column."""

    time: datetime
    kind: Kind
    id: str
    cells: tuple[str, ...]
    typed: bool = False  # the sight being typed, not in the document yet


def entries(flight: Flight, solution: Solution, typed_id: str | None = None) -> tuple[LogEntry, ...]:
    """All rows. Entries of one instant: remarks, then sights, then the fix, then the DR from there."""
    rows = [*_states(solution), *_sights(solution, typed_id), *_fixes(solution), *_remarks(flight)]
    return tuple(sorted(rows, key=lambda row: (row.time, _ORDER[row.kind])))


def _cells(**columns: str) -> tuple[str, ...]:
    return tuple(columns.get(name, "") for name in COLUMNS)


def _states(solution: Solution) -> Iterator[LogEntry]:
    names = {"start": "start", "leg": "leg", "now": "DR"}
    fixed = {fix.time for fix in solution.fixes}
    for state in solution.dr:
        if state.kind == "fix" or (state.kind == "now" and state.time in fixed):  # the fix has a row of its own
            continue
        yield LogEntry(
            state.time,
            "dr",
            state.kind,
            _cells(
                time=clock(state.time),
                entry=names[state.kind],
                reading=write_position(state.position),
                Zn=f"wind {wind(state.wind_from_deg, state.wind_kt)}",
                note=_held(state),
            ),
        )


def _held(state: DrState) -> str:
    return (
        f"heading {direction(state.heading_deg)}, TAS {state.tas_kt:.0f}, track {direction(state.track_deg)}, "
        f"GS {state.gs_kt:.0f}"
    )


def _sights(solution: Solution, typed_id: str | None) -> Iterator[LogEntry]:
    for sight in solution.sights:
        typed = sight.id == typed_id
        yield LogEntry(
            sight.time,
            "sight",
            sight.id,
            _cells(
                time=clock(sight.time),
                entry=sight.body,
                reading=write_angle(sight.hs),
                Ho=NONE if sight.ho is None else write_angle(sight.ho),
                Hc=write_angle(sight.hc),
                Zn=direction(sight.zn, 1),
                intercept=intercept_short(sight.intercept_nm),
                note=_sight_note(sight, typed),
            ),
            typed,
        )


def _sight_note(sight: SightResult, typed: bool) -> str:
    notes = []
    if typed:
        notes.append("being typed, Enter puts it in the log")
    elif not sight.used:
        notes.append("not used")
    if sight.assumed:
        notes.append("from an assumed position")
    if sight.n_readings > 1:
        notes.append(f"{sight.n_readings} readings")
    notes += [warning for warning in sight.warnings if not warning.startswith("Sun:")]
    return "; ".join(notes)


def _fixes(solution: Solution) -> Iterator[LogEntry]:
    for fix in solution.fixes:
        yield LogEntry(
            fix.time,
            "fix",
            fix.id,
            _cells(
                time=clock(fix.time),
                entry=f"fix {fix.id}",
                reading="no position" if fix.position is None else write_position(fix.position),
                Zn=f"wind {wind(fix.wind_from_deg, fix.wind_kt)}" if fix.wind_kt is not None else "",
                note=_fix_note(fix),
            ),
        )


def _fix_note(fix: FixResult) -> str:
    notes = [] if fix.ellipse95 is None else [f"95 % {axes(fix.ellipse95)}"]
    notes += fix.trust[:1]
    if fix.position is not None and not fix.adopted:
        notes.append("not adopted")
    return "; ".join(notes)


def _remarks(flight: Flight) -> Iterator[LogEntry]:
    for number, entry in enumerate(flight.log):
        text = " ".join(entry.text.split())
        yield LogEntry(
            entry.time, "remark", str(number), _cells(time=clock(entry.time), entry="remark", reading=text or NONE)
        )
