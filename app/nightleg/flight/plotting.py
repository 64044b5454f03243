"""What a solution puts on the chart: lines of position as curves, the DR track as points.

Kept out of `solve`, so that only those who draw pay for it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from nightleg.air.motion import LegMotion
from nightleg.air.reckoning import Reckoning
from nightleg.earth.ellipsoid import A_NM
from nightleg.flight.model import Flight
from nightleg.flight.solution import FixResult, LineOfPosition, LineResult, SightResult, Solution, TrackPoint, TrackRun
from nightleg.sight.reduction import altitude_azimuth, circle_point
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s, instant

Array = NDArray[np.float64]

HALF_LENGTH_NM = 120.0
_POINTS = 49
_TRACK_STEP_S = 300.0
_MOST_POINTS = 10_000  # of one run: 35 days at that step
_TURN_STEP_DEG = 5.0  # chords of an arc leave it by a thousandth of its radius


def lines_of_position(
    flight: Flight, solution: Solution, half_length_nm: float = HALF_LENGTH_NM
) -> tuple[LineOfPosition, ...]:
    """A line for each reduced sight or other line and each fix that it belongs to; those without a fix are not moved.

    Each is a run of the exact circle of equal altitude (or of the exact curve of its kind), `half_length_nm` to both
    sides of the point nearest to the DR; a circle shorter than that is closed.
    """
    by_id = {fix.id: fix for fix in solution.fixes}
    fixes_of: dict[str, list[FixResult]] = {}
    for fix in flight.fixes:
        for id in fix.sights:
            fixes_of.setdefault(id, []).append(by_id[fix.id])
    entries: list[SightResult | LineResult] = [sight for sight in solution.sights if sight.ho is not None]
    entries += [line for line in solution.lines if line.shape is not None and line.position is not None]
    plots = solution.plot_of_fix
    lines = []
    for entry in entries:
        lines += [
            _line(entry, half_length_nm, fix.id, plots[fix.id], fix.time, entry.used and entry.id in fix.sights)
            for fix in fixes_of.get(entry.id, ())
        ] or [_line(entry, half_length_nm, None, None, None, entry.used)]
    return tuple(lines)


def circle_about(sight: SightResult, half_length_nm: float) -> tuple[Array, Array]:
    """Latitudes and longitudes of a sight's circle of equal altitude near the position it was reduced from.

    From an assumed position it reaches as far as to lie about the DR too. Raises ValueError for a sight without Ho.
    """
    if sight.ho is None:
        raise ValueError(f"sight {sight.id} has no observed altitude")
    bearing = _bearing_from_body(sight, sight.reduced_from)
    radius_nm = A_NM * math.cos(math.radians(min(sight.ho, 90.0)))
    reach_deg = 180.0 if radius_nm * math.pi <= half_length_nm else math.degrees(half_length_nm / radius_nm)
    if sight.assumed:
        apart_deg = abs((_bearing_from_body(sight, sight.dr) - bearing + 180.0) % 360.0 - 180.0)
        reach_deg = min(180.0, reach_deg + apart_deg)
    return circle_point(sight.gha, sight.dec, sight.ho, bearing + np.linspace(-reach_deg, reach_deg, _POINTS))


def _bearing_from_body(sight: SightResult, place: Position) -> float:
    """Bearing of a place, seen from the body's geographical position."""
    lat, lon = place
    _, bearing = altitude_azimuth(sight.dec, -sight.gha, -lon, lat)
    return float(bearing)


