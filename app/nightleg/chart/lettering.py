"""Words on the chart: measured for the placer, painted with a halo of ground so that lines do not strike them out.

On screens, pictures and SVG the letters are painted as outlines, which look the same without any font installed; in a
PDF they are text, which can be found and copied, and the writer embeds the font.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QImage, QPaintEngine, QPainter, QPainterPath, QPen

from nightleg.chart.box import Box
from nightleg.chart.fonts import font, text_width_px
from nightleg.chart.labels import Placed, Request, Style
from nightleg.chart.pens import colour
from nightleg.chart.themes import Role, Theme

_CAP = 0.73  # height of capitals and figures of B612, as a share of its size
_DESCENT = 0.21
_LEADING = 1.3
_HALO_PX = 3.2


def style(theme: Theme, role: Role, *, small: bool = False, bold: bool = False) -> Style:
    """Lettering in one of the theme's two sizes."""
    return Style(role, (theme.small_px if small else theme.text_px) * theme.scale, bold)


def measure(lines: tuple[tuple[str, Style], ...]) -> tuple[float, float]:
    """Width and height, px, of lines of text one under the other."""
    width = max((text_width_px(text, s.px, bold=s.bold) for text, s in lines), default=0.0)
    height = sum(s.px * _LEADING for _, s in lines[1:]) + (lines[0][1].px * (_CAP + _DESCENT) if lines else 0.0)
    return width, height


def request(
    lines: tuple[tuple[str, Style], ...],
    places: Callable[[float, float], tuple[Box, ...]],
    priority: float,
    *,
    key: str = "",
    align: int = 0,
    step: float = 1.0,
    shorter: Request | None = None,
) -> Request:
    """A label wanted; `places` gives its places from its width and height, px."""
    width, height = measure(lines)
    return Request(lines, width, height, places(width, height), priority, key, align, step, shorter)


@lru_cache(maxsize=4096)
def outline(text: str, px: float, bold: bool) -> QPainterPath:
    """The outlines of a line of text, its baseline starting at the origin."""
    made = QPainterPath()
    made.addText(QPointF(0.0, 0.0), font(px, bold=bold), text)
    return made


def write(
    painter: QPainter,
    x: float,
    y: float,
    text: str,
    lettering: Style,
    theme: Theme,
    *,
    halo: bool = True,
    align: int = -1,
) -> None:
    """Paint a line of text with its baseline at y; x is its left end (`align` -1), middle (0) or right end (1)."""
    width = text_width_px(text, lettering.px, bold=lettering.bold)
    x -= width * (align + 1) / 2.0
    if painter.paintEngine().type() == QPaintEngine.Type.Raster:
        wanted = Request(((text, lettering),), width, lettering.px * (_CAP + _DESCENT), (), 0.0)
        middle = Box(x + width / 2.0, y + lettering.px * (_DESCENT - _CAP) / 2.0, wanted.width, wanted.height)
        _blit(painter, Placed(wanted, middle), theme, halo=halo)
    else:
        _write(painter, x, y, text, lettering, theme, halo=halo)


def _write(painter: QPainter, x: float, y: float, text: str, lettering: Style, theme: Theme, *, halo: bool) -> None:
    """The letters themselves, from the left end of the baseline."""
    shape = outline(text, lettering.px, lettering.bold)
    ink = colour(theme, lettering.role)
    painter.save()
    painter.translate(x, y)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if halo:
        pen = QPen(colour(theme, "ground"), _HALO_PX * theme.scale)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.strokePath(shape, pen)
    if painter.paintEngine().type() == QPaintEngine.Type.Pdf:
        painter.setFont(font(lettering.px, bold=lettering.bold))
        painter.setPen(ink)
        painter.drawText(QPointF(0.0, 0.0), text)
    else:
        painter.fillPath(shape, ink)
    painter.restore()


def paint_label(painter: QPainter, placed: Placed, theme: Theme) -> None:
    """Paint a placed label in its box."""
    if not placed.request.lines:
        return
    if painter.paintEngine().type() == QPaintEngine.Type.Raster:
        _blit(painter, placed, theme, halo=True)
        return
    box = placed.box
    painter.save()
    painter.translate(box.x, box.y)
    painter.rotate(box.angle_deg)
    _paint_lines(painter, placed.request, theme, halo=True)
    painter.restore()


