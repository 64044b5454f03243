"""A small map of the whole flight, with the part that the chart shows marked on it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPaintEngine, QPainter, QPainterPath

from nightleg.chart.box import Box, box_of
from nightleg.chart.corners import corner
from nightleg.chart.fit import fit
from nightleg.chart.layers.base import Array, Layer
from nightleg.chart.layers.land import LandLayer
from nightleg.chart.layers.route import ROUTE_LEGS
from nightleg.chart.layers.track import CURRENT_RUNS, OPEN_RUNS, PAST_RUNS
from nightleg.chart.paths import polygon, stroke
from nightleg.chart.pens import colour, pen
from nightleg.chart.symbols import dot
from nightleg.chart.viewport import Margins, Rect, Viewport

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_WIDTH_PX, _HEIGHT_PX = 236.0, 150.0
_LEAST_FRAME_PX = 900.0  # a smaller chart keeps the room for itself
_LEAST_RATIO = 2.2  # nor is the map worth it where it would show little more than the chart
_ASIDE_PX = 6.0  # the flight may lie so far from the middle of the map before that is drawn anew
_RIM_PX = 4.0  # between the outline of the chart's view and the edge of the map
_MOST_WIDER = 2.5  # the map shows at most so much more than the flight
_EDGE_PX = 24  # points along the outline of the chart's view: it is no rectangle on another projection


class OverviewLayer(Layer):
    """Land, route, track and fixes in small, nothing lettered."""

    name = "overview"
    title = "Map of the whole flight"
    z = 105
    is_panel = True

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """The map in its corner."""
        view = _view(sheet)
        if view is None:
            return
        small, theme, scale = _small(sheet, view), sheet.theme, sheet.theme.scale
        frame = view.frame
        inner = QRectF(frame.left, frame.top, frame.width, frame.height)
        painter.save()
        painter.setClipRect(inner)
        if painter.paintEngine().type() == QPaintEngine.Type.Raster:
            ratio = painter.device().devicePixelRatio()
            at, ground = small.remembered(f"map at {ratio}", (), lambda: small.piece(_Ground(), box_of(frame), ratio))
            painter.drawImage(at, ground)
        else:
            _Ground().paint(painter, small)
        route = pen(theme, "route", dash_px=(5.0, 3.0))
        route.setWidthF(0.9 * scale)
        stroke(painter, small.lines(ROUTE_LEGS), route)
        track = pen(theme, "track_past")
        for kind in (PAST_RUNS, CURRENT_RUNS, OPEN_RUNS):
            stroke(painter, small.lines(kind), track)
        dots = QPainterPath()
        for x, y in view.points([fix.position for fix in sheet.scene.fixes]):
            dots.addPath(dot(x, y, 2.6 * scale))
        painter.fillPath(dots, colour(theme, "fix"))
        painter.setPen(pen(theme, "minute"))
        painter.drawPolyline(polygon(_outline(sheet, view)))
        painter.restore()
        painter.setPen(pen(theme, "minute"))
        painter.drawRect(inner)

    def piece(self, sheet: Sheet) -> tuple[object, ...] | None:
        """The map and what is drawn on it."""
        scene = sheet.scene
        return _view(sheet), scene.runs, scene.fixes, scene.route

    def obstacles(self, sheet: Sheet) -> Iterable[Box]:
        """The whole map."""
        view = _view(sheet)
        return [box_of(view.frame)] if view is not None else []


def _view(sheet: Sheet) -> Viewport | None:
    return sheet.kept("overview", lambda: _fitted(sheet))


def _fitted(sheet: Sheet) -> Viewport | None:
    """The view of the whole flight in a corner of the chart; None where it is not worth its room."""
    view, scale = sheet.view, sheet.theme.scale
    if view.frame.width < _LEAST_FRAME_PX * scale:
        return None
    width, height = _WIDTH_PX * scale, _HEIGHT_PX * scale
    whole = _whole(sheet, (round(width), round(height)))
    if whole.true_nm_per_px() * width < _LEAST_RATIO * view.true_nm_per_px() * view.frame.width:
        return None
    rect: Rect = corner(sheet, "overview", width, height)
    margins = Margins(rect.left, rect.top, view.width_px - rect.right, view.height_px - rect.bottom)
    made = Viewport(whole.projection, whole.x_nm, whole.y_nm, whole.nm_per_px, view.width_px, view.height_px, margins)
    return _with_outline(made, _outline(sheet, made), _RIM_PX * scale)


def _with_outline(view: Viewport, outline: Array, rim_px: float) -> Viewport:
    """The map in a scale that shows the outline of the chart's view whole too, unless that is far off the flight."""
    frame = view.frame.grown(-rim_px)
    if not len(outline):
        return view
    left, top = np.minimum(outline.min(axis=0), (frame.left, frame.top)).tolist()
    right, bottom = np.maximum(outline.max(axis=0), (frame.right, frame.bottom)).tolist()
    wider = max((right - left) / frame.width, (bottom - top) / frame.height)
    if wider == 1.0 or wider > _MOST_WIDER:
        return view
    middle_x, middle_y = view.middle_px
    x_nm = view.x_nm + ((left + right) / 2.0 - middle_x) * view.nm_per_px
    y_nm = view.y_nm - ((top + bottom) / 2.0 - middle_y) * view.nm_per_px
    return replace(view, x_nm=x_nm, y_nm=y_nm, nm_per_px=view.nm_per_px * wider)


def _whole(sheet: Sheet, size: tuple[int, int]) -> Viewport:
    """The view of the whole flight; the one before as long as it serves: no new map for a fix that moves a mile."""
    found = fit(sheet.scene, size, extent="flight")
    before: Viewport | None = sheet.memory.last("whole flight", size, None)
    if before is not None and before.projection == found.projection:
        looser = before.nm_per_px / found.nm_per_px
        aside = max(abs(before.x_nm - found.x_nm), abs(before.y_nm - found.y_nm)) / found.nm_per_px
        if 0.98 <= looser <= 1.2 and aside <= _ASIDE_PX:
            return before
    sheet.memory.note("whole flight", size, found)
    return found


def _small(sheet: Sheet, view: Viewport) -> Sheet:
    """A sheet for the map alone."""
    from nightleg.chart.sheet import Sheet as Made  # the sheet knows the layers, so not at the top

    memory = sheet.memory.within("overview")
    return sheet.kept("overview sheet", lambda: Made(sheet.scene, view, sheet.theme, (), memory=memory))


class _Ground(LandLayer):
    """Land on the ground."""

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        frame = sheet.view.frame
        painter.fillRect(QRectF(frame.left, frame.top, frame.width, frame.height), colour(sheet.theme, "ground"))
        super().paint(painter, sheet)


def _outline(sheet: Sheet, view: Viewport) -> Array:
    """The frame of the chart as it lies on the map."""
    frame = sheet.view.frame
    corners = np.array(
        (
            (frame.left, frame.top),
            (frame.right, frame.top),
            (frame.right, frame.bottom),
            (frame.left, frame.bottom),
            (frame.left, frame.top),
        )
    )
    at = np.linspace(0.0, 4.0, 4 * _EDGE_PX + 1)
    x, y = (np.interp(at, np.arange(5.0), corners[:, axis]) for axis in (0, 1))
    lat, lon = sheet.view.to_position(x, y)
    points = np.column_stack(view.to_px(lat, lon))
    return points[np.isfinite(points).all(axis=1)]
