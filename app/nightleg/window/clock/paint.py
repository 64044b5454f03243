"""Painting of the time line: the line flown and to come, ticks, marks, and the marker of now.

Each kind of entry has its own shape, so that nothing rests on colour: a shot is a box (filled when over, open when to
come, struck through when not used), a fix a circle with a dot, a leg a diamond, a remark a small triangle above.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QImage, QPainter, QPen, QPolygonF

from nightleg.chart.fonts import metrics, text_width_px
from nightleg.window.clock.marks import Mark, TimeScale
from nightleg.window.look import Look

if TYPE_CHECKING:
    from nightleg.window.clock.timeline import TimeLine

# In sizes of the type.
HEIGHT = 4.7
AXIS = 2.5
_NOTES = 0.62
_SHOT_HIGH, _SHOT_LEAST = 0.78, 0.36
_FIX, _LEG, _NOTE = 0.46, 0.36, 0.30
_USUAL_PX = 14.0  # of type: lines grow with it


def place_of(mark: Mark, scale: TimeScale, px: float) -> QRectF:
    """The box of a mark on the time line; `px` is the size of the type."""
    y, x = AXIS * px, scale.x(mark.begin)
    if mark.kind == "shot":
        middle = (x + scale.x(mark.end)) / 2.0
        width = max(scale.x(mark.end) - x, _SHOT_LEAST * px)
        return QRectF(middle - width / 2.0, y - _SHOT_HIGH * px / 2.0, width, _SHOT_HIGH * px)
    if mark.kind == "remark":
        y = _NOTES * px
    half = {"fix": _FIX, "leg": _LEG}.get(mark.kind, _NOTE) * px
    return QRectF(x - half, y - half, 2.0 * half, 2.0 * half)


class TimePainter:
    """Paints a time line. What does not change as time goes on is kept as two pictures: the line flown, and to come."""

    def __init__(self) -> None:
        self._of: tuple[object, ...] = ()
        self._flown, self._ahead = QImage(), QImage()
        self.paintings = 0
        """How often the pictures had to be made."""

    def paint(self, painter: QPainter, line: TimeLine, look: Look, lettering: QFont) -> None:
        """Paint it all."""
        y, scale, area = line.axis_y(), line.scale, line.area()
        now_x = min(max(scale.x(line.now), scale.left), scale.left + scale.width)
        self._keep(line, look, lettering, painter.device().devicePixelRatio())
        painter.drawImage(QPointF(0.0, 0.0), self._ahead)
        painter.save()
        painter.setClipRect(QRectF(0.0, 0.0, now_x, area.height()))
        painter.drawImage(QPointF(0.0, 0.0), self._flown)
        painter.restore()
        painter.setFont(lettering)
        _names(painter, line, look, now_x)
        _now(painter, now_x, y, look)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if line.chosen is not None and line.chosen in line.marks:
            painter.setPen(QPen(QColor(look.ink), 1.4))
            place = place_of(line.chosen, scale, look.base_px)
            painter.drawRoundedRect(place.adjusted(-4.0, -4.0, 4.0, 4.0), 3.0, 3.0)
        if line.hasFocus():
            painter.setPen(QPen(QColor(look.line), 1.0))
            painter.drawRect(area.adjusted(0.5, 0.5, -0.5, -0.5))

    def _keep(self, line: TimeLine, look: Look, lettering: QFont, ratio: float) -> None:
        now = line.now
        over = sum(mark.end <= now for mark in line.marks)
        painted = tuple((mark.kind, mark.begin, mark.end, mark.used) for mark in line.marks)
        of = (line.scale, look, line.area().width(), line.area().height(), ratio, over, painted)
        if of == self._of:  # another answer tells of the same entries in other words
            return
        self._of = of
        self._flown, self._ahead = (_picture(line, look, lettering, ratio, flown=flown) for flown in (True, False))
        self.paintings += 1


def _picture(line: TimeLine, look: Look, lettering: QFont, ratio: float, *, flown: bool) -> QImage:
    area, scale, y = line.area(), line.scale, line.axis_y()
    made = QImage(round(area.width() * ratio), round(area.height() * ratio), QImage.Format.Format_RGB32)
    made.setDevicePixelRatio(ratio)
    painter = QPainter(made)
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(lettering)
        painter.fillRect(area, QColor(look.panel))
        _ticks(painter, line, look)
        thick = look.base_px / _USUAL_PX
        painter.setPen(QPen(QColor(look.ink), 2.4 * thick) if flown else QPen(QColor(look.edge), 2.0 * thick))
        painter.drawLine(QPointF(scale.left, y), QPointF(scale.left + scale.width, y))
        for kind in ("remark", "leg", "drift", "line", "shot", "fix"):
            for mark in line.marks:
                if mark.kind == kind:
                    _mark(painter, mark, place_of(mark, scale, look.base_px), look, over=mark.end <= line.now)
    finally:
        painter.end()
    return made


def _ticks(painter: QPainter, line: TimeLine, look: Look) -> None:
    px, y = look.base_px, line.axis_y()
    high = metrics(px - 1).ascent()
    for tick in line.ticks:
        top = y + 0.55 * px
        painter.setPen(QPen(QColor(look.muted), px / _USUAL_PX))
        painter.drawLine(QPointF(tick.x, top), QPointF(tick.x, top + (0.14, 0.26, 0.42)[tick.size] * px))
        if tick.text:
            painter.setPen(QColor(look.ink if tick.size == 2 else look.muted))
            width = text_width_px(tick.text, px - 1)
            painter.drawText(QPointF(tick.x - width / 2.0, top + 0.56 * px + high), tick.text)


def _mark(painter: QPainter, mark: Mark, place: QRectF, look: Look, *, over: bool) -> None:
    middle, thick = place.center(), look.base_px / _USUAL_PX
    if mark.kind == "shot":
        colour = QColor(look.line)
        painter.setPen(QPen(colour, 1.3 * thick))
        painter.setBrush(colour if over and mark.used else QColor(look.panel))
        painter.drawRect(place)
        if not mark.used:
            painter.drawLine(place.bottomLeft(), place.topRight())
        return
    if mark.kind == "fix":
        colour = QColor(look.fix)
        painter.setPen(QPen(colour, 1.8 * thick))
        painter.setBrush(QColor(look.panel))
        painter.drawEllipse(place)
        if over and mark.used:
            painter.setBrush(colour)
            painter.drawEllipse(middle, place.width() * 0.17, place.width() * 0.17)
        return
    colour = QColor(look.ink if mark.kind == "leg" else look.muted)
    painter.setPen(QPen(colour, 1.2 * thick))
    painter.setBrush(colour if over else QColor(look.panel))
    x, y, half = middle.x(), middle.y(), place.width() / 2.0
    corners: tuple[tuple[float, float], ...]
    if mark.kind == "leg":
        corners = ((x, y - half), (x + half, y), (x, y + half), (x - half, y))
    elif mark.kind == "remark":
        corners = ((x - half, y - half), (x + half, y - half), (x, y + half))
    else:
        corners = ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))
    painter.drawPolygon(QPolygonF([QPointF(*corner) for corner in corners]))


def _names(painter: QPainter, line: TimeLine, look: Look, now_x: float) -> None:
    """Names over the shots to come, as far as they do not run into each other or the marker of now."""
    px, y = look.base_px, line.axis_y()
    painter.setPen(QColor(look.line))
    taken: list[tuple[float, float]] = []
    clear = 0.7 * px
    for mark in line.marks:
        entered = line.follows and mark.id != "" and mark.begin <= line.now
        if mark.kind != "shot" or mark.end <= line.now or entered or not mark.used:
            continue
        width = text_width_px(mark.name, px - 1)
        left = place_of(mark, line.scale, px).center().x() - width / 2.0
        if left < now_x + clear and left + width > now_x - clear:  # beside the marker: that is the next one
            left = now_x + clear
        left = min(left, line.area().width() - width - 2.0)
        if all(left > right + 0.4 * px or left + width < start - 0.4 * px for start, right in taken):
            taken.append((left, left + width))
            painter.drawText(QPointF(left, y - 0.72 * px), mark.name)


def _now(painter: QPainter, x: float, y: float, look: Look) -> None:
    px, ink = look.base_px, QColor(look.ink)
    painter.setPen(QPen(ink, 1.6 * px / _USUAL_PX))
    painter.drawLine(QPointF(x, 0.5 * px), QPointF(x, y + 0.62 * px))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(ink)
    half, top = 0.42 * px, 0.2 * px
    painter.drawPolygon(QPolygonF([QPointF(x - half, top), QPointF(x + half, top), QPointF(x, top + 0.6 * px)]))
