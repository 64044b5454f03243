"""A small map of the whole flight, with the part that the chart shows marked on it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from nightleg.chart.corners import corner
from nightleg.chart.fit import fit
from nightleg.chart.labels import Box, box_of
from nightleg.chart.layers.base import Array, Layer
from nightleg.chart.layers.land import LandLayer
from nightleg.chart.layers.route import route_legs
from nightleg.chart.layers.track import current_runs, past_runs
from nightleg.chart.paths import polygon, stroke
from nightleg.chart.pens import colour, pen
from nightleg.chart.symbols import dot
from nightleg.chart.viewport import Margins, Rect, Viewport

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_WIDTH_PX, _HEIGHT_PX = 236.0, 150.0
_LEAST_FRAME_PX = 900.0  # a smaller chart keeps the room for itself
_LEAST_RATIO = 2.2  # nor is the map worth it where it would show little more than the chart
_EDGE_PX = 24  # points along the outline of the chart's view: it is no rectangle on another projection


class OverviewLayer(Layer):
    """Land, route, track and fixes in small, nothing lettered."""

    name = "overview"
    z = 105

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """The map in its corner."""
        view = _view(sheet)
        if view is None:
            return
        small, theme, scale = _small(sheet, view), sheet.theme, sheet.theme.scale
        frame = view.frame
        inner = QRectF(frame.left, frame.top, frame.width, frame.height)
        painter.fillRect(inner, colour(theme, "ground"))
        painter.save()
        painter.setClipRect(inner)
        LandLayer().paint(painter, small)
        route = pen(theme, "route", dash_px=(5.0, 3.0))
        route.setWidthF(0.9 * scale)
        stroke(painter, small.lines("route", route_legs), route)
        track = pen(theme, "track_past")
        stroke(painter, small.lines("past runs", past_runs) + small.lines("current runs", current_runs), track)
        for fix in sheet.scene.fixes:
            x, y = view.point(fix.position)
            painter.fillPath(dot(x, y, 2.6 * scale), colour(theme, "fix"))
        painter.setPen(pen(theme, "minute"))
        painter.drawPolyline(polygon(_outline(sheet, view)))
        painter.restore()
        painter.setPen(pen(theme, "minute"))
        painter.drawRect(inner)

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
    whole = fit(sheet.scene, (round(width), round(height)), extent="flight")
    if whole.true_nm_per_px() * width < _LEAST_RATIO * view.true_nm_per_px() * view.frame.width:
        return None
    rect: Rect = corner(sheet, "overview", width, height)
    margins = Margins(rect.left, rect.top, view.width_px - rect.right, view.height_px - rect.bottom)
    return Viewport(whole.projection, whole.x_nm, whole.y_nm, whole.nm_per_px, view.width_px, view.height_px, margins)


def _small(sheet: Sheet, view: Viewport) -> Sheet:
    """A sheet for the map alone: it shares the scene, and so what the scene has gathered."""
    from nightleg.chart.sheet import Sheet as Made  # the sheet knows the layers, so not at the top

    return sheet.kept("overview sheet", lambda: Made(sheet.scene, view, sheet.theme, ()))


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
