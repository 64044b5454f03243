"""What of the chart lies about the plot under a point: DR positions passed, track, route, wind, land."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from nightleg.chart.layers.land import level_of
from nightleg.chart.layers.track import shown_ticks
from nightleg.chart.paths import of_runs, to_px
from nightleg.chart.pick import LINE_REACH, REACH_PX, Entry, ellipse_at, line_at, symbols_of
from nightleg.chart.trackfacts import between
from nightleg.chart.viewport import Viewport
from nightleg.earth.land import outlines
from nightleg.units.positions import Position

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

Array = NDArray[np.float64]

_SHORE_PX = 5.0  # so near land is land: an island may be a speck


def ticks_at(sheet: Sheet) -> Iterator[tuple[Entry, float, float]]:
    """The DR positions ticked on the picture, and where they stand, px."""
    if _is_shown(sheet, "track"):
        for x, y, _, tick, _ in shown_ticks(sheet):
            if tick.time is not None:
                yield Entry("tick", tick.time.isoformat()), x, y


def ways_at(sheet: Sheet, x: float, y: float) -> Iterator[tuple[float, Entry]]:
    """Track and route with their distances from a point, px: the track by the time there, the route by its leg."""
    scene, view = sheet.scene, sheet.view
    if _is_shown(sheet, "track"):
        for run in scene.runs:
            near = _nearest(view, run.points, x, y) if run.times else None
            if near is not None:
                away, number, share = near
                begin, end = run.times[number], run.times[number + 1]
                yield away, Entry("track", _whole(begin + share * (end - begin)).isoformat())
    if scene.route is not None and _is_shown(sheet, "route"):
        for number, leg in enumerate(scene.route.legs):
            near = _nearest(view, leg, x, y)
            if near is not None:
                away, at, share = near
                yield away, Entry("route", str(number), between(leg[at], leg[at + 1], share))


def wind_at(sheet: Sheet, x: float, y: float) -> Entry | None:
    """The wind, if its arrow or its words lie under a point."""
    found = sheet.found("wind") if sheet.scene.wind is not None and _is_shown(sheet, "wind") else None
    if found is None:
        return None
    box = found.box
    if abs(x - box.x) > box.width / 2.0 or abs(y - box.y) > box.height / 2.0:
        return None
    return Entry("wind", "", _place(sheet.view, box.x, box.y))


def land_at(sheet: Sheet, x: float, y: float) -> Entry | None:
    """Land under a point, or so near to it that it is meant."""
    if not _is_shown(sheet, "land"):
        return None
    land = outlines(level_of(sheet.view))
    for dx, dy in ((0.0, 0.0), (_SHORE_PX, 0.0), (-_SHORE_PX, 0.0), (0.0, _SHORE_PX), (0.0, -_SHORE_PX)):
        place = _place(sheet.view, x + dx, y + dy)
        if place is not None and bool(land.is_land(*place)):
            return Entry("land", "", place)
    return None


def _is_shown(sheet: Sheet, name: str) -> bool:
    return any(layer.name == name for layer in sheet.layers)


def _place(view: Viewport, x: float, y: float) -> Position | None:
    lat, lon = (float(v) for v in view.to_position(x, y))
    return Position(lat, lon) if math.isfinite(lat) and math.isfinite(lon) else None


def _nearest(view: Viewport, run: tuple[Position, ...], x: float, y: float) -> tuple[float, int, float] | None:
    """How far a point is from a run, px, and where on it the nearest point lies: number of the step and share of it."""
    if len(run) < 2:
        return None
    points = to_px(view, of_runs((run,)))[:-1]
    start, step = points[:-1], np.diff(points, axis=0)
    offset = np.array((x, y)) - start
    share = np.clip((offset * step).sum(axis=1) / np.maximum((step**2).sum(axis=1), 1e-12), 0.0, 1.0)
    away: Array = np.hypot(*(offset - share[:, None] * step).T)
    away[~np.isfinite(away)] = np.inf
    number = int(away.argmin())
    return (float(away[number]), number, float(share[number])) if math.isfinite(away[number]) else None


def _whole(when: datetime) -> datetime:
    """To the second."""
    return (when + timedelta(microseconds=500_000)).replace(microsecond=0)


def pick_of(sheet: Sheet, x: float, y: float, reach_px: float = REACH_PX) -> Entry | None:
    """What is meant by a click at (x, y) px on a picture.

    A symbol comes before a line, a line before the ellipse or the arrow it runs through, land last of all.
    """
    scene, view = sheet.scene, sheet.view
    symbols = [(math.hypot(px - x, py - y), entry) for entry, px, py in (*symbols_of(scene, view), *ticks_at(sheet))]
    near = _least((away, entry) for away, entry in symbols if away <= reach_px)
    near = near or line_at(scene, view, x, y, reach_px)
    near = near or _least((away, entry) for away, entry in ways_at(sheet, x, y) if away <= LINE_REACH * reach_px)
    return near or wind_at(sheet, x, y) or ellipse_at(scene, view, x, y) or land_at(sheet, x, y)


def _least(found: Iterable[tuple[float, Entry]]) -> Entry | None:
    return min(found, key=lambda one: one[0], default=(0.0, None))[1]
