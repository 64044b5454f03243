"""Making the scene of a solution: which lines and fixes matter now, and the words beside them.

`scene` asks the flight's room for lines and track; `compose` puts the pieces together and knows nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache

import numpy as np

from nightleg.chart.landfalls import landfall_marks
from nightleg.chart.marks import SIGHT_LINE, ChartScene, DrMark, FixMark, LineMark, RunMark, Symbol, Tick, WindMark
from nightleg.chart.memory import Same
from nightleg.chart.route import route
from nightleg.chart.words import one_line
from nightleg.earth.local import between
from nightleg.fix.ellipse import ellipse, sigma_per_axis_nm
from nightleg.flight.grids import convergence, used_grid
from nightleg.flight.model import Flight
from nightleg.flight.solution import DrState, FixResult, LineOfPosition, Solution, TrackRun
from nightleg.units.angles import write_bearing
from nightleg.units.positions import Position, write_position
from nightleg.units.times import gmt_s, write_clock, write_date

__all__ = ["CAUTION", "ChartScene", "compose", "scene"]

CAUTION = "For practice, teaching and review. Not for navigation in flight."

# Here, since the language of the machine must not show on the chart.
_MOVED_S = 60.0
_POLAR_DEG = 80.0
_PAST_LINE_NM = 30.0  # lines of fixes already left behind are drawn no further from their fix than this


def scene(
    flight: Flight,
    solution: Solution,
    now: datetime | None = None,
    *,
    reveal: bool = False,
    tick_minutes: int = 10,
    in_hand: str | None = None,
    every: bool = False,
) -> ChartScene:
    """The scene of a solved flight. With `now`, what lies later is left out; without, all of the document is shown.

    `every` shows all of it, with the aircraft where it is at `now`; `reveal` also the truth, if the flight has one.
    `in_hand` is the id of the sight or line being typed.
    """
    # The flight's room is large; the chart's own tests run without it.
    from nightleg.flight.plotting import lines_of_position, track_runs

    return compose(
        flight,
        solution,
        lines_of_position(flight, solution),
        track_runs(flight, solution, None if every else now, tick_minutes),
        now,
        reveal=reveal,
        in_hand=in_hand,
        every=every,
    )


def compose(
    flight: Flight,
    solution: Solution,
    lines: Sequence[LineOfPosition],
    runs: Sequence[TrackRun],
    now: datetime | None = None,
    *,
    reveal: bool = False,
    in_hand: str | None = None,
    every: bool = False,
) -> ChartScene:
    """Put a scene together from lines and track already worked out; see `scene`."""
    until = None if every else now
    now = solution.now if now is None else now
    lines = [line for line in lines if until is None or line.time <= until]
    fixes = [fix for fix in solution.fixes if until is None or fix.time <= until]
    current = _current(solution.fixes, lines, until)
    dr = _dr_mark(solution.dr, fixes, runs, now)
    typed = min((fix.time for fix in fixes if in_hand in fix.sights), default=now) if in_hand is not None else now
    return ChartScene(
        title=one_line(flight.title or solution.title),
        when=_date_and_time(now),
        now=now,
        runs=_runs(runs, min(current.time, now) if current else None, fixes, dr, typed),
        dr=dr,
        lines=_lines(lines, solution, current, in_hand),
        fixes=tuple(
            _fix_mark(Same(fix), fix.position, current is not None and fix.id == current.id)
            for fix in fixes
            if fix.position is not None
        ),
        route=route(flight),
        wind=_wind(solution.dr, runs, now),
        landfalls=landfall_marks(flight, solution, until),
        grid=used_grid(flight),
        truth=tuple(point.position for point in flight.truth.track) if reveal and flight.truth else (),
        start=flight.start.position,
        solution=solution,
        flight=flight,
    )


def _date_and_time(when: datetime) -> str:
    return f"{write_date(when)}, {write_clock(when, when.second != 0)} GMT"


def _current(fixes: Sequence[FixResult], lines: Sequence[LineOfPosition], until: datetime | None) -> FixResult | None:
    """The fix that is being worked, or else the last one made."""
    with_lines = {line.fix for line in lines}
    ordered = sorted(fixes, key=lambda fix: fix.time)
    worked = [fix for fix in ordered if fix.position is not None or fix.id in with_lines]
    if until is None:
        return worked[-1] if worked else None
    ahead = [fix for fix in worked if fix.time > until and fix.id in with_lines]
    behind = [fix for fix in worked if fix.time <= until]
    return ahead[0] if ahead else behind[-1] if behind else None


def _runs(
    runs: Sequence[TrackRun],
    since: datetime | None,
    fixes: Sequence[FixResult],
    dr: DrMark | None,
    typed: datetime,
) -> tuple[RunMark, ...]:
    """Runs that end after `typed` are open."""
    symbols = frozenset((*(fix.position for fix in fixes), dr.position if dr else None))
    made = []
    for number, run in enumerate(runs):
        if run.points:
            current = since is None or run.points[-1].time >= since
            is_open = current and (run is runs[-1] or run.points[-1].time > typed)
            ticks_of, mark_of = (_open_ticks, _open_mark) if is_open else (_settled_ticks, _settled_mark)
            ticks = ticks_of(Same(run), number == 0)
            covered = frozenset(tick.position for tick in ticks if tick.position in symbols)
            made.append(mark_of(Same(run), ticks, covered, current, is_open))
    return tuple(made)


def _run_mark(
    run: Same[TrackRun], ticks: tuple[Tick, ...], covered: frozenset[Position], current: bool, is_open: bool
) -> RunMark:
    """A run without the ticks where a fix or the DR stands. Kept, as lines are: most of a flight stays as it was."""
    ticks = tuple(tick for tick in ticks if tick.position not in covered)
    points = run.of.points
    places, times = tuple(point.position for point in points), tuple(point.time for point in points)
    return RunMark(places, ticks, current, is_open, times)


def _ticks(same: Same[TrackRun], first: bool) -> tuple[Tick, ...]:
    """The ticks of a run; every run but the first sets out from a fix, which has a symbol of its own."""
    run = same.of
    ticks = [tick for tick in run.ticks if first or tick.time > run.points[0].time]
    if not ticks:
        return ()
    times = [gmt_s(point.time) for point in run.points]
    after = np.clip(np.searchsorted(times, [gmt_s(tick.time) for tick in ticks]), 1, max(len(times) - 1, 1)).tolist()
    ahead = [run.points[min(i, len(times) - 1)].position for i in after]
    behind = [run.points[i - 1].position for i in after]
    north, east = between(*np.array(behind).T, *np.array(ahead).T)
    return tuple(
        Tick(
            write_clock(tick.time),
            tick.position,
            0 if tick.time.minute == 0 else 1 if tick.time.minute == 30 else 2,
            math.degrees(math.atan2(e, n)) % 360.0,
            tick.time,
        )
        for tick, n, e in zip(ticks, north.tolist(), east.tolist(), strict=True)
    )


# While the clock runs each step has a run of its own, which is of no use after it.
_open_mark, _settled_mark = lru_cache(maxsize=8)(_run_mark), lru_cache(maxsize=128)(_run_mark)
_open_ticks, _settled_ticks = lru_cache(maxsize=8)(_ticks), lru_cache(maxsize=128)(_ticks)


def _dr_mark(
    states: Sequence[DrState], fixes: Sequence[FixResult], runs: Sequence[TrackRun], now: datetime
) -> DrMark | None:
    """The DR now; at the very time of an adopted fix, the DR that the fix replaced."""
    replaced = next((fix for fix in reversed(fixes) if fix.adopted and fix.time == now), None)
    state = next((s for s in reversed(states) if s.time <= now), None)
    track_deg = state.track_deg if state else None
    if replaced is not None:
        radius = ellipse(_round(replaced.dr_cov_nm2), 0.5).semi_major_nm
        return DrMark(write_clock(now), replaced.dr, track_deg, radius, replaced.id)
    if state is not None and state.kind == "now":
        seconds = now.second != 0
        radius = ellipse(_round(state.cov_nm2), 0.5).semi_major_nm
        return DrMark(write_clock(now, seconds), state.position, track_deg, radius)
    points = [point for run in runs for point in run.points if point.time <= now]
    if not points:
        return None
    last = points[-1]
    return DrMark(write_clock(last.time), last.position, track_deg, None)


def _round(cov_nm2: tuple[tuple[float, float], tuple[float, float]]) -> tuple[tuple[float, float], tuple[float, float]]:
    """The covariance of a circle with the same rms error per axis."""
    variance = sigma_per_axis_nm(cov_nm2) ** 2
    return (variance, 0.0), (0.0, variance)


def _lines(
    lines: Sequence[LineOfPosition], solution: Solution, current: FixResult | None, in_hand: str | None
) -> tuple[LineMark, ...]:
    places = {fix.id: fix for fix in solution.fixes}
    count: dict[str | None, int] = {}
    marks = []
    assumed = {sight.id for sight in solution.sights if sight.assumed}
    for line in sorted(lines, key=lambda line: (line.time, line.id)):
        fix = places.get(line.fix) if line.fix is not None else None
        is_current = current is None or line.fix == current.id or (fix is None and line.time > current.time)
        near = fix.position if not is_current and fix is not None else None
        dash = count.setdefault(line.fix, 0)
        marks.append(_line_mark(Same(line), near, dash, is_current, line.id in assumed, line.id == in_hand))
        count[line.fix] += line.kind == SIGHT_LINE  # the dashes of other kinds are their own
    return tuple(marks)


@lru_cache(maxsize=2048)
def _line_mark(
    same: Same[LineOfPosition], near: Position | None, dash: int, current: bool, assumed: bool, in_hand: bool
) -> LineMark:
    line = same.of
    moved = _is_moved(line)
    return LineMark(
        line.id,
        _line_text(line, moved),
        line.observed,
        line.advanced if near is None else _near(line.advanced, near, _PAST_LINE_NM),
        line.stub,
        dash,
        current,
        line.used,
        moved,
        line.kind,
        assumed,
        in_hand,
    )


def _near(points: tuple[Position, ...], middle: Position, limit_nm: float) -> tuple[Position, ...]:
    north, east = between(middle.lat, middle.lon, [p.lat for p in points], [p.lon for p in points])
    close = north**2 + east**2 <= limit_nm**2
    return tuple(p for p, keep in zip(points, close, strict=True) if keep)


def _is_moved(line: LineOfPosition) -> bool:
    """Whether a line was moved so far that its origin is worth showing: by a minute and more."""
    return line.advanced_to is not None and abs((line.advanced_to - line.time).total_seconds()) >= _MOVED_S


def _line_text(line: LineOfPosition, moved: bool) -> str:
    clock = write_clock(line.time)
    if moved and line.advanced_to is not None:
        clock = f"{clock}\N{EN DASH}{write_clock(line.advanced_to)}"
    return f"{clock} {line.label}" + ("" if line.used else ", not used")


@lru_cache(maxsize=1024)
def _fix_mark(same: Same[FixResult], position: Position, current: bool) -> FixMark:
    fix = same.of
    symbol: Symbol = "known" if fix.kind == "known" else "estimated" if fix.prior else "fix"
    words = write_clock(fix.time), write_position(position)
    return FixMark(fix.id, symbol, position, *words, fix.ellipse50, fix.ellipse95, current)


def _wind(states: Sequence[DrState], runs: Sequence[TrackRun], now: datetime) -> WindMark | None:
    """The wind held now, shown at the middle of the last hour's track."""
    state = next((s for s in reversed(states) if s.time <= now), None)
    points = [p for run in runs for p in run.points if p.time <= now]
    if state is None or not points or state.wind_kt == 0.0:
        return None
    recent = [p for p in points if (now - p.time).total_seconds() <= 3600.0] or points
    place = recent[len(recent) // 2].position
    from_deg = state.wind_from_deg
    if abs(place.lat) > _POLAR_DEG:  # the direction is true at the DR; at the arrow another one means the same wind
        from_deg = (from_deg + convergence(None, *place) - convergence(None, *state.position)) % 360.0
    text = f"wind {write_bearing(state.wind_from_deg).removesuffix('°')}/{state.wind_kt:.0f}"
    return WindMark(text, place, from_deg, state.wind_kt)
