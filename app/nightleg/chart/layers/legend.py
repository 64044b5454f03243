"""The legend: what the lines and symbols on this picture mean, and nothing that is not on it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from nightleg.chart.corners import corner
from nightleg.chart.fonts import text_width_px
from nightleg.chart.labels import Box, box_of
from nightleg.chart.layers.base import Layer
from nightleg.chart.lettering import style, write
from nightleg.chart.pens import colour
from nightleg.chart.viewport import Rect

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_ROW_PX = 23.0
_SAMPLE_PX = 38.0
_PAD_PX = 12.0


class LegendLayer(Layer):
    """Rows of a sample and its words, in the emptiest corner."""

    name = "legend"
    z = 95

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """The rows on a ground that lets a hint of the chart through."""
        entries, theme, scale = sheet.legend, sheet.theme, sheet.theme.scale
        if not entries:
            return
        rect = _rect(sheet)
        painter.fillRect(QRectF(rect.left, rect.top, rect.width, rect.height), colour(theme, "ground", 0.94))
        lettering = style(theme, "ink", small=True)
        for i, entry in enumerate(entries):
            middle = rect.top + (_PAD_PX + (i + 0.5) * _ROW_PX) * scale
            left = rect.left + _PAD_PX * scale
            half = _ROW_PX * scale / 2.0
            painter.save()
            entry.sample(painter, Rect(left, middle - half, left + _SAMPLE_PX * scale, middle + half), theme)
            painter.restore()
            text_left = left + (_SAMPLE_PX + 12.0) * scale
            write(painter, text_left, middle + lettering.px * 0.365, entry.text, lettering, theme, halo=False)

    def obstacles(self, sheet: Sheet) -> Iterable[Box]:
        """The whole panel."""
        return [box_of(_rect(sheet))] if sheet.legend else []


def size(sheet: Sheet) -> tuple[float, float]:
    """Width and height of the legend, px."""
    scale = sheet.theme.scale
    px = style(sheet.theme, "ink", small=True).px
    words = max((text_width_px(entry.text, px) for entry in sheet.legend), default=0.0)
    return words + (2.0 * _PAD_PX + _SAMPLE_PX + 12.0) * scale, (len(sheet.legend) * _ROW_PX + 2.0 * _PAD_PX) * scale


def _rect(sheet: Sheet) -> Rect:
    return corner(sheet, "legend", *size(sheet))
