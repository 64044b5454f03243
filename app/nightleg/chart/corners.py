"""Places at the edges for legend, overview and scale bar: each takes the one with the least drawn in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nightleg.chart.box import box_of
from nightleg.chart.viewport import Rect

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_INSET_PX = 14.0
# Shares of the way from left to right and from top to bottom, the most usual place first.
_CORNERS = {"bl": (0.0, 1.0), "tl": (0.0, 0.0), "tr": (1.0, 0.0), "br": (1.0, 1.0)}
_ORDER: dict[str, tuple[tuple[float, float], ...]] = {
    "legend": tuple(_CORNERS[c] for c in ("bl", "tl", "tr", "br")),
    "overview": tuple(_CORNERS[c] for c in ("tr", "bl", "br", "tl")),
    "scalebar": tuple((x, y) for y in (1.0, 0.0) for x in (1.0, 0.85, 0.7, 0.55, 0.4, 0.25, 0.0)),
}
_STAY = 0.03  # by so much another place must be better than the one it had
_RANK_COST = {"legend": 0.012, "overview": 0.012, "scalebar": 0.003}


def corner(sheet: Sheet, name: str, width: float, height: float) -> Rect:
    """The rectangle for the legend, the overview or the scale bar, which choose in this order."""
    return sheet.kept(f"corner {name}", lambda: _choose(sheet, name, width, height))


def _choose(sheet: Sheet, name: str, width: float, height: float) -> Rect:
    frame, inset = sheet.view.frame, _INSET_PX * sheet.theme.scale
    earlier = list(_ORDER)[: list(_ORDER).index(name)]
    size = sheet.view.width_px, sheet.view.height_px, sheet.theme
    before = sheet.memory.last(f"corner {name}", size, -1)
    if sheet.quick and before >= 0:
        return _at(frame, _ORDER[name][before], width, height, inset)
    taken = [box for layer in sheet.layers if layer.name in earlier for box in layer.obstacles(sheet)]
    symbols = [box for layer in sheet.layers if layer.name not in _ORDER for box in layer.obstacles(sheet)]
    best, best_cost, chosen = _at(frame, _ORDER[name][0], width, height, inset), float("inf"), 0
    for rank, where in enumerate(_ORDER[name]):
        rect = _at(frame, where, width, height, inset)
        box = box_of(rect)
        if any(box.meets(other) for other in taken):
            continue
        covered = sum(box.meets(symbol) for symbol in symbols)
        cost = rank * _RANK_COST[name] + sheet.ink.share_under(box) + 0.2 * covered
        if rank == before:
            cost -= _STAY
        if cost < best_cost:
            best, best_cost, chosen = rect, cost, rank
    sheet.memory.note(f"corner {name}", size, chosen)
    return best


def _at(frame: Rect, where: tuple[float, float], width: float, height: float, inset: float) -> Rect:
    left = frame.left + inset + where[0] * (frame.width - 2.0 * inset - width)
    top = frame.top + inset + where[1] * (frame.height - 2.0 * inset - height)
    return Rect(left, top, left + width, top + height)
