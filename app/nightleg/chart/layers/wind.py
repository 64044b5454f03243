"""The wind held: an arrow the way it blows, with its name."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtGui import QPainter

from nightleg.chart.fonts import text_width_px
from nightleg.chart.labels import Request, around
from nightleg.chart.layers.base import Layer
from nightleg.chart.layers.track import CURRENT_RUNS, OPEN_RUNS
from nightleg.chart.lettering import style, write
from nightleg.chart.paths import path
from nightleg.chart.pens import colour, pen
from nightleg.chart.symbols import arrow_head

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_ARROW_PX = 46.0


class WindLayer(Layer):
    """Arrow and words as one block near the track, wherever there is room."""

    name = "wind"
    title = "Wind"
    z = 75

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """The block where the placer put it."""
        wind, found, theme = sheet.scene.wind, sheet.found("wind"), sheet.theme
        if wind is None or found is None:
            return
        scale, box = theme.scale, found.box
        lettering = style(theme, "ink", small=True)
        baseline = box.y + box.height / 2.0 - 6.0 * scale - 0.21 * lettering.px
        write(painter, box.x, baseline, wind.text, lettering, theme, align=0)
        toward_deg = sheet.view.direction_deg(wind.position, wind.from_deg + 180.0)
        a = math.radians(toward_deg)
        half = _ARROW_PX * scale / 2.0
        dx, dy = math.sin(a) * half, -math.cos(a) * half
        middle_y = box.y - box.height / 2.0 + (6.0 + _span(toward_deg) / 2.0) * scale
        shaft = np.array(((box.x - dx, middle_y - dy), (box.x + dx * 0.8, middle_y + dy * 0.8)))
        painter.strokePath(path([shaft]), pen(theme, "wind"))
        painter.fillPath(arrow_head(box.x + dx, middle_y + dy, toward_deg, 13.0 * scale), colour(theme, "ink"))

    def labels(self, sheet: Sheet) -> Iterable[Request]:
        """Room for the block."""
        wind, theme = sheet.scene.wind, sheet.theme
        if wind is None:
            return
        anchors = _anchors(sheet)
        lettering = style(theme, "ink", small=True)
        width = max(text_width_px(wind.text, lettering.px), _ARROW_PX * theme.scale)
        toward_deg = sheet.view.direction_deg(wind.position, wind.from_deg + 180.0)
        height = (_span(toward_deg) + 20.0) * theme.scale + lettering.px * 0.94
        places = [box for x, y in anchors for box in around(x, y, width, height, 24.0 * theme.scale, 180.0)]
        yield Request((), width, height, tuple(places), 50.0, key="wind", step=0.1)


def _anchors(sheet: Sheet) -> list[tuple[float, float]]:
    """Points of the current track in the frame, from its middle outward."""
    runs = [*sheet.lines(CURRENT_RUNS), *sheet.lines(OPEN_RUNS)]
    if not runs:
        return []
    longest = max(runs, key=lambda run: float(np.hypot(*(run[-1] - run[0]))))
    length = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(longest, axis=0).T))))
    at = np.array((0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)) * length[-1]
    x, y = (np.interp(at, length, longest[:, axis]).tolist() for axis in (0, 1))
    return list(zip(x, y, strict=True))


def _span(toward_deg: float) -> float:
    """Height that the arrow takes up, px at scale 1."""
    return max(14.0, _ARROW_PX * abs(math.cos(math.radians(toward_deg))) + 6.0)