@lru_cache(maxsize=2048)
def _line(
    sight: SightResult | LineResult,
    half_length_nm: float,
    fix_id: str | None,
    plot: Reckoning | None,
    advanced_to: datetime | None,
    used: bool,
) -> LineOfPosition:
    """One line, moved in a plot to a time. Kept, since an edit leaves most lines as they were."""
    lat, lon, label, start = _curve(sight, half_length_nm)
    observed = _points(lat, lon)
    advanced, time_s = observed, gmt_s(sight.time)
    if plot is not None and advanced_to is not None and gmt_s(advanced_to) != time_s:
        advanced = _points(*plot.carry(lat, lon, time_s, gmt_s(advanced_to)))
    return LineOfPosition(
        id=sight.id,
        fix=fix_id,
        label=label,
        time=sight.time,
        observed=observed,
        advanced=advanced,
        stub=(start, observed[_POINTS // 2]),
        advanced_to=advanced_to,
        used=used,
        kind="sight" if isinstance(sight, SightResult) else sight.kind,
    )


def _curve(sight: SightResult | LineResult, half_length_nm: float) -> tuple[Array, Array, str, Position]:
    """Points of the line where it was taken, what it is called, and the place its offset is counted from."""
    if isinstance(sight, SightResult):
        return *circle_about(sight, half_length_nm), sight.body, sight.reduced_from
    if sight.shape is None or sight.position is None or sight.dr is None:
        raise ValueError(f"line {sight.id} is refused: there is nothing to draw")
    lat, lon = sight.shape.points(*sight.position, half_length_nm, _POINTS)
    return lat, lon, sight.kind, sight.dr


def track_runs(
    flight: Flight, solution: Solution, until: datetime | None = None, tick_minutes: int = 10
) -> tuple[TrackRun, ...]:
    """The DR track, broken where a fix was adopted, up to `until` (default: the last event or the solution's now).

    Points stand at least every five minutes, at every change of leg and along turns; ticks at whole multiples of
    `tick_minutes`.
    """
    return track_runs_of(solution.plots, gmt_s(until) if until else end_of(solution), tick_minutes)


def track_runs_of(plots: Sequence[Reckoning], end_s: float, tick_minutes: int) -> tuple[TrackRun, ...]:
    """The runs of plots that follow each other, up to `end_s`."""
    runs = []
    for k, plot in enumerate(plots):
        stop_s = min(end_s, plots[k + 1].time_s) if k + 1 < len(plots) else end_s
        if stop_s >= plot.time_s:
            runs.append(_run(plot, stop_s, tick_minutes * 60.0))
    return tuple(runs)


def end_of(solution: Solution) -> float:
    """The last event of a solution, or its now, gmt_s."""
    times = [solution.now, *(s.time for s in solution.dr), *(s.time for s in solution.sights)]
    return gmt_s(max([*times, *(f.time for f in solution.fixes)]))


@lru_cache(maxsize=128)  # while the clock runs, each step has a run of its own
def _run(plot: Reckoning, stop_s: float, tick_s: float) -> TrackRun:
    """The run of one plot. Kept as `_line`."""
    least_s = (stop_s - plot.time_s) / _MOST_POINTS  # a clock that is set years ahead is not to draw millions
    steps = np.arange(plot.time_s, stop_s, max(_TRACK_STEP_S, least_s))
    turns = [time for leg in plot.legs for time in _bends(leg) if plot.time_s < time < stop_s]
    times = np.array(sorted({*steps.tolist(), *turns, stop_s}))  # np.unique would import a part of numpy for it
    tick_s *= max(math.ceil(least_s / tick_s), 1)
    ticks = np.arange(math.ceil(plot.time_s / tick_s) * tick_s, stop_s + 1e-6, tick_s)
    return TrackRun(points=_timed(plot, times), ticks=_timed(plot, ticks))


def _bends(leg: LegMotion) -> list[float]:
    """Where the track bends at the beginning of a leg: at its corner, or along its turn, every few degrees."""
    if leg.turn is None:
        return [leg.start_s]
    pieces = math.ceil(abs(leg.turn.by_deg) / _TURN_STEP_DEG)
    return [leg.start_s + leg.turn.duration_s * k / pieces for k in range(pieces + 1)]


def _timed(plot: Reckoning, times: Array) -> tuple[TrackPoint, ...]:
    if not times.size:
        return ()
    lat, lon = plot.position(times)
    return tuple(map(TrackPoint, map(instant, times.tolist()), _points(lat, lon)))


def _points(lat: Array, lon: Array) -> tuple[Position, ...]:
    return tuple(map(Position, lat.tolist(), lon.tolist()))
