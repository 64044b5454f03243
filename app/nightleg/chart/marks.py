"""What there is to draw: geometry and words of one solution, in latitude and longitude, as frozen values."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import Literal

from msgspec import Struct

from nightleg.chart.ghosts import GhostMark
from nightleg.chart.route import RouteMark
from nightleg.fix.ellipse import Ellipse
from nightleg.flight.model import Flight, Grid
from nightleg.flight.solution import Solution
from nightleg.units.positions import Position

Symbol = Literal["fix", "estimated", "known"]

SIGHT_LINE = "sight"
"""The kind of a line that a sight gives; other lines have the kinds of the flight file."""


class LineMark(Struct, frozen=True):
    """One line of position: as observed, moved to the time of its fix, and the azimuth stub to it."""

    id: str
    text: str
    observed: tuple[Position, ...]
    advanced: tuple[Position, ...]
    stub: tuple[Position, ...]
    dash: int  # place among the lines of its fix
    current: bool  # belongs to the fix being worked, or to the last one
    used: bool
    moved: bool  # whether the two differ
    kind: str = SIGHT_LINE  # of line
    assumed: bool = False  # laid off from an assumed position, not from the DR
    in_hand: bool = False  # is being typed


class FixMark(Struct, frozen=True):
    """One fix with its symbol, words and ellipses."""

    id: str
    symbol: Symbol
    position: Position
    text: str
    detail: str
    ellipse50: Ellipse | None
    ellipse95: Ellipse | None
    current: bool


class Tick(Struct, frozen=True):
    """A DR position on the track; `rank` 0 for whole hours, 1 for half hours, 2 for others."""

    text: str
    position: Position
    rank: int
    track_deg: float  # true
    time: datetime | None = None


class RunMark(Struct, frozen=True):
    """An unbroken run of the DR track."""

    points: tuple[Position, ...]
    ticks: tuple[Tick, ...]
    current: bool
    open: bool = False  # may change with the next key or the next second
    times: tuple[datetime, ...] = ()  # of the points


class DrMark(Struct, frozen=True):
    """The DR at the time of the picture; the circle holds half of its errors (None: not known)."""

    text: str
    position: Position
    track_deg: float | None
    circle50_nm: float | None
    before: str = ""  # id of the fix of the same time that replaced it

    @property
    def name(self) -> str:
        """What it is, with its time: from a fix on, the DR is that which sets out from it."""
        return f"{self.text} DR before the fix" if self.before else f"{self.text} DR"


class LandfallMark(Struct, frozen=True):
    """A landfall: the line through its destination, the way to the turn, and the turn itself."""

    id: str
    text: str  # along the line
    line: tuple[Position, ...]
    way: tuple[Position, ...]
    turn: Position | None
    turn_text: tuple[str, ...]


class WindMark(Struct, frozen=True):
    """The wind held, near `position` on the track."""

    text: str
    position: Position
    from_deg: float
    kt: float


@dataclass(frozen=True)
class ChartScene:
    """Everything a chart of one solution shows."""

    title: str
    when: str
    now: datetime
    runs: tuple[RunMark, ...] = ()
    dr: DrMark | None = None
    lines: tuple[LineMark, ...] = ()
    fixes: tuple[FixMark, ...] = ()
    route: RouteMark | None = None
    wind: WindMark | None = None
    landfalls: tuple[LandfallMark, ...] = ()
    grid: Grid | None = None  # the flight's, whose lines are drawn on its own chart
    truth: tuple[Position, ...] = ()
    ghost: GhostMark | None = None  # of an explanation that is being tried
    start: Position | None = None
    solution: Solution | None = field(default=None, repr=False, compare=False)  # that it was made from, for its facts
    flight: Flight | None = field(default=None, repr=False, compare=False)

    @cached_property
    def _by_kind(self) -> dict[str, tuple[LineMark, ...]]:
        kinds: dict[str, list[LineMark]] = {}
        for line in self.lines:
            kinds.setdefault(line.kind, []).append(line)
        return {kind: tuple(lines) for kind, lines in kinds.items()}

    def of_kind(self, kind: str) -> tuple[LineMark, ...]:
        """The lines of a kind."""
        return self._by_kind.get(kind, ())

    @property
    def current_fix(self) -> FixMark | None:
        """The fix that matters now, if it has a position."""
        return next((fix for fix in reversed(self.fixes) if fix.current), None)
