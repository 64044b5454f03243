"""The neat line of the chart with its band of minutes, and the degrees outside it, where the picture has a margin."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QPainterPath

from nightleg.chart.crossings import edge, whole_multiples
from nightleg.chart.fonts import text_width_px
from nightleg.chart.layers.base import Array, Layer
from nightleg.chart.layers.graticule import degree_marks, grid
from nightleg.chart.lettering import style, write
from nightleg.chart.paths import path
from nightleg.chart.pens import colour, pen

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

BAND_PX = 6.0
_OUTWARD = {"top": (0.0, -1.0), "bottom": (0.0, 1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}
_SIDES = tuple(_OUTWARD)


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
        painter.fillPath(bars, colour(theme, "coast"))
        painter.setPen(pen(theme, "frame"))
        painter.drawRect(QRectF(frame.left, frame.top, frame.width, frame.height))
        outer = frame.grown(band)
        painter.drawRect(QRectF(outer.left, outer.top, outer.width, outer.height))
        marks = degree_marks(sheet, _SIDES)
        painter.strokePath(path(_notch(mark, band) for mark in marks), pen(theme, "frame"))
        for side in ("top", "bottom", "left"):
            _degrees(painter, sheet, side, [mark for mark in marks if mark[3] == side])


Mark = tuple[float, float, str, str]  # x, y, px, words, side


def _notch(mark: Mark, band: float) -> Array:
    """A stroke across the band where a line of the graticule meets it."""
    x, y, _, side = mark
    dx, dy = _OUTWARD[side]
    return np.array(((x, y), (x + dx * band, y + dy * band)))


def _degrees(painter: QPainter, sheet: Sheet, side: str, marks: list[Mark]) -> None:
    """Degrees outside the band, but for those that would run into the one before or off the picture."""
    view, theme = sheet.view, sheet.theme
    lettering = style(theme, "muted", small=True)
    away, cap, gap = (BAND_PX + 7.0) * theme.scale, lettering.px * 0.73, 10.0 * theme.scale
    free = 4.0
    for x, y, text, _ in sorted(marks):
        width = text_width_px(text, lettering.px)
        if side == "left":
            if y - cap / 2.0 >= free and y + cap / 2.0 <= view.height_px - 4.0 and width + away + 4.0 <= x:
                write(painter, x - away, y + cap / 2.0, text, lettering, theme, halo=False, align=1)
                free = y + cap / 2.0 + gap
        elif x - width / 2.0 >= free and x + width / 2.0 <= view.width_px - 4.0:
            baseline = y - away if side == "top" else y + away + cap
            write(painter, x, baseline, text, lettering, theme, halo=False, align=0)
            free = x + width / 2.0 + gap


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
