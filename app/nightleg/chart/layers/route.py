"""The planned route and its named points."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from nightleg.chart.box import Box
from nightleg.chart.labels import Request, around
from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.lettering import request, style
from nightleg.chart.paths import of_runs, stroke
from nightleg.chart.pens import colour, pen
from nightleg.chart.strokes import Strokes
from nightleg.chart.symbols import STAR_PX, paint_sample_line, star
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet


ROUTE_LEGS = Strokes("route", lambda scene: scene.route.legs if scene.route else (), of_runs)
"""The legs."""


class RouteLayer(Layer):
    """Legs in long dashes, points as four-pointed stars with their names."""

    name = "route"
    title = "Planned route"
    z = 30
    strokes = (ROUTE_LEGS,)

    def settled(self, sheet: Sheet) -> tuple[object, ...]:
        """Legs and points, and whether a track sets out from the start."""
        scene = sheet.scene
        return scene.route, scene.start, bool(scene.runs)

    def paint_settled(self, painter: QPainter, sheet: Sheet) -> None:
        """Legs, then points."""
        theme = sheet.theme
        stroke(painter, sheet.lines(ROUTE_LEGS), pen(theme, "route"))
        for x, y, _ in _points(sheet):
            if _at_start(sheet, x, y):
                continue
            shape = star(x, y, STAR_PX * theme.scale)
            painter.fillPath(shape, colour(theme, "ground"))
            line = pen(theme, "route", dash_px=())
            painter.strokePath(shape, line)

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """The legs."""
        return sheet.lines(ROUTE_LEGS)

    def obstacles(self, sheet: Sheet) -> Iterable[Box]:
        """The points."""
        side = 1.6 * STAR_PX * sheet.theme.scale
        return [Box(x, y, side, side) for x, y, _ in _points(sheet)]

    def labels(self, sheet: Sheet) -> Iterable[Request]:
        """The names."""
        theme = sheet.theme
        lettering = style(theme, "route", bold=True)
        for x, y, name in _points(sheet):
            yield request(
                ((name, lettering),),
                partial(around, x, y, clear_px=(STAR_PX + 1.0) * theme.scale, first_deg=135.0),
                60.0,
                key=f"waypoint {name}",
            )

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """What the dashes are."""
        if sheet.lines(ROUTE_LEGS):
            yield LegendEntry("planned route", _sample, 40, lettered=True)


def _points(sheet: Sheet) -> list[tuple[float, float, str]]:
    return sheet.remembered("waypoints", (sheet.scene.route,), lambda: _find(sheet))


def _at_start(sheet: Sheet, x: float, y: float) -> bool:
    """Whether a point is so near the start of the track that the symbol there stands for both."""
    start = sheet.scene.start
    if start is None or not sheet.scene.runs:
        return False
    sx, sy = sheet.view.point(start)
    return math.hypot(x - sx, y - sy) < 1.2 * STAR_PX * sheet.theme.scale


def _find(sheet: Sheet) -> list[tuple[float, float, str]]:
    route = sheet.scene.route
    if route is None or not route.waypoints:
        return []
    lats, lons = np.array([place for _, place in route.waypoints]).T
    x, y = sheet.view.to_px(lats, lons)
    frame = sheet.view.frame
    names = (name for name, _ in route.waypoints)
    return [(px, py, name) for px, py, name in zip(x.tolist(), y.tolist(), names, strict=True) if frame.holds(px, py)]


def _sample(painter: QPainter, rect: Rect, theme: Theme) -> None:
    paint_sample_line(painter, QRectF(rect.left, rect.top, rect.width, rect.height), pen(theme, "route"))
