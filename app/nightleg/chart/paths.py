"""From runs of places to painter paths: projected together, clipped to the view, handed to Qt in one piece.

No loop runs over points. Clipping keeps what Qt has to walk through (dashes above all) to what is seen.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any

import numpy as np
import shiboken6
from numpy.typing import NDArray
from PySide6.QtCore import QByteArray, QDataStream
from PySide6.QtGui import QPaintEngine, QPainter, QPainterPath, QPen, QPolygonF

from nightleg.chart.viewport import Rect, Viewport
from nightleg.units.positions import Position

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Bundle:
    """Runs of places one after another, parted by NaN; degrees.

    Longitudes run on across 180° within a run; `anchors` holds the middle longitude of the run a point belongs to.
    """

    lats: Array
    lons: Array
    anchors: Array

    def __bool__(self) -> bool:
        return bool(self.lats.size)

    @property
    def numbers(self) -> NDArray[np.int64]:
        """For each point the number of its run, from 0."""
        return np.cumsum(np.isnan(self.anchors))

    @property
    def n_runs(self) -> int:
        """How many runs there are."""
        return int(np.count_nonzero(np.isnan(self.anchors)))


def bundle(runs: Iterable[tuple[Any, Any]]) -> Bundle:
    """Runs given as latitudes and longitudes, put one after another. Points without a place part a run."""
    places = [(np.asarray(lat, dtype=np.float64), np.asarray(lon, dtype=np.float64)) for lat, lon in runs]
    places = [(lat, lon) for lat, lon in places if lat.size]
    if not places:
        return Bundle(np.empty(0), np.empty(0), np.empty(0))
    return _bundle([lat for lat, _ in places], [lon for _, lon in places], [lat.size for lat, _ in places])


def _bundle(lats: list[Array], lons: list[Array], sizes: list[int]) -> Bundle:
    """A bundle of runs of those sizes; their points may lie in one array or in several."""
    if len(sizes) == 1:
        return _single(lats[0], lons[0])
    ends: NDArray[np.intp] = np.cumsum(sizes)
    lat, lon = np.concatenate(lats), np.concatenate(lons)
    with np.errstate(invalid="ignore"):
        jumps = np.abs(lon[1:] - lon[:-1]) > 180.0
    jumps[ends[:-1] - 1] = False
    if jumps.any():
        for run in np.split(lon, ends[:-1]):  # views: changed in place
            good = np.isfinite(run)
            run[good] = np.unwrap(run[good], period=360.0)
    good = np.isfinite(lon)
    starts = ends - np.array(sizes, dtype=np.intp)
    counts = np.maximum(np.add.reduceat(good, starts, dtype=np.intp), 1)
    middles = np.add.reduceat(np.where(good, lon, 0.0), starts) / counts
    made = np.full((3, lat.size + ends.size), np.nan)
    within = np.arange(lat.size) + np.repeat(np.arange(ends.size), sizes)
    made[0, within], made[1, within], made[2, within] = lat, lon, np.repeat(middles, sizes)
    return Bundle(made[0], made[1], made[2])


def _single(lat: Array, lon: Array) -> Bundle:
    """A bundle of one run."""
    made = np.full((3, lat.size + 1), np.nan)
    made[0, :-1], made[1, :-1] = lat, lon
    run = made[1, :-1]
    good = np.isfinite(run)
    kept = run if good.all() else run[good]
    if kept.size and (np.abs(kept[1:] - kept[:-1]) > 180.0).any():
        kept = np.unwrap(kept, period=360.0)
        run[good] = kept
    made[2, :-1] = kept.sum() / max(kept.size, 1)
    return Bundle(made[0], made[1], made[2])


def joined(bundles: Sequence[Bundle]) -> Bundle:
    """Bundles one after another."""
    if len(bundles) == 1:
        return bundles[0]
    return Bundle(*(np.concatenate([getattr(b, name) for b in bundles]) for name in ("lats", "lons", "anchors")))


def of_runs(runs: Iterable[Sequence[Position]]) -> Bundle:
    """A bundle of runs of positions."""
    runs = [run for run in runs if run]
    sizes = [len(run) for run in runs]
    flat = np.fromiter(chain.from_iterable(chain.from_iterable(runs)), np.float64, 2 * sum(sizes)).reshape(-1, 2)
    return _bundle([flat[:, 0]], [flat[:, 1]], sizes) if sizes else bundle(())


def to_px(view: Viewport, places: Bundle) -> Array:
    """Picture coordinates (n, 2) of a bundle; NaN parts runs and stands for what cannot be shown."""
    turns = np.round((places.anchors - view.projection.lon_0_deg) / 360.0)
    x, y = view.to_px(places.lats, places.lons - 360.0 * turns, wrap=False)
    return np.column_stack((x, y))


def clip_lines(points: Array, rect: Rect, numbers: NDArray[np.int64] | None = None) -> tuple[list[Array], list[int]]:
    """The parts of runs (n, 2), parted by NaN, that lie in a rectangle (Liang and Barsky's method).

    With them, for each part the one of `numbers` (n) that its first point has (0 where none are given).
    """
    if len(points) < 2:
        return [], []
    low, high = np.fmin.reduce(points, axis=0), np.fmax.reduce(points, axis=0)
    if not (high[0] >= rect.left and low[0] <= rect.right and high[1] >= rect.top and low[1] <= rect.bottom):
        return [], []
    if low[0] >= rect.left and high[0] <= rect.right and low[1] >= rect.top and high[1] <= rect.bottom:
        return _whole(points, numbers)
    start, step = points[:-1], points[1:] - points[:-1]
    t0, t1 = np.zeros(len(start)), np.ones(len(start))
    alive = np.isfinite(step).all(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        for axis, low, high in ((0, rect.left, rect.right), (1, rect.top, rect.bottom)):
            a, d = start[:, axis], step[:, axis]
            enter, leave = (low - a) / d, (high - a) / d
            flat = d == 0.0
            alive &= ~flat | ((a >= low) & (a <= high))
            first, last = np.minimum(enter, leave), np.maximum(enter, leave)
            t0 = np.where(flat, t0, np.maximum(t0, first))
            t1 = np.where(flat, t1, np.minimum(t1, last))
        alive &= t0 < t1
    kept = np.flatnonzero(alive)
    if kept.size == 0:
        return [], []
    t0, t1, start, step = t0[kept], t1[kept], start[kept], step[kept]
    fresh = np.ones(kept.size, dtype=bool)
    fresh[1:] = (np.diff(kept) != 1) | (t0[1:] > 0.0) | (t1[:-1] < 1.0)
    places = np.arange(kept.size) + np.cumsum(fresh)
    out = np.empty((kept.size + int(fresh.sum()), 2))
    out[places] = start + t1[:, None] * step
    firsts = places[fresh] - 1
    out[firsts] = (start + t0[:, None] * step)[fresh]
    owners = [0] * firsts.size if numbers is None else numbers[kept[fresh]].tolist()
    return np.split(out, firsts[1:]), owners


def _whole(points: Array, numbers: NDArray[np.int64] | None) -> tuple[list[Array], list[int]]:
    """All runs of two points and more, and their numbers; see `clip_lines`."""
    good = np.isfinite(points).all(axis=1)
    edges = np.flatnonzero(np.diff(good, prepend=False, append=False)).tolist()
    spans = [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a >= 2]
    owners = [0 if numbers is None else int(numbers[a]) for a, _ in spans]
    return [points[a:b] for a, b in spans], owners


def clip_polygon(points: Array, rect: Rect) -> Array:
    """The part of a polygon (n, 2) inside a rectangle (Sutherland and Hodgman's method); empty if there is none.

    Where the polygon leaves the rectangle and comes back, the outline runs along the rectangle's edge.
    """
    if len(points) == 0:
        return points
    low, high = points.min(axis=0), points.max(axis=0)
    if low[0] >= rect.left and high[0] <= rect.right and low[1] >= rect.top and high[1] <= rect.bottom:
        return points
    for axis, limit, sign in ((0, rect.left, 1.0), (0, rect.right, -1.0), (1, rect.top, 1.0), (1, rect.bottom, -1.0)):
        if len(points) == 0:
            break
        over = sign * (points[:, axis] - limit)
        inside = over >= 0.0
        if inside.all():
            continue
        before, over_before = np.roll(points, 1, axis=0), np.roll(over, 1)
        crossing = inside != (over_before >= 0.0)
        with np.errstate(divide="ignore", invalid="ignore"):
            cut = before + (over_before / (over_before - over))[:, None] * (points - before)
        both = np.stack((cut, points), axis=1).reshape(-1, 2)
        points = both[np.column_stack((crossing, inside)).ravel()]
    return points


def thinned(runs: list[Array], error_px: float = 0.12) -> tuple[Array, NDArray[np.bool_]]:
    """Points (n, 2) of runs without those that a chord passes within `error_px`, and which of them begin a run.

    Bends are kept by their own curvature: a chord over an arc of length s that turns by t bows out by s·t/8.
    """
    points = np.concatenate(runs)
    if len(points) == 2 * len(runs):  # nothing but single strokes
        return points, np.arange(len(points)) % 2 == 0
    ends = np.cumsum([len(run) for run in runs])
    first, last = np.zeros(len(points), dtype=bool), np.zeros(len(points), dtype=bool)
    first[0] = True
    first[ends[:-1]] = True
    last[ends - 1] = True
    keep = first | last
    step = points[1:] - points[:-1]
    length = np.hypot(step[:, 0], step[:, 1])
    heading = np.arctan2(step[:, 1], step[:, 0])
    turn = np.abs(np.mod(np.diff(heading) + np.pi, 2.0 * np.pi) - np.pi)
    spent = np.cumsum(np.sqrt(0.5 * (length[1:] + length[:-1]) * turn / (8.0 * error_px)))
    keep[1:-1] |= np.diff(np.floor(spent), prepend=0.0) > 0.0
    return points[keep], first[keep]


def smooth(runs: list[Array]) -> list[Array]:
    """Runs of two points and more, thinned as far as nobody sees it."""
    runs = [run for run in runs if len(run) >= 2]
    if not runs:
        return []
    points, first = thinned(runs)
    return np.split(points, np.flatnonzero(first)[1:])


def stroke(painter: QPainter, runs: Sequence[Array], pen: QPen) -> None:
    """Stroke runs (n, 2) px of two points and more, `smooth` where they have many.

    Qt's raster engine makes one outline of a wide stroke in one piece, and where many lines cross, that takes ten
    times as long as the same lines one by one.
    """
    if not runs:
        return
    if painter.paintEngine().type() == QPaintEngine.Type.Raster and pen.widthF() > 1.0:
        painter.setPen(pen)
        for run in runs:
            painter.drawPolyline(polygon(run))
    else:
        painter.strokePath(path(runs), pen)


def split(points: Array) -> list[Array]:
    """Runs parted by NaN, as separate arrays of two points and more."""
    bad = np.flatnonzero(~np.isfinite(points).all(axis=1))
    runs = np.split(points, bad)
    return [run for run in (r[~np.isnan(r).any(axis=1)] for r in runs) if len(run) >= 2]


def polygon(points: Array) -> QPolygonF:
    """Points (n, 2) as Qt's polygon, copied in one go."""
    shape = QPolygonF()
    shape.resize(len(points))
    if len(points):
        # The stubs know the address alone; size and leave to write follow it at run time.
        pointer: Any = shiboken6.VoidPtr
        memory = np.frombuffer(pointer(shape.data(), 16 * len(points), True), dtype=np.float64)
        memory.reshape(-1, 2)[:] = points
    return shape


def path(runs: Iterable[Array], *, closed: bool = False) -> QPainterPath:
    """One painter path of many runs; closed runs return to their first point."""
    runs = [np.concatenate((run, run[:1])) if closed else run for run in runs if len(run) >= 2]
    if not runs:
        return QPainterPath()
    first = np.zeros(sum(len(run) for run in runs), dtype=bool)
    first[np.cumsum([0, *(len(run) for run in runs[:-1])])] = True
    return _joined(np.concatenate(runs), first)


def _joined(points: Array, first: NDArray[np.bool_]) -> QPainterPath:
    """A painter path of points (n, 2), a new run where `first`, handed to Qt in one piece in its own serial form.

    That form is documented with QDataStream: the number of elements, each with its kind (0 move, 1 line) and place,
    the start of the last run and the rule for filling; numbers have their high byte first.
    """
    elements = np.empty(len(points), dtype=[("kind", ">i4"), ("x", ">f8"), ("y", ">f8")])
    elements["kind"] = ~first
    elements["x"], elements["y"] = points[:, 0], points[:, 1]
    ends = np.array((np.flatnonzero(first)[-1], 0), dtype=">i4")
    data = np.array(len(points), dtype=">i4").tobytes() + elements.tobytes() + ends.tobytes()
    made = QPainterPath()
    stream = QDataStream(QByteArray(data))
    stream >> made
    return made
