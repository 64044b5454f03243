"""What of the plot lies under a point of the picture."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal, get_args

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from nightleg.chart.marks import SIGHT_LINE, ChartScene
from nightleg.chart.paths import of_runs, split, to_px
from nightleg.chart.viewport import Viewport
from nightleg.fix.ellipse import outline
from nightleg.units.positions import Position

Array = NDArray[np.float64]
Kind = Literal["fix", "dr", "waypoint", "sight", "line"]
KINDS: tuple[Kind, ...] = get_args(Kind)

REACH_PX = 10.0  # so near a symbol or a line is meant by a click


class Entry(Struct, frozen=True):
    """Something of the flight that stands on the chart: its kind, its id (name of a waypoint, empty for the DR)."""

    kind: Kind
    id: str

    @property
    def is_line(self) -> bool:
        """Whether it is a line of position: that of a sight, or another."""
        return self.kind in ("sight", "line")


def pick(scene: ChartScene, view: Viewport, x: float, y: float, reach_px: float = REACH_PX) -> Entry | None:
    """The entry meant by a click at (x, y) px: a symbol before a line, a line before the ellipse it runs through."""
    symbols = [(Entry("fix", fix.id), fix.position) for fix in scene.fixes]
    symbols += [(Entry("dr", ""), scene.dr.position)] if scene.dr else []
    symbols += [(Entry("waypoint", name), place) for name, place in (scene.route.waypoints if scene.route else ())]
    points = view.points([place for _, place in symbols])
    near = [(math.hypot(px - x, py - y), entry) for (entry, _), (px, py) in zip(symbols, points, strict=True)]
    near = [(away, entry) for away, entry in near if away <= reach_px]
    if near:
        return min(near, key=lambda found: found[0])[1]
    lines = [(_distance(run, x, y), entry) for entry, run in _lines(scene, view)]
    lines = [(away, entry) for away, entry in lines if away <= 0.7 * reach_px]
    if lines:
        return min(lines, key=lambda found: found[0])[1]
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
    line = next((line for line in scene.lines if line.id == entry.id), None)
    return line.stub[-1] if line is not None and line.stub else None


def runs_of(scene: ChartScene, view: Viewport, id: str) -> list[Array]:
    """The lines of a sight on the picture, px: as they are drawn."""
    return [run for entry, run in _lines(scene, view) if entry.id == id]


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
