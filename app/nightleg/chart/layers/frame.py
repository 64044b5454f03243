"""The neat line of the chart with its band of minutes, and the degrees outside it, where the picture has a margin."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QPainterPath

from nightleg.chart.crossings import edge, whole_multiples
from nightleg.chart.layers.base import Layer
from nightleg.chart.layers.graticule import degree_marks, grid
from nightleg.chart.lettering import style, write
from nightleg.chart.paths import path
from nightleg.chart.pens import colour, pen

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

BAND_PX = 6.0
_SIDES = ("top", "bottom", "left", "right")


class FrameLayer(Layer):
    """A double line, and between the two bars that are dark and light in turn, of a round number of minutes each."""

    name = "frame"
    z = 120

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """Band, lines, degrees."""
        view, theme = sheet.view, sheet.theme
        if min(view.margins) < BAND_PX * theme.scale + 2.0:
            return
        frame, band = view.frame, BAND_PX * theme.scale
        bars = QPainterPath()
        for side in _SIDES:
            for rect in _bars(sheet, side, band):
                bars.addRect(rect)
        painter.fillPath(bars, colour(theme, "muted"))
        painter.setPen(pen(theme, "frame"))
        painter.drawRect(QRectF(frame.left, frame.top, frame.width, frame.height))
        outer = frame.grown(band)
        painter.drawRect(QRectF(outer.left, outer.top, outer.width, outer.height))
        lettering = style(theme, "muted", small=True)
        notches = []
        for x, y, text, side in degree_marks(sheet, _SIDES):
            away = band + 7.0 * theme.scale
            cap = lettering.px * 0.73
            if side in ("top", "bottom"):
                sign = -1.0 if side == "top" else 1.0
                if frame.left + 30.0 < x < frame.right - 30.0 and view.margins.top >= 20.0:
                    write(
                        painter,
                        x,
                        y + sign * away + (0.0 if sign < 0 else cap),
                        text,
                        lettering,
                        theme,
                        halo=False,
                        align=0,
                    )
                notches.append(np.array(((x, y), (x, y + sign * band))))
            else:
                sign = -1.0 if side == "left" else 1.0
                if side == "left" and frame.top + 8.0 < y < frame.bottom - 8.0:
                    write(painter, x - away, y + cap / 2.0, text, lettering, theme, halo=False, align=1)
                notches.append(np.array(((x, y), (x + sign * band, y))))
        painter.strokePath(path(notches), pen(theme, "frame"))


def _bars(sheet: Sheet, side: str, band: float) -> list[QRectF]:
    """The dark bars along one side."""
    net, view = grid(sheet), sheet.view
    frame = view.frame
    x, y, lat, lon = edge(view, frame, side)
    level = side in ("top", "bottom")
    tick, line = (net.lon_tick, net.lon_step) if level else (net.lat_tick, net.lat_step)
    # A bar must divide the step of the lines, so that bars and lines meet.
    step = next((tick * n for n in (10, 5, 6, 4, 3, 2) if line % (tick * n) == 0 and line > tick * n), line)
    along_px, values = (x, (lon if level else lat) * 60.0) if level else (y, lat * 60.0)
    places, multiples = whole_multiples(float(step), along_px, values)
    if places.size == 0:
        return []
    order = np.argsort(places)
    places, multiples = places[order], multiples[order]
    rising = values[-1] > values[0]
    ends = np.concatenate(([along_px[0]], places, [along_px[-1]]))
    # The bar before the first crossing belongs to the multiple below it when values rise, else to the crossing itself.
    bars = np.concatenate(([multiples[0] - 1 if rising else multiples[0]], multiples if rising else multiples - 1))
    dark = np.flatnonzero(bars % 2 == 0)
    rects = []
    for i in dark.tolist():
        a, b = float(ends[i]), float(ends[i + 1])
        if side == "top":
            rects.append(QRectF(a, frame.top - band, b - a, band))
        elif side == "bottom":
            rects.append(QRectF(a, frame.bottom, b - a, band))
        elif side == "left":
            rects.append(QRectF(frame.left - band, a, band, b - a))
        else:
            rects.append(QRectF(frame.right, a, band, b - a))
    return rects