def _paint_lines(painter: QPainter, wanted: Request, theme: Theme, *, halo: bool) -> None:
    """The lines of a label about the origin."""
    x, y = wanted.align * wanted.width / 2.0, -wanted.height / 2.0
    for i, (text, lettering) in enumerate(wanted.lines):
        y += lettering.px * (_CAP if i == 0 else _LEADING)
        width = text_width_px(text, lettering.px, bold=lettering.bold)
        _write(painter, x - width * (wanted.align + 1) / 2.0, y, text, lettering, theme, halo=halo)


def _blit(painter: QPainter, placed: Placed, theme: Theme, *, halo: bool) -> None:
    """Paint a label from a stored picture: stroking halos anew would cost several ms each, every frame."""
    ratio = painter.device().devicePixelRatio()
    wanted, box = placed.request, placed.box
    angle_deg = round(box.angle_deg * _TURNS_PER_DEG) / _TURNS_PER_DEG
    key = (wanted.lines, wanted.align, angle_deg, halo, theme.name, theme.scale, ratio)
    sprite = _sprites.get(key)
    if sprite is None:
        if len(_sprites) >= _MOST_SPRITES:
            _sprites.clear()
        sprite = _sprites[key] = _sprite(wanted, angle_deg, theme, ratio, halo=halo)
    # Whole device px keep the letters as sharp as they were drawn.
    x = round((box.x - sprite.width() / ratio / 2.0) * ratio) / ratio
    y = round((box.y - sprite.height() / ratio / 2.0) * ratio) / ratio
    painter.drawImage(QPointF(x, y), sprite)


def _sprite(wanted: Request, angle_deg: float, theme: Theme, ratio: float, *, halo: bool) -> QImage:
    a = math.radians(angle_deg)
    rim = 2.0 * _HALO_PX * theme.scale
    width = abs(wanted.width * math.cos(a)) + abs(wanted.height * math.sin(a)) + rim
    height = abs(wanted.width * math.sin(a)) + abs(wanted.height * math.cos(a)) + rim
    made = QImage(math.ceil(width * ratio), math.ceil(height * ratio), QImage.Format.Format_ARGB32_Premultiplied)
    made.setDevicePixelRatio(ratio)
    made.fill(Qt.GlobalColor.transparent)
    painter = QPainter(made)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(made.width() / ratio / 2.0, made.height() / ratio / 2.0)
    painter.rotate(angle_deg)
    _paint_lines(painter, wanted, theme, halo=False)
    painter.end()
    if halo:
        _add_halo(made, colour(theme, "ground"), _HALO_PX / 2.0 * theme.scale * ratio)
    return made


def _add_halo(picture: QImage, ground: QColor, radius_px: float) -> None:
    """Lay a rim of ground under what is painted: the letters' own cover, spread by a disc (stroking takes 50 times)."""
    pixels = np.frombuffer(picture.bits(), dtype=np.uint8).reshape(picture.height(), -1, 4)[:, : picture.width()]
    reach = math.ceil(radius_px)
    padded = np.pad(pixels[..., 3].astype(np.float32), reach)
    height, width = pixels.shape[:2]
    cover = np.zeros((height, width), dtype=np.float32)
    for down in range(-reach, reach + 1):
        for across in range(-reach, reach + 1):
            # Whole inside the disc, falling off over one px at its edge.
            weight = min(1.0, radius_px + 0.5 - math.hypot(down, across))
            if weight > 0.0:
                shifted = padded[reach + down : reach + down + height, reach + across : reach + across + width]
                np.maximum(cover, weight * shifted, out=cover)
    beneath = cover * (1.0 - pixels[..., 3] / np.float32(255.0))
    for channel, value in enumerate(
        (ground.blueF(), ground.greenF(), ground.redF(), 1.0)
    ):  # as little-endian ARGB lies
        pixels[..., channel] = np.rint(pixels[..., channel] + beneath * value).astype(np.uint8)


_TURNS_PER_DEG = 2.0
_MOST_SPRITES = 2000
_sprites: dict[tuple[object, ...], QImage] = {}
