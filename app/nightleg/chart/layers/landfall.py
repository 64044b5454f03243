"""A landfall: the line of position through the destination, the way to it, and the turn onto it."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from nightleg.chart.box import Box
from nightleg.chart.labels import Request, along, around
from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.lettering import request, style
from nightleg.chart.marks import LandfallMark
from nightleg.chart.paths import of_runs, stroke
from nightleg.chart.pens import colour, pen
from nightleg.chart.strokes import Strokes
from nightleg.chart.symbols import paint_sample_line
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_TURN_PX = 5.5

_LINES = Strokes(
    "landfall lines",
    lambda scene: tuple(one for one in scene.landfalls if one.line),
    lambda marks: of_runs(one.line for one in marks),
)
_WAYS = Strokes("landfall ways", lambda scene: tuple(one.way for one in scene.landfalls if one.way), of_runs)


class LandfallLayer(Layer):
    """Line in dashes and dots, way in the pen of the route, turn as a square standing on its corner."""

    name = "landfall"
    title = "Landfall"
    z = 38
    strokes = (_LINES, _WAYS)

    def settled(self, sheet: Sheet) -> tuple[object, ...]:
        """All of them."""
        return sheet.scene.landfalls

    def paint_settled(self, painter: QPainter, sheet: Sheet) -> None:
        """Way, line, turns."""
        theme = sheet.theme
        stroke(painter, sheet.lines(_WAYS), pen(theme, "route"))
        stroke(painter, sheet.lines(_LINES), pen(theme, "landfall"))
        size = _TURN_PX * theme.scale
        for _, x, y in _turns(sheet):
            corners = [QPointF(x, y - size), QPointF(x + size, y), QPointF(x, y + size), QPointF(x - size, y)]
            painter.setPen(pen(theme, "landfall", dash_px=()))
            painter.setBrush(colour(theme, "ground"))
            painter.drawPolygon(corners)

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """Line and way."""
        yield from sheet.lines(_LINES)
        yield from sheet.lines(_WAYS)

    def obstacles(self, sheet: Sheet) -> Iterable[Box]:
        """The turns."""
        side = 2.0 * (_TURN_PX + 1.0) * sheet.theme.scale
        return [Box(x, y, side, side) for _, x, y in _turns(sheet)]

    def labels(self, sheet: Sheet) -> Iterable[Request]:
        """Body and destination along the line; when, where to and at what altitude to turn."""
        theme = sheet.theme
        lettering, small = style(theme, "line", bold=True), style(theme, "line", small=True)
        marks = _LINES.select(sheet.scene)
        longest: dict[int, Array] = {}
        for run, number in zip(*sheet.numbered(_LINES), strict=True):
            if number not in longest or _length(run) > _length(longest[number]):
                longest[number] = run
        for number, run in longest.items():
            places = partial(along, run, clear_px=4.0 * theme.scale, shares=(0.9, 0.1, 0.5, 0.7, 0.3))
            yield request(((marks[number].text, lettering),), places, 62.0, key=f"landfall {number}", step=0.5)
        for mark, x, y in _turns(sheet):
            if mark.turn_text:
                words = tuple((text, small) for text in mark.turn_text)
                places = partial(around, x, y, clear_px=(_TURN_PX + 3.0) * theme.scale, first_deg=45.0)
                yield request(words, places, 61.0, key=f"turn {mark.id}", align=-1)

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """What the dashes and dots are."""
        if sheet.lines(_LINES):
            yield LegendEntry("landfall line, turn", _sample, 28)


def _turns(sheet: Sheet) -> list[tuple[LandfallMark, float, float]]:
    return sheet.remembered("landfall turns", (sheet.scene.landfalls,), lambda: _find(sheet))


def _find(sheet: Sheet) -> list[tuple[LandfallMark, float, float]]:
    found = []
    for mark in sheet.scene.landfalls:
        if mark.turn is not None:
            x, y = sheet.view.point(mark.turn)
            if sheet.view.frame.holds(x, y):
                found.append((mark, x, y))
    return found


def _length(run: Array) -> float:
    return float(np.hypot(*np.diff(run, axis=0).T).sum())


def _sample(painter: QPainter, rect: Rect, theme: Theme) -> None:
    paint_sample_line(painter, QRectF(rect.left, rect.top, rect.width, rect.height), pen(theme, "landfall"))
