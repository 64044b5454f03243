"""What lies over the chart for a while: the entry that is chosen with its facts, and the measuring line."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from nightleg.chart.facts import facts
from nightleg.chart.fonts import text_width_px
from nightleg.chart.lettering import style, write
from nightleg.chart.marks import ChartScene
from nightleg.chart.measure import Measured
from nightleg.chart.paths import clip_lines, of_runs, polygon, to_px
from nightleg.chart.pens import colour, pen
from nightleg.chart.pick import Entry, Kind, position_of, runs_of
from nightleg.chart.themes import Role, Theme
from nightleg.chart.viewport import Rect, Viewport

Array = NDArray[np.float64]

_RING_PX = 17.0
_HALO_PX = 9.0
_PAD_PX = 10.0
_ROW_PX = 20.0
_AWAY_PX = 24.0
_ROLES: dict[Kind, Role] = {"tick": "ink", "track": "ink", "route": "route", "wind": "ink", "land": "muted"}


class Over(Struct, frozen=True):
    """What is shown: an entry that is marked (with its facts if it was chosen) and a measurement."""

    scene: ChartScene
    view: Viewport
    theme: Theme
    entry: Entry | None = None
    told: bool = False
    measured: Measured | None = None


class OverlayItem(QGraphicsItem):
    """Painted above the sheet, and so cheap to change."""

    def __init__(self) -> None:
        super().__init__()
        self._over: Over | None = None
        self._size = QRectF()
        self.setZValue(10.0)
        self.setAcceptedMouseButtons(Qt.MouseButton.NoButton)

    def show_over(self, over: Over) -> None:
        """Show something else."""
        if over == self._over:
            return
        before, self._over = self._over, over
        size = QRectF(0.0, 0.0, over.view.width_px, over.view.height_px)
        if size != self._size:
            self.prepareGeometryChange()
            self._size = size
        if _has(before) or _has(over):
            self.update()

    def boundingRect(self) -> QRectF:
        """The whole canvas."""
        return self._size

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        """Mark, facts, measuring line."""
        over = self._over
        if over is None or not _has(over):
            return
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if over.entry is not None:
            _paint_entry(painter, over, over.entry)
        if over.measured is not None:
            _paint_measured(painter, over, over.measured)
        painter.restore()


def _has(over: Over | None) -> bool:
    return over is not None and (over.entry is not None or over.measured is not None)


def _paint_entry(painter: QPainter, over: Over, entry: Entry) -> None:
    view, theme = over.view, over.theme
    place = position_of(over.scene, entry)
    if place is None:
        return
    role: Role = "line" if entry.is_line else _ROLES.get(entry.kind, "fix")
    halo = QPen(colour(theme, role, 0.30), _HALO_PX * theme.scale)
    halo.setCapStyle(Qt.PenCapStyle.RoundCap)
    painter.setPen(halo)
    marked: list[Array] = []
    if entry.is_line or entry.is_way:
        runs = runs_of(over.scene, view, entry)
        marked = [part for run in runs for part in clip_lines(run, view.frame.grown(12.0))[0]]
        for part in marked:
            painter.drawPolyline(polygon(part))
    x, y = view.point(place)
    if not view.frame.grown(20.0).holds(x, y):
        return
    if not (entry.is_line or entry.is_way or entry.kind == "wind"):
        halo.setWidthF(4.0 * theme.scale)
        painter.setPen(halo)
        painter.drawEllipse(QPointF(x, y), _RING_PX * theme.scale, _RING_PX * theme.scale)
    words = facts(over.scene, entry) if over.told else ()
    if words:
        _paint_words(painter, over, words, x, y, marked)


def _paint_measured(painter: QPainter, over: Over, measured: Measured) -> None:
    view, theme = over.view, over.theme
    ways = [
        (part, pen(theme, "scale", dash_px=dashes))
        for run, dashes in ((measured.rhumb_line(), ()), (measured.great_circle(), (7.0, 4.0)))
        for part in clip_lines(to_px(view, of_runs((run,))), view.frame.grown(12.0))[0]
    ]
    for part, line in ways:
        painter.setPen(QPen(colour(theme, "ground", 0.8), line.widthF() + 3.0 * theme.scale))
        painter.drawPolyline(polygon(part))
    for part, line in ways:
        painter.setPen(line)
        painter.drawPolyline(polygon(part))
    for place in (measured.start, measured.end):
        x, y = view.point(place)
        if math.isfinite(x) and math.isfinite(y):
            painter.setPen(pen(theme, "scale"))
            painter.drawEllipse(QPointF(x, y), 4.0 * theme.scale, 4.0 * theme.scale)
    x, y = view.point(measured.end)
    if math.isfinite(x) and math.isfinite(y):
        _paint_words(painter, over, ("measured", *measured.words), x, y)


def _paint_words(
    painter: QPainter, over: Over, words: tuple[str, ...], x: float, y: float, marked: Sequence[Array] = ()
) -> None:
    """Lines of words in a panel beside a point, where least of what is marked lies under it; the first one strong."""
    view, theme = over.view, over.theme
    scale = theme.scale
    strong, plain = style(theme, "ink", bold=True), style(theme, "ink", small=True)
    widths = [text_width_px(words[0], strong.px, bold=True), *(text_width_px(line, plain.px) for line in words[1:])]
    width, height = max(widths) + 2.0 * _PAD_PX * scale, (len(words) * _ROW_PX + 2.0 * _PAD_PX - 4.0) * scale
    rect = _beside(view.frame, x, y, width, height, _AWAY_PX * scale, marked)
    panel = QRectF(rect.left, rect.top, rect.width, rect.height)
    painter.fillRect(panel, colour(theme, "ground"))
    painter.setPen(pen(theme, "minute"))
    painter.drawRect(panel)
    baseline = rect.top + (_PAD_PX + 13.0) * scale
    for number, line in enumerate(words):
        lettering = plain if number else strong
        write(painter, rect.left + _PAD_PX * scale, baseline, line, lettering, theme, halo=False)
        baseline += _ROW_PX * scale


def _beside(frame: Rect, x: float, y: float, width: float, height: float, away: float, marked: Sequence[Array]) -> Rect:
    """A rectangle to the right of a point and above it, or on another side where that fits or covers less."""
    best, least = Rect(x, y, x, y), math.inf
    for rank, (right, up) in enumerate(((True, True), (True, False), (False, True), (False, False))):
        left = x + away if right else x - away - width
        top = y - away - height if up else y + away
        kept_left = float(np.clip(left, frame.left + 4.0, max(frame.right - 4.0 - width, frame.left + 4.0)))
        kept_top = float(np.clip(top, frame.top + 4.0, max(frame.bottom - 4.0 - height, frame.top + 4.0)))
        rect = Rect(kept_left, kept_top, kept_left + width, kept_top + height)
        covered = sum(
            float(np.hypot(*np.diff(part, axis=0).T).sum()) for run in marked for part in clip_lines(run, rect)[0]
        )
        cost = covered + abs(kept_left - left) + abs(kept_top - top) + 0.1 * rank
        if cost < least:
            best, least = rect, cost
    return best
