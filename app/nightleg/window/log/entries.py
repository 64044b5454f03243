"""The log's rows: everything of a flight in the order of time, in the columns that matter for each. No Qt here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from typing import Literal

from nightleg.flight.layout import Path
from nightleg.flight.legs import HeldLeg, held_legs
from nightleg.flight.model import Flight, Grid, Leg, Start
from nightleg.flight.solution import DrState, FixResult, LineResult, SightResult, Solution
from nightleg.units.angles import write_angle
from nightleg.units.positions import Position, write_position
from nightleg.units.times import gmt_s, write_date
from nightleg.window.flight.text import NO, YES
from nightleg.window.log.others import check_columns, drift_columns, line_note, line_words
from nightleg.window.other.landfallwords import landfall_row
from nightleg.window.words import NONE, axes, clock, direction, intercept_short, wind

Kind = Literal["start", "leg", "now", "sight", "line", "check", "drift", "landfall", "fix", "remark", "day"]

COLUMNS = ("time", "entry", "reading", "Ho", "Hc", "Zn", "intercept", "use", "note")
SPANS: dict[Kind, tuple[tuple[int, int], ...]] = {
    "start": ((2, 2), (6, 2)),  # the position takes two columns, so does the wind
    "leg": ((2, 2), (6, 2)),
    "now": ((2, 2), (6, 2)),
    "fix": ((2, 2), (4, 2)),
    "line": ((2, 3),),
    "check": ((2, 4),),
    "drift": ((2, 4),),
    "landfall": ((2, 5),),
    "sight": (),
    "remark": ((2, 7),),
    "day": ((1, 8),),
}
"""Cells that take more than one column: first column, how many."""

FILTERS: dict[str, tuple[Kind, ...]] = {
    "all": (),
    "sights": ("sight",),
    "fixes": ("fix",),
    "legs": ("start", "leg", "now", "landfall"),
    "remarks": ("remark",),
    "lines": ("line",),
    "readings": ("check", "drift"),
}
"""Kinds of row that can be shown by themselves; none named: every kind."""

_ORDER: dict[Kind, int] = {"remark": 0, "check": 1, "drift": 2, "sight": 3, "line": 4, "fix": 5, "landfall": 6}
_LAST = len(_ORDER)  # the DR comes after what it rests on
_TYPED = "being typed, Enter puts it in the log"
_UNREAD = "being typed, cannot be worked yet"
_FORMS = {"true": "TH", "magnetic": "MH", "compass": "CH", "grid": "GH", "track": "track"}


@dataclass(frozen=True, slots=True)
class LogEntry:
    """A row: when, what, and the text of each column. `place` is its table in the flight, None for what has none.

    `leg` is the number of the leg (from 0) that a row of the DR tells of.
    """

    time: datetime
    kind: Kind
    id: str
    cells: tuple[str, ...]
    place: Path | None = None
    leg: int | None = None
    typed: bool = False  # the sight being typed, not in the document yet

    @property
    def key(self) -> tuple[Kind, str]:
        """What it is known by from one solution to the next."""
        return (self.kind, self.id)


def entries(
    flight: Flight,
    solution: Solution,
    typed_id: str | None = None,
    document: Flight | None = None,
    other: tuple[str, str] | None = None,
) -> tuple[LogEntry, ...]:
    """All rows. Entries of one instant: remarks, then sights, then the fix, then the DR from there.

    `document` is the whole flight where `flight` is only what of it was known: places are those in the document.
    `other` is the key of the row that is being typed, where that is no sight.
    """
    whole = document or flight
    rows = [
        *_states(flight, solution, whole),
        *_sights(solution, typed_id),
        *_lines(solution, flight),
        *_others(flight, solution),
        *_landfalls(flight, solution),
        *_fixes(flight, solution),
        *_remarks(flight, whole),
    ]
    return ordered(row if row.key != other else _being_typed(row) for row in rows)


def _being_typed(row: LogEntry) -> LogEntry:
    return replace(row, typed=True, cells=(*row.cells[:-1], _TYPED))


def unread(row: LogEntry) -> LogEntry:
    """A row of what is being typed without figures: they came of an earlier text."""
    figures = {"reading", "Ho", "Hc", "Zn", "intercept"}
    cells = (NONE if name in figures and cell else cell for name, cell in zip(COLUMNS, row.cells, strict=True))
    return replace(row, typed=True, cells=(*tuple(cells)[:-1], _UNREAD))


def ordered(rows: Iterable[LogEntry]) -> tuple[LogEntry, ...]:
    """Rows in the order of the log; where a day begins between them, a row with its date."""
    found: list[LogEntry] = []
    entered = (row for row in rows if row.kind != "day")
    for row in sorted(entered, key=lambda row: (row.time, _ORDER.get(row.kind, _LAST))):
        if found and found[-1].time.date() != row.time.date():
            found.append(_day(row.time))
        found.append(row)
    return tuple(found)


def _day(time: datetime) -> LogEntry:
    midnight = time.replace(hour=0, minute=0, second=0, microsecond=0)
    return LogEntry(midnight, "day", f"{midnight:%Y-%m-%d}", _cells(entry=write_date(midnight)))


def _cells(**columns: str) -> tuple[str, ...]:
    return tuple(columns.get(name, "") for name in COLUMNS)


def held_at(flight: Flight, time: datetime) -> int:
    """The number of the leg flown at a time."""
    return max([0, *(number for number, leg in enumerate(flight.legs) if leg.time <= time)])


def heading_words(held: HeldLeg) -> str:
    """What is steered, in the form it was given in: `CH 162°`."""
    value = held.direction_deg
    return f"{_FORMS[held.direction]} {direction(value, 0 if value == round(value) else 1)}"


def speed_words(held: HeldLeg) -> str:
    """The speed held, in the form it was given in: `CAS 280`."""
    if held.speed == "mach":
        return f"M {held.speed_value:g}"
    return f"{held.speed.upper()} {held.speed_value:.0f}"


def _states(flight: Flight, solution: Solution, whole: Flight) -> Iterator[LogEntry]:
    for state in solution.dr:
        row = None if state.kind == "now" else _state(state, flight, whole)
        if row is not None:
            yield row
    yield from now_row(flight, solution)


def now_row(flight: Flight, solution: Solution) -> tuple[LogEntry, ...]:
    """The row of the DR now; none where a fix of that time has one."""
    state = solution.dr[-1]
    if state.kind != "now" or any(fix.time == state.time for fix in solution.fixes):
        return ()
    row = _state(state, flight, flight)
    return () if row is None else (row,)


def _state(state: DrState, flight: Flight, whole: Flight) -> LogEntry | None:
    if state.kind == "fix":  # it has a row of its own
        return None
    flown = held_at(flight, state.time)
    held, leg = held_of(flight)[flown], flown
    if state.kind == "leg":
        same = gmt_s(state.time)
        leg = next((number for number, one in enumerate(whole.legs) if gmt_s(one.time) == same), flown)
    place: Path | None = {"start": ("start",), "leg": ("leg", leg), "now": None}[state.kind]
    return LogEntry(
        state.time,
        state.kind,
        str(leg + 1) if state.kind == "leg" else state.kind,
        _cells(
            time=clock(state.time),
            entry={"start": "start", "leg": f"leg {leg + 1}", "now": "DR"}[state.kind],
            reading=write_position(state.position),
            Hc=heading_words(held),
            Zn=speed_words(held),
            intercept=f"wind {wind(state.wind_from_deg, state.wind_kt)}",
            note=_held(state),
        ),
        place,
        leg,
    )


@lru_cache(maxsize=8)
def _held_legs(start: datetime, legs: tuple[Leg, ...], grid: Grid | None) -> tuple[HeldLeg, ...]:
    return held_legs(Flight(start=Start(time=start, position=Position(0.0, 0.0)), legs=legs, grid=grid))


def held_of(flight: Flight) -> tuple[HeldLeg, ...]:
    """The legs of a flight, each complete. Kept, since many rows ask."""
    return _held_legs(flight.start.time, flight.legs, flight.grid)


def _held(state: DrState) -> str:
    return f"TC {direction(state.track_deg)}, GS {state.gs_kt:.0f}, TH {direction(state.heading_deg)}"


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
                use=YES if sight.used else NO,
                note=_sight_note(sight, typed),
            ),
            ("sight", sight.id),
            typed=typed,
        )


def _sight_note(sight: SightResult, typed: bool) -> str:
    notes = [] if typed else [sight.id]
    if typed:
        notes.append(_TYPED)
    elif not sight.used:
        notes.append("not used")
    if sight.assumed:
        notes.append("from an assumed position")
    if sight.n_readings > 1:
        notes.append(f"{sight.n_readings} readings")
    notes += [warning for warning in sight.warnings if not warning.startswith("Sun:")]
    return "; ".join(notes)


def _lines(solution: Solution, flight: Flight) -> Iterator[LogEntry]:
    results: dict[str, LineResult] = {line.id: line for line in solution.lines}
    for line in flight.lines:
        result = results.get(line.id)
        columns = {"time": clock(line.time), "entry": f"{line.kind} {line.id}", "reading": line_words(line)}
        columns |= {"use": YES if line.use else NO, "note": line_note(line, result)}
        if result is not None and result.offset_nm is not None and result.normal_deg is not None:
            toward = result.normal_deg if result.offset_nm >= 0.0 else result.normal_deg + 180.0
            columns |= {"Zn": direction(toward % 360.0), "intercept": f"{abs(result.offset_nm):.1f} NM"}
        yield LogEntry(line.time, "line", line.id, _cells(**columns), ("line", line.id))


def _others(flight: Flight, solution: Solution) -> Iterator[LogEntry]:
    results = {result.id: result for result in solution.heading_checks}
    for check in flight.heading_checks:
        result = results.get(check.id)
        when = check.time if result is None else result.time
        columns = {"time": clock(when), "entry": f"heading {check.id}"} | check_columns(check, result)
        yield LogEntry(when, "check", check.id, _cells(**columns), ("heading_check", check.id))
    for drift in flight.drifts:
        columns = {"time": clock(drift.time), "entry": f"drift {drift.id}"} | drift_columns(drift, solution)
        yield LogEntry(drift.time, "drift", drift.id, _cells(**columns), ("drift", drift.id))


def _landfalls(flight: Flight, solution: Solution) -> Iterator[LogEntry]:
    for wanted in flight.landfalls:
        what, note = landfall_row(flight, solution, wanted)
        cells = _cells(time=clock(wanted.time), entry=f"landfall {wanted.id}", reading=what, note=note)
        yield LogEntry(wanted.time, "landfall", wanted.id, cells, ("landfall", wanted.id))


def _fixes(flight: Flight, solution: Solution) -> Iterator[LogEntry]:
    shots = {fix.id: fix.sights for fix in flight.fixes}
    for fix in solution.fixes:
        found = f"wind {wind(fix.wind_from_deg, fix.wind_kt)}" if fix.wind_kt is not None else ""
        adopt = next((one.adopt for one in flight.fixes if one.id == fix.id), fix.adopted)
        yield LogEntry(
            fix.time,
            "fix",
            fix.id,
            _cells(
                time=clock(fix.time),
                entry=f"fix {fix.id}",
                reading="no position" if fix.position is None else write_position(fix.position),
                Hc=" ".join(shots.get(fix.id, ())) or fix.kind,
                intercept=found,
                use=YES if adopt else NO,
                note=_fix_note(fix),
            ),
            ("fix", fix.id),
        )


def _fix_note(fix: FixResult) -> str:
    notes = [] if fix.ellipse95 is None else [f"95 % {axes(fix.ellipse95)}"]
    notes += fix.trust[:1]
    if fix.position is not None and not fix.adopted:
        notes.append("not adopted")
    return "; ".join(notes)


def _remarks(flight: Flight, whole: Flight) -> Iterator[LogEntry]:
    numbers = {id(remark): number for number, remark in enumerate(whole.log)}
    for index, entry in enumerate(flight.log):
        number = numbers.get(id(entry), index)
        text = " ".join(entry.text.split())
        cells = _cells(time=clock(entry.time), entry="remark", reading=text or NONE)
        yield LogEntry(entry.time, "remark", str(number), cells, ("log", number))
