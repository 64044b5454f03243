"""Title, time, projection and scale above the chart, the caution below it, where the picture has margins for them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QPainter

from nightleg.chart.fonts import text_width_px
from nightleg.chart.labels import Style
from nightleg.chart.layers.base import Layer
from nightleg.chart.lettering import style, write
from nightleg.chart.scene import CAUTION

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_INCH_M = 0.0254
_NM_M = 1852.0


class TitleLayer(Layer):
    """Words around the chart."""

    name = "title"
    z = 130

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """One line above, one below."""
        view, theme, scene = sheet.view, sheet.theme, sheet.scene
        scale, frame = theme.scale, view.frame
        if view.margins.top >= 56.0 * scale:
            y = 34.0 * scale
            big = Style("ink", theme.title_px * scale, bold=True)
            plain = Style("ink", theme.title_px * scale * 0.8)
            right_text = projection_note(sheet)
            small = style(theme, "muted", small=True)
            room = frame.width - 24.0 * scale
            note_px = text_width_px(right_text, small.px)
            when_px = text_width_px(scene.when, plain.px)
            title = shortened(scene.title or "Flight", big, room - when_px - 24.0 * scale)
            write(painter, frame.left, y, title, big, theme, halo=False)
            x = frame.left + text_width_px(title, big.px, bold=True) + 18.0 * scale
            write(painter, x, y, scene.when, plain, theme, halo=False)
            if x + when_px + 30.0 * scale + note_px < frame.right:
                write(painter, frame.right, y, right_text, small, theme, halo=False, align=1)
        if view.margins.bottom >= 34.0 * scale:
            small = style(theme, "muted", small=True)
            y = view.height_px - 10.0 * scale
            write(painter, frame.right, y, CAUTION, small, theme, halo=False, align=1)


def shortened(text: str, lettering: Style, room_px: float) -> str:
    """The text, cut with an ellipsis where it would be wider than the room."""
    if text_width_px(text, lettering.px, bold=lettering.bold) <= room_px:
        return text
    while text and text_width_px(text + "…", lettering.px, bold=lettering.bold) > room_px:
        text = text[:-1]
    return text.rstrip() + "…"


def projection_note(sheet: Sheet) -> str:
    """Projection and scale in words; the scale holds for a picture shown at 96 px to the inch."""
    metres_per_px = sheet.view.true_nm_per_px() * _NM_M
    ratio = metres_per_px / (_INCH_M / 96.0)
    digits = len(str(int(ratio))) - 2
    rounded = round(ratio / 10**digits) * 10**digits if digits > 0 else round(ratio)
    grouped = f"{rounded:,}".replace(",", "\N{NO-BREAK SPACE}")
    return f"{sheet.view.projection.name}  ·  about 1 : {grouped}"
