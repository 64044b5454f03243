"""The shots of a fix, as the fix panel lists them: which belong to it, and what each is off. No Qt here."""

from __future__ import annotations

from datetime import datetime, timedelta

from msgspec import Struct
from msgspec.structs import replace

from nightleg.flight.edits import Edit, Put
from nightleg.flight.model import Fix, Flight, Sight
from nightleg.flight.shots import ready
from nightleg.flight.solution import FixResult, Solution
from nightleg.units.angles import MINUS, write_arcmin
from nightleg.units.times import instant, write_clock

NEAR = timedelta(minutes=30)
"""A shot that belongs to no fix is offered to one within this of it."""
REACH_SIGMAS = 3.0
"""A bar is full at this many σ."""
FAR_SIGMAS = 2.0
"""A residual beyond this is marked: chance alone gives one shot of twenty-two more."""
MOST = 24


class ShotRow(Struct, frozen=True):
    """One shot or other line: its residual at the fix, if it counts, with its unit.

    Of a shot it is what is left after the error `common` to all shots, where that is solved for.
    """

    id: str
    name: str
    time: datetime
    belongs: bool
    counts: bool
    typed: bool = False
    residual: float | None = None
    sigma: float = 1.0
    unit: str = "′"
    note: str = ""
    common: float | None = None

    @property
    def sigmas(self) -> float:
        """The residual in its own σ; 0 where there is none."""
        return 0.0 if self.residual is None else self.residual / self.sigma

    @property
    def value(self) -> str:
        """`+0.6′`, `−2.1 NM`, or why there is none."""
        if self.residual is None:
            return self.note or "—"
        if self.unit == "′":
            return write_arcmin(self.residual)
        return f"{self.residual:+.1f} {self.unit}".replace("-", MINUS)

    @property
    def spoken(self) -> str:
        """The bar for those who do not see it."""
        if self.residual is None:
            return f"{self.name}: {self.note or 'no residual'}"
        size = abs(self.sigmas)
        after = "" if self.common is None else f", after {write_arcmin(self.common)} common to all shots"
        far = f", beyond {REACH_SIGMAS:.0f} σ" if size > REACH_SIGMAS else f", {size:.1f} σ"
        return f"{self.name}: {self.value}{far}{after}"


def shot_rows(
    flight: Flight, solution: Solution, fix: FixResult, typed_id: str | None, unread: str = ""
) -> tuple[ShotRow, ...]:
    """What belongs to a fix, and the shots near it that belong to none, in the order of time.

    `unread` is the id of one whose text cannot be worked as it stands: its residual is not told.
    """
    declared = next((one for one in flight.fixes if one.id == fix.id), None)
    members = declared.sights if declared is not None else fix.sights
    taken = {id for one in flight.fixes for id in one.sights}
    rows = []
    for sight in flight.sights:
        when = instant(ready(flight.watch, flight.start.time, sight).time_s)
        if sight.id in members or (sight.id not in taken and abs(when - fix.time) <= NEAR):
            rows.append(_sight_row(solution, fix, sight, when, sight.id in members, typed_id))
    rows += [
        _line_row(fix, line.id, line.kind, line.time, line.id in members, line.sigma_nm or 1.0, line.used)
        for line in solution.lines
        if line.id in members or (line.id not in taken and abs(line.time - fix.time) <= NEAR)
    ]
    rows = [replace(row, residual=None, note="not read") if row.id == unread else row for row in rows]
    rows.sort(key=lambda row: (not row.belongs, abs(row.time - fix.time)))
    return tuple(sorted(rows[:MOST], key=lambda row: row.time))


def _sight_row(
    solution: Solution, fix: FixResult, sight: Sight, when: datetime, belongs: bool, typed_id: str | None
) -> ShotRow:
    note = "set aside" if not sight.use else "not in this fix" if not belongs else "not used"
    raw = fix.residuals_arcmin.get(sight.id) if belongs else None
    return ShotRow(
        id=sight.id,
        name=f"{sight.id} {sight.body}",
        time=when,
        belongs=belongs and sight.use,
        counts=sight.id in fix.sights,
        typed=sight.id == typed_id,
        residual=None if raw is None else raw - (fix.common_error_arcmin or 0.0),
        sigma=max(solution.sight(sight.id).sigma_arcmin, 1e-3),
        note=note,
        common=fix.common_error_arcmin,
    )


def _line_row(
    fix: FixResult, id: str, kind: str, when: datetime, belongs: bool, sigma_nm: float, used: bool
) -> ShotRow:
    return ShotRow(
        id=id,
        name=f"{id} {kind}",
        time=when,
        belongs=belongs,
        counts=id in fix.sights,
        residual=fix.residuals_arcmin.get(id) if belongs else None,
        sigma=max(sigma_nm, 1e-3),
        unit="NM",
        note="not in this fix" if not belongs else "set aside" if not used else "not used",
    )


def belonging(flight: Flight, fix: Fix, id: str, belongs: bool) -> tuple[str, tuple[Edit, ...]]:
    """The step that takes a shot into a fix or out of it: its name, and its edits."""
    edits: list[Edit] = []
    if not belongs:
        edits.append(Put(("fix", fix.id), "sights", [one for one in fix.sights if one != id]))
        return f"{id} out of {fix.id}", tuple(edits)
    if id not in fix.sights:
        edits.append(Put(("fix", fix.id), "sights", [*fix.sights, id]))
    aside = next((sight for sight in flight.sights if sight.id == id and not sight.use), None)
    if aside is not None:
        edits.append(Put(("sight", id), "use", None))
    return f"{id} into {fix.id}", tuple(edits)


def fix_label(fix: Fix | FixResult) -> str:
    """`f4, 2200`."""
    return f"{fix.id}, {write_clock(fix.time, seconds=fix.time.second != 0)}"
