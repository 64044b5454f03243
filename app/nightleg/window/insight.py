"""Keeping the DR on the chart while flight time moves."""

from __future__ import annotations

import math

from nightleg.chart.canvas import ChartCanvas
from nightleg.units.positions import Position

_EDGE = 0.05  # of the shorter side of the frame: closer to its edge than this is out of sight


def keep_in_sight(canvas: ChartCanvas, place: Position) -> bool:
    """Move the chart where a place is not in sight; whether it was moved.

    A view that was fitted is fitted anew. One that someone chose, or whose fit leaves the place out, keeps its scale
    and gets the place in its middle.
    """
    if _in_sight(canvas, place):
        return False
    if canvas.fitted is not None:
        canvas.fit_plot(canvas.fitted)
    view = canvas.view
    if view is not None and not _in_sight(canvas, place):
        x, y = view.point(place)
        if math.isfinite(x) and math.isfinite(y):
            middle_x, middle_y = view.middle_px
            canvas.pan(middle_x - x, middle_y - y)
    return True


def _in_sight(canvas: ChartCanvas, place: Position) -> bool:
    view = canvas.view
    if view is None:
        return True
    x, y = view.point(place)
    frame = view.frame
    edge = _EDGE * min(frame.width, frame.height)
    return frame.left + edge <= x <= frame.right - edge and frame.top + edge <= y <= frame.bottom - edge
