"""Corners of the chart for legend, scale bar and overview: each takes the one with the least drawn in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nightleg.chart.labels import box_of
from nightleg.chart.viewport import Rect

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_INSET_PX = 14.0
_ORDER = {
    "legend": ("bottom left", "top left", "top right", "bottom right"),
    "overview": ("top right", "bottom left", "bottom right", "top left"),
    "scalebar": ("bottom right", "bottom left", "top right", "top left", "bottom middle", "top middle"),
}


def corner(sheet: Sheet, name: str, width: float, height: float) -> Rect:
    """The rectangle for the legend, the overview or the scale bar, which choose in this order."""
    return sheet.kept(f"corner {name}", lambda: _choose(sheet, name, width, height))


def _choose(sheet: Sheet, name: str, width: float, height: float) -> Rect:
    frame, inset = sheet.view.frame, _INSET_PX * sheet.theme.scale
    earlier = list(_ORDER)[: list(_ORDER).index(name)]
    taken = [box for layer in sheet.layers if layer.name in earlier for box in layer.obstacles(sheet)]
    symbols = [box for layer in sheet.layers if layer.name not in _ORDER for box in layer.obstacles(sheet)]
    best, best_cost = _at(frame, _ORDER[name][0], width, height, inset), float("inf")
    for rank, where in enumerate(_ORDER[name]):
        rect = _at(frame, where, width, height, inset)
        box = box_of(rect)
        if any(box.meets(other) for other in taken):
            continue
        covered = sum(box.meets(symbol) for symbol in symbols)
        cost = rank * 0.012 + sheet.ink.share_under(box) + 0.2 * covered
        if cost < best_cost:
            best, best_cost = rect, cost
    return best


def _at(frame: Rect, where: str, width: float, height: float, inset: float) -> Rect:
    middle = (frame.left + frame.right - width) / 2.0
    left = frame.left + inset if "left" in where else middle if "middle" in where else frame.right - inset - width
    top = frame.top + inset if "top" in where else frame.bottom - inset - height
    return Rect(left, top, left + width, top + height)
