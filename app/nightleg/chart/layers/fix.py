"""Fixes: the symbol of their kind, time and position."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from itertools import chain
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtGui import QPainter

from nightleg.chart.box import Box
from nightleg.chart.labels import Request, around, outside
from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.lettering import request, style
from nightleg.chart.marks import FixMark, Symbol
from nightleg.chart.symbols import FIX_PX, paint_fix
from nightleg.chart.themes import Theme
from nightleg.chart.viewport import Rect
from nightleg.fix.ellipse import outline

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_WORDS: dict[Symbol, str] = {
    "fix": "fix",
    "estimated": "most probable position",
    "known": "fix by other means",
}


class FixLayer(Layer):
    """The symbols, the current one strong."""

    name = "fix"
    title = "Fixes"
    z = 70

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """Earlier fixes first."""
        for fix, x, y in sorted(_shown(sheet), key=lambda item: item[0].current):
            paint_fix(painter, fix.symbol, x, y, sheet.theme, strong=fix.current)

    def obstacles(self, sheet: Sheet) -> Iterable[Box]:
        """The symbols."""
        side = 2.0 * (FIX_PX * 1.2 + 1.0) * sheet.theme.scale
        return [Box(x, y, side, side) for _, x, y in _shown(sheet)]

    def labels(self, sheet: Sheet) -> Iterable[Request]:
        """Time, and for the current fix its position."""
        theme = sheet.theme
        for fix, x, y in _shown(sheet):
            time = (fix.text, style(theme, "fix", bold=True))
            place = (fix.detail, style(theme, "fix", small=True))
            yield request(
                (time, place) if fix.current else (time,),
                _places(sheet, fix, x, y),
                90.0 if fix.current else 55.0,
                key=f"fix {fix.id}",
                align=-1,
                step=0.35,
            )

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """Each symbol that is on the picture."""
        there = {fix.symbol for fix, _, _ in _shown(sheet)}
        for symbol, words in _WORDS.items():
            if symbol in there:
                yield LegendEntry(words, _Sample(symbol), 30, lettered=True)


def _places(sheet: Sheet, fix: FixMark, x: float, y: float) -> Callable[[float, float], tuple[Box, ...]]:
    """Outside the ellipse where that is not far, else beside the symbol."""
    scale = sheet.theme.scale
    if fix.ellipse95 is None:
        return partial(around, x, y, clear_px=(FIX_PX + 6.0) * scale, first_deg=135.0)
    ellipse = fix.ellipse95

    def find() -> Array:
        points = np.column_stack(sheet.view.to_px(*outline(*fix.position, ellipse, 49)))
        return points[np.isfinite(points).all(axis=1)]

    shape = sheet.remembered(f"about {fix.id}", (fix.position, ellipse), find)
    if len(shape) == 0:
        return partial(around, x, y, clear_px=(FIX_PX + 6.0) * scale, first_deg=135.0)
    return partial(_about, shape, x, y, scale)


def _about(shape: Array, x: float, y: float, scale: float, width: float, height: float) -> tuple[Box, ...]:
    """Places just outside the ellipse, then further off, where there may be room between the lines."""
    rings = (
        outside(shape, x, y, width, height, clear * scale, 135.0, (123.0 + clear) * scale) for clear in (7.0, 26.0)
    )
    return tuple(chain.from_iterable(rings))


@dataclass(frozen=True)
class _Sample:
    """Paints one symbol."""

    symbol: Symbol

    def __call__(self, painter: QPainter, rect: Rect, theme: Theme) -> None:
        x, y = (rect.left + rect.right) / 2.0, (rect.top + rect.bottom) / 2.0
        paint_fix(painter, self.symbol, x, y, theme, strong=False)


def _shown(sheet: Sheet) -> list[tuple[FixMark, float, float]]:
    def find() -> list[tuple[FixMark, float, float]]:
        frame = sheet.view.frame.grown(-2.0)
        fixes = sheet.scene.fixes
        points = sheet.view.points([fix.position for fix in fixes])
        return [(fix, x, y) for fix, (x, y) in zip(fixes, points, strict=True) if frame.holds(x, y)]

    return sheet.remembered("fixes", sheet.scene.fixes, find)
