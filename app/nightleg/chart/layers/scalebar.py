"""A scale bar in nautical miles, true at the middle of the chart."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtGui import QPainter, QPen

from nightleg.chart.box import Box, box_of
from nightleg.chart.corners import corner
from nightleg.chart.fonts import text_width_px
from nightleg.chart.layers.base import Layer
from nightleg.chart.lettering import style, write
from nightleg.chart.paths import path
from nightleg.chart.pens import colour, pen
from nightleg.chart.viewport import Rect

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_LENGTHS_NM = tuple(m * 10.0**e for e in range(-3, 5) for m in (1, 2, 5))
_WANTED_PX = 240.0


class ScaleBarLayer(Layer):
    """Two steps with figures, the first halved."""

    name = "scalebar"
    title = "Scale bar"
    z = 90
    is_panel = True

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """The bar in its corner."""
        theme, scale = sheet.theme, sheet.theme.scale
        step_nm, step_px = _step(sheet)
        rect = _rect(sheet)
        lettering = style(theme, "ink", small=True)
        x, y = rect.left + 16.0 * scale, rect.bottom - 12.0 * scale
        marks = np.array((0.0, 0.5, 1.0, 2.0)) * step_px
        heights = np.array((8.0, 5.0, 8.0, 8.0)) * scale
        ticks = [np.array(((x + m, y), (x + m, y - h))) for m, h in zip(marks.tolist(), heights.tolist(), strict=True)]
        bar, line = path([np.array(((x, y), (x + 2.0 * step_px, y))), *ticks]), pen(theme, "scale")
        rim = QPen(colour(theme, "ground"), line.widthF() + 4.0 * scale)  # no panel: lines run on behind it
        painter.strokePath(bar, rim)
        painter.strokePath(bar, line)
        for mark, value in ((0.0, 0.0), (step_px, step_nm), (2.0 * step_px, 2.0 * step_nm)):
            text = f"{value:g}"
            write(painter, x + mark, y - 13.0 * scale, text, lettering, theme, align=0)
            if mark == 2.0 * step_px:
                right = x + mark + text_width_px(text, lettering.px) / 2.0
                write(painter, right, y - 13.0 * scale, " NM", lettering, theme)

    def piece(self, sheet: Sheet) -> tuple[object, ...] | None:
        """The steps and where they stand."""
        return _step(sheet), _rect(sheet)

    def obstacles(self, sheet: Sheet) -> Iterable[Box]:
        """The whole bar."""
        return [box_of(_rect(sheet))]


def _step(sheet: Sheet) -> tuple[float, float]:
    """Length of one of the two steps, NM and px."""
    px_per_nm = 1.0 / sheet.view.true_nm_per_px()
    wanted = min(_WANTED_PX * sheet.theme.scale, sheet.view.frame.width / 3.0) / 2.0
    fitting = [length for length in _LENGTHS_NM if length * px_per_nm <= wanted]
    step_nm = fitting[-1] if fitting else _LENGTHS_NM[0]
    return step_nm, step_nm * px_per_nm


def size(sheet: Sheet) -> tuple[float, float]:
    """Width and height of the bar with its figures, px."""
    _, step_px = _step(sheet)
    scale = sheet.theme.scale
    return 2.0 * step_px + 58.0 * scale, 40.0 * scale


def _rect(sheet: Sheet) -> Rect:
    return corner(sheet, "scalebar", *size(sheet))
