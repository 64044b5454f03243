"""Keeping the DR on the chart while flight time moves."""

from __future__ import annotations

import math

from nightleg.chart.canvas import ChartCanvas
from nightleg.units.positions import Position

_EDGE = 0.05  # of the shorter side of the frame: closer to its edge than this is out of sight


def keep_in_sight(canvas: ChartCanvas, place: Position) -> bool:
    """Move the chart where a place is not in sight; whether it was moved.

    A view that was fitted is fitted anew; one that someone chose keeps its scale and gets the place in its middle.
    """
    view = canvas.view
    if view is None:
        return False
    x, y = view.point(place)
    frame = view.frame
    edge = _EDGE * min(frame.width, frame.height)
    if frame.left + edge <= x <= frame.right - edge and frame.top + edge <= y <= frame.bottom - edge:
        return False
    if canvas.fitted is not None:
        canvas.fit_plot(canvas.fitted)
    elif math.isfinite(x) and math.isfinite(y):
        middle_x, middle_y = view.middle_px
        canvas.pan(middle_x - x, middle_y - y)
    return True
