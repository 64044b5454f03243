"""Placing labels: none lies on another, none runs off the edge, none covers a symbol.

Every layer asks for its labels with a list of places it would like, best first; one placer decides for all. Boxes may
be turned (labels along lines). The order of asking does not matter beyond its use as the last tie break, so the same
picture always comes out the same. What finds no room is left out, least important first.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from nightleg.chart.box import Box
from nightleg.chart.ink import InkMap
from nightleg.chart.themes import Role
from nightleg.chart.viewport import Rect

Array = NDArray[np.float64]

_GAP_PX = 2.0  # between a label and anything it must keep clear of
_INK_COST = 3.5  # per tenth of the box covered with ink
_MORE_INK = 0.04  # of its box, that a label bears before it looks for another place
_TURNS_DEG = np.array((0, 45, -45, 90, -90, 135, -135, 180, 22, -22, 67, -67, 112, -112, 157, -157), dtype=np.float64)


class Style(Struct, frozen=True):
    """How a label is lettered."""

    role: Role
    px: float
    bold: bool = False


class Request(Struct, frozen=True):
    """A label wanted: its words (nothing for a mark that its layer paints), size, places in order, importance.

    `lines` with their styles stand one under the other, `align` -1 flush left, 0 centred. `key` names it for the layer
    that asked. `step` is what each place further down the list costs, against 3.5 for ink under a tenth of the box.
    `shorter` stands instead where there is no room for it.
    """

    lines: tuple[tuple[str, Style], ...]
    width: float
    height: float
    places: tuple[Box, ...]
    priority: float
    key: str = ""
    align: int = 0
    step: float = 1.0
    shorter: Request | None = None


class Placed(Struct, frozen=True):
    """A label and the place it got."""

    request: Request
    box: Box
    rank: int = 0  # which of its places that is
    ink: float = 0.0  # share of it that lines ran through when it was chosen


class Held(NamedTuple):
    """Which of how many places a label has, and how much of it was ink when it was chosen."""

    rank: int
    ink: float
    of: int


_NOTHING: Mapping[str, Held] = MappingProxyType({})


def place(
    requests: Sequence[Request],
    frame: Rect,
    obstacles: Sequence[Box],
    ink: InkMap,
    before: Mapping[str, Held] = _NOTHING,
) -> tuple[Placed, ...]:
    """Give every label the best place that is free, the most important first; leave out what has none.

    A label that stood in one of its places before keeps it as long as it is free and no more lines run through it, so
    that labels do not jump while things move.
    """
    taken = _Taken(frame)
    for obstacle in obstacles:
        taken.add(obstacle)
    placed = []
    for request in sorted(requests, key=lambda r: -r.priority):
        found = _held(request, before.get(request.key), taken, ink) or _best(request, taken, ink)
        if found is None and request.shorter is not None:
            found = _best(request.shorter, taken, ink)
        if found is not None:
            taken.add(found.box)
            placed.append(found)
    return tuple(placed)


def _held(request: Request, held: Held | None, taken: _Taken, ink: InkMap) -> Placed | None:
    """The place it had, if that still is one."""
    if held is None or held.of != len(request.places):
        return None
    box = request.places[held.rank]
    if not taken.free(box.grown(_GAP_PX)):
        return None
    share = ink.share_under(box)
    return Placed(request, box, held.rank, held.ink) if share <= held.ink + _MORE_INK else None


def _best(request: Request, taken: _Taken, ink: InkMap) -> Placed | None:
    best, best_cost = None, math.inf
    for rank, box in enumerate(request.places):
        if rank * request.step >= best_cost:
            break
        if not taken.free(box.grown(_GAP_PX)):
            continue
        share = ink.share_under(box)
        cost = rank * request.step + 10.0 * _INK_COST * share
        if cost < best_cost:
            best, best_cost = Placed(request, box, rank, share), cost
    return best


def held(labels: Iterable[Placed]) -> dict[str, Held]:
    """Where labels stand, for the next time: those that have a key."""
    return {p.request.key: Held(p.rank, p.ink, len(p.request.places)) for p in labels if p.request.key}


class _Taken:
    """Boxes that are taken, found again by squares of the picture."""

    _SQUARE_PX = 64.0

    def __init__(self, frame: Rect) -> None:
        self._frame = frame
        self._squares: dict[tuple[int, int], list[Box]] = {}

    def _keys(self, bounds: Rect) -> list[tuple[int, int]]:
        x0, y0, x1, y1 = (math.floor(side / self._SQUARE_PX) for side in bounds)
        return [(x, y) for x in range(x0, x1 + 1) for y in range(y0, y1 + 1)]

    def add(self, box: Box) -> None:
        bounds = box.bounds()
        if all(map(math.isfinite, bounds)) and self._frame.grown(1000.0).holds(box.x, box.y):
            for key in self._keys(bounds):
                self._squares.setdefault(key, []).append(box)

    def free(self, box: Box) -> bool:
        bounds, frame = box.bounds(), self._frame
        inside = (
            bounds.left >= frame.left
            and bounds.top >= frame.top
            and bounds.right <= frame.right
            and bounds.bottom <= frame.bottom
        )
        # A place that is not finite is not inside.
        return inside and not any(
            box.meets(other) for key in self._keys(bounds) for other in self._squares.get(key, ())
        )


def around(
    x: float, y: float, width: float, height: float, clear_px: float, first_deg: float = 45.0
) -> tuple[Box, ...]:
    """Places around a point at a distance that keeps `clear_px` free, from a direction (from up clockwise) on.

    The directions then alternate outward from the first; a second, wider ring follows.
    """
    boxes = []
    for ring in (1.0, 1.9):
        for turn in (0, 45, -45, 90, -90, 135, -135, 180):
            a = math.radians(first_deg + turn)
            ux, uy = math.sin(a), -math.cos(a)
            reach = clear_px * ring
            boxes.append(Box(x + ux * (reach + width / 2.0), y + uy * (reach + height / 2.0), width, height))
    return tuple(boxes)


def outside(
    shape: Array, x: float, y: float, width: float, height: float, clear_px: float, first_deg: float, limit_px: float
) -> tuple[Box, ...]:
    """Places just outside a closed shape (n, 2) about (x, y), then those around the point itself.

    Directions in which the shape reaches beyond `limit_px` have no place outside it.
    """
    boxes = []
    directions = np.radians(first_deg + _TURNS_DEG)
    right, down = np.sin(directions), -np.cos(directions)
    # How far the box's middle must be moved for the box to leave the shape behind in each direction.
    beyond = np.max((shape[:, :1] - x) * right + (shape[:, 1:] - y) * down, axis=0) + clear_px
    for ux, uy, reach in zip(right.tolist(), down.tolist(), beyond.tolist(), strict=True):
        if reach <= limit_px:
            away = reach + abs(ux) * width / 2.0 + abs(uy) * height / 2.0
            boxes.append(Box(x + ux * away, y + uy * away, width, height))
    return (*boxes, *around(x, y, width, height, clear_px * 2.0, first_deg))


def along(
    run: Array, width: float, height: float, clear_px: float, shares: Sequence[float] = (0.72, 0.28, 0.5)
) -> tuple[Box, ...]:
    """Places beside a run (n, 2) px, turned along it, at shares of its length, on either side; never upside down.

    Where the run bends too much for straight lettering there is no place.
    """
    lengths = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(run, axis=0).T))))
    total = float(lengths[-1])
    if total < width * 1.1:
        return ()
    middles = np.clip(np.multiply(shares, total), width / 2.0, total - width / 2.0)
    at = middles[:, None] + np.array((-width / 2.0, 0.0, width / 2.0))
    boxes = []
    for spots, heights in zip(
        np.interp(at, lengths, run[:, 0]).tolist(), np.interp(at, lengths, run[:, 1]).tolist(), strict=True
    ):
        dx, dy = spots[2] - spots[0], heights[2] - heights[0]
        chord = math.hypot(dx, dy)
        if chord < width * 0.97:
            continue
        if dx < 0.0 or (dx == 0.0 and dy > 0.0):
            dx, dy = -dx, -dy
        angle_deg = math.degrees(math.atan2(dy, dx))
        ux, uy = dy / chord, -dx / chord  # to the upper side of the lettering
        bow = abs((spots[1] - spots[0]) * ux + (heights[1] - heights[0]) * uy)
        away = clear_px + height / 2.0 + bow
        mid_x, mid_y = (spots[0] + spots[2]) / 2.0, (heights[0] + heights[2]) / 2.0
        for side in (1.0, -1.0):
            boxes.append(Box(mid_x + side * ux * away, mid_y + side * uy * away, width, height, angle_deg))
    return tuple(boxes)
