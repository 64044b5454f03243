"""The legend: what the lines and symbols on this picture mean, and nothing that is not on it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from nightleg.chart.box import Box, box_of
from nightleg.chart.corners import corner
from nightleg.chart.fonts import text_width_px
from nightleg.chart.layers.base import Layer, LegendEntry
from nightleg.chart.lettering import style, write
from nightleg.chart.pens import colour, pen
from nightleg.chart.viewport import Rect

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_SAMPLE_PX = 38.0
_ROW_PX, _PAD_PX = 23.0, 12.0
_TIGHT_ROW_PX, _TIGHT_PAD_PX = 19.0, 8.0
_TIGHT_FROM = 0.12  # of the chart: a legend that would take more has its rows closer together; its type stays
_SHORT_FROM = 0.20  # one that would still take more leaves out what is lettered on the chart
_NONE_FROM = 0.30  # a chart so small keeps its room for itself


class LegendLayer(Layer):
    """Rows of a sample and its words, in the emptiest corner."""

    name = "legend"
    title = "Legend"
    z = 95
    is_panel = True

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """The rows on a ground of their own in a frame: no line seems to end at nothing."""
        (entries, row_px, pad_px), theme = _set(sheet), sheet.theme
        if not entries:
            return
        rect, scale = _rect(sheet), theme.scale
        row_px, pad_px = row_px * scale, pad_px * scale
        panel = QRectF(rect.left, rect.top, rect.width, rect.height)
        painter.fillRect(panel, colour(theme, "ground"))
        painter.setPen(pen(theme, "minute"))
        painter.drawRect(panel)
        lettering = style(theme, "ink", small=True)
        for i, entry in enumerate(entries):
            middle = rect.top + pad_px + (i + 0.5) * row_px
            left, half = rect.left + _PAD_PX * scale, row_px / 2.0
            painter.save()
            entry.sample(painter, Rect(left, middle - half, left + _SAMPLE_PX * scale, middle + half), theme)
            painter.restore()
            text_left = left + (_SAMPLE_PX + 12.0) * scale
            write(painter, text_left, middle + lettering.px * 0.365, entry.text, lettering, theme, halo=False)

    def piece(self, sheet: Sheet) -> tuple[object, ...] | None:
        """The rows and where they stand."""
        return _set(sheet)[0], _rect(sheet)

    def obstacles(self, sheet: Sheet) -> Iterable[Box]:
        """The whole panel."""
        return [box_of(_rect(sheet))] if _set(sheet)[0] else []


def _set(sheet: Sheet) -> tuple[tuple[LegendEntry, ...], float, float]:
    """The rows, their height and the room above and below them, px at scale 1: as the size of the chart allows."""
    entries, room = sheet.legend, sheet.view.frame.width * sheet.view.frame.height

    def share(row_px: float, pad_px: float) -> float:
        width, height = _size(sheet, entries, row_px, pad_px)
        return width * height / room

    if share(_ROW_PX, _PAD_PX) <= _TIGHT_FROM:
        return entries, _ROW_PX, _PAD_PX
    if share(_TIGHT_ROW_PX, _TIGHT_PAD_PX) > _SHORT_FROM:
        entries = tuple(entry for entry in entries if not entry.lettered)
        if share(_TIGHT_ROW_PX, _TIGHT_PAD_PX) > _NONE_FROM:
            entries = ()
    return entries, _TIGHT_ROW_PX, _TIGHT_PAD_PX


def _size(sheet: Sheet, entries: tuple[LegendEntry, ...], row_px: float, pad_px: float) -> tuple[float, float]:
    theme = sheet.theme
    px, scale = style(theme, "ink", small=True).px, theme.scale
    words = max((text_width_px(entry.text, px) for entry in entries), default=0.0)
    return words + (2.0 * _PAD_PX + _SAMPLE_PX + 12.0) * scale, (len(entries) * row_px + 2.0 * pad_px) * scale


def _rect(sheet: Sheet) -> Rect:
    return corner(sheet, "legend", *_size(sheet, *_set(sheet)))
