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
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_ROW_PX = 23.0
_SAMPLE_PX = 38.0
_PAD_PX = 12.0


_MOST_OF_CHART = 0.12  # the legend is set smaller where it would take a larger share
_SMALLER = 0.8


class LegendLayer(Layer):
    """Rows of a sample and its words, in the emptiest corner."""

    name = "legend"
    title = "Legend"
    z = 95
    is_panel = True

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """The rows on a ground that lets a hint of the chart through."""
        entries, theme = sheet.legend, _theme(sheet)
        if not entries:
            return
        rect, scale = _rect(sheet), theme.scale
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

    def piece(self, sheet: Sheet) -> tuple[object, ...] | None:
        """The rows and where they stand."""
        return sheet.legend, _rect(sheet)

    def obstacles(self, sheet: Sheet) -> Iterable[Box]:
        """The whole panel."""
        return [box_of(_rect(sheet))] if sheet.legend else []


def _theme(sheet: Sheet) -> Theme:
    """The theme of the legend's own scale."""
    frame, (width, height) = sheet.view.frame, _size(sheet, sheet.theme)
    crowded = width * height > _MOST_OF_CHART * frame.width * frame.height
    return sheet.theme.scaled(_SMALLER) if crowded else sheet.theme


def _size(sheet: Sheet, theme: Theme) -> tuple[float, float]:
    px, scale = style(theme, "ink", small=True).px, theme.scale
    words = max((text_width_px(entry.text, px) for entry in sheet.legend), default=0.0)
    return words + (2.0 * _PAD_PX + _SAMPLE_PX + 12.0) * scale, (len(sheet.legend) * _ROW_PX + 2.0 * _PAD_PX) * scale


def _rect(sheet: Sheet) -> Rect:
    return corner(sheet, "legend", *_size(sheet, _theme(sheet)))
