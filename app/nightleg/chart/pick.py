"""What of the plot lies under a point of the picture."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime
from typing import Literal, get_args

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from nightleg.chart.marks import SIGHT_LINE, ChartScene
from nightleg.chart.paths import of_runs, split, to_px
from nightleg.chart.trackfacts import leg_at, leg_row, leg_span, track_between, track_place, wind_leg
from nightleg.chart.viewport import Viewport
from nightleg.fix.ellipse import outline
from nightleg.flight.model import WindOfFix
from nightleg.units.positions import Position

Array = NDArray[np.float64]
Kind = Literal["fix", "dr", "waypoint", "sight", "line", "tick", "track", "route", "wind", "land"]
KINDS: tuple[Kind, ...] = get_args(Kind)

REACH_PX = 10.0  # so near a symbol is meant by a click
LINE_REACH = 0.7  # of that: so near a line


class Entry(Struct, frozen=True):
    """Something of the flight that stands on the chart: its kind, its id (name of a waypoint, empty for the DR).

    A DR position passed and a point of the track are known by their time (ISO), a leg of the route by its number from
    0. What has no place of its own stands `at` where it was clicked.
    """

    kind: Kind
    id: str
    at: Position | None = None

    @property
    def is_line(self) -> bool:
        """Whether it is a line of position: that of a sight, or another."""
        return self.kind in ("sight", "line")

    @property
    def is_way(self) -> bool:
        """Whether it is a part of the track or of the route."""
        return self.kind in ("track", "route")


def pick(scene: ChartScene, view: Viewport, x: float, y: float, reach_px: float = REACH_PX) -> Entry | None:
    """The entry meant by a click at (x, y) px: a symbol before a line, a line before the ellipse it runs through."""
    near = [(math.hypot(px - x, py - y), entry) for entry, px, py in symbols_of(scene, view)]
    near = [(away, entry) for away, entry in near if away <= reach_px]
    if near:
        return min(near, key=lambda found: found[0])[1]
    return line_at(scene, view, x, y, reach_px) or ellipse_at(scene, view, x, y)


def symbols_of(scene: ChartScene, view: Viewport) -> Iterator[tuple[Entry, float, float]]:
    """What has a symbol, and where that stands, px."""
    symbols = [(Entry("fix", fix.id), fix.position) for fix in scene.fixes]
    symbols += [(Entry("dr", ""), scene.dr.position)] if scene.dr else []
    symbols += [(Entry("waypoint", name), place) for name, place in (scene.route.waypoints if scene.route else ())]
    for (entry, _), (x, y) in zip(symbols, view.points([place for _, place in symbols]), strict=True):
        yield entry, x, y


def line_at(scene: ChartScene, view: Viewport, x: float, y: float, reach_px: float = REACH_PX) -> Entry | None:
    """The line of position nearest to a point, if it is near enough."""
    lines = [(_distance(run, x, y), entry) for entry, run in _lines(scene, view)]
    lines = [(away, entry) for away, entry in lines if away <= LINE_REACH * reach_px]
    return min(lines, key=lambda found: found[0])[1] if lines else None


def ellipse_at(scene: ChartScene, view: Viewport, x: float, y: float) -> Entry | None:
    """The last fix in whose 95 % ellipse a point lies."""
    for fix in reversed(scene.fixes):
        if fix.ellipse95 is not None:
            shape = np.column_stack(view.to_px(*outline(*fix.position, fix.ellipse95, 49)))
            if np.isfinite(shape).all() and _inside(shape, x, y):
                return Entry("fix", fix.id)
    return None


def snapped(scene: ChartScene, view: Viewport, x: float, y: float) -> Position | None:
    """The place of the symbol under a point, else the place there; None where there is none."""
    entry = pick(scene, view, x, y)
    place = position_of(scene, entry) if entry is not None and not entry.is_line else None
    if place is not None and math.dist(view.point(place), (x, y)) <= REACH_PX:
        return place
    lat, lon = (float(v) for v in view.to_position(x, y))
    return Position(lat, lon) if math.isfinite(lat) and math.isfinite(lon) else None


def position_of(scene: ChartScene, entry: Entry) -> Position | None:
    """Where an entry stands: a line at the foot of its azimuth; None where it is not on the chart."""
    if entry.kind == "dr":
        return scene.dr.position if scene.dr else None
    if entry.kind == "fix":
        return next((fix.position for fix in scene.fixes if fix.id == entry.id), None)
    if entry.kind == "waypoint":
        return dict(scene.route.waypoints).get(entry.id) if scene.route else None
    if entry.kind in ("tick", "track"):
        return track_place(scene, datetime.fromisoformat(entry.id))
    if entry.at is not None:
        return entry.at
    line = next((line for line in scene.lines if line.id == entry.id), None)
    return line.stub[-1] if line is not None and line.stub else None


def runs_of(scene: ChartScene, view: Viewport, entry: Entry) -> list[Array]:
    """What is marked of a line, of the track or of the route, px: the lines of a sight as they are drawn, a leg."""
    if entry.kind == "route":
        legs = scene.route.legs if scene.route else ()
        return split(to_px(view, of_runs(legs[int(entry.id) : int(entry.id) + 1])))
    if entry.kind == "track":
        number = leg_at(scene.flight, datetime.fromisoformat(entry.id))
        if scene.flight is None or number is None:
            return []
        return split(to_px(view, of_runs(track_between(scene, *leg_span(scene.flight, number)))))
    return [run for known, run in _lines(scene, view) if known.id == entry.id]


def log_key(scene: ChartScene, entry: Entry) -> tuple[str, str]:
    """Kind and id of the entry of the log that tells of it: track and wind are told with their leg or fix."""
    flight = scene.flight
    if entry.kind in ("tick", "track"):
        return leg_row(flight, leg_at(flight, datetime.fromisoformat(entry.id)))
    if entry.kind == "wind" and flight is not None:
        number = wind_leg(flight, scene.now)
        wind = flight.legs[number].wind if number is not None else None
        return ("fix", wind.fix) if isinstance(wind, WindOfFix) else leg_row(flight, number)
    return entry.kind, entry.id


def _lines(scene: ChartScene, view: Viewport) -> Iterator[tuple[Entry, Array]]:
    """The lines of position as they are drawn, and the stubs of the current ones."""
    for line in scene.lines:
        entry = Entry("sight" if line.kind == SIGHT_LINE else "line", line.id)
        shown = [line.advanced if line.used else line.observed]
        if line.current and line.used and line.kind == SIGHT_LINE:
            shown.append(line.stub)
        for run in split(to_px(view, of_runs(shown))):
            yield entry, run


def _distance(run: Array, x: float, y: float) -> float:
    """Distance, px, of a point from a run (n, 2)."""
    start, step = run[:-1], np.diff(run, axis=0)
    offset = np.array((x, y)) - start
    length2 = np.maximum((step**2).sum(axis=1), 1e-12)
    share = np.clip((offset * step).sum(axis=1) / length2, 0.0, 1.0)
    return float(np.hypot(*(offset - share[:, None] * step).T).min())


def _inside(shape: Array, x: float, y: float) -> bool:
    """Whether a point lies in a closed shape (n, 2): a ray from it crosses the outline an odd number of times."""
    (x0, y0), (x1, y1) = shape[:-1].T, shape[1:].T
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = ((y0 > y) != (y1 > y)) & (x < x0 + (y - y0) / (y1 - y0) * (x1 - x0))
    return bool(np.count_nonzero(crossing) % 2)
