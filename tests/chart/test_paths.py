"""Clipping, thinning and handing over to Qt, against slow and plain ways to the same."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from nightleg.chart.paths import bundle, clip_lines, clip_polygon, path, polygon, split, thinned, to_px
from nightleg.chart.viewport import Rect, Viewport
from nightleg.earth.projection import Mercator

Array = NDArray[np.float64]
CIRCLES = ((50.0, 30.0, 20.0), (0.0, 0.0, 40.0), (100.0, 30.0, 50.0), (50.0, 30.0, 500.0), (300.0, 30.0, 20.0))
RECT = Rect(0.0, 0.0, 100.0, 60.0)


def _length(runs: list[Array]) -> float:
    return sum(float(np.hypot(*np.diff(run, axis=0).T).sum()) for run in runs)


def _length_inside(points: Array, steps: int = 4000) -> float:
    """Length inside the rectangle by walking each segment in small steps."""
    total = 0.0
    t = (np.arange(steps) + 0.5) / steps
    for a, b in pairwise(points):
        if np.isfinite(a).all() and np.isfinite(b).all():
            walk = a + t[:, None] * (b - a)
            inside = (walk[:, 0] >= 0) & (walk[:, 0] <= 100) & (walk[:, 1] >= 0) & (walk[:, 1] <= 60)
            total += float(np.hypot(*(b - a))) * float(inside.mean())
    return total


@pytest.mark.parametrize("seed", range(8))
def test_clipped_lines_have_the_length_that_is_inside(seed: int) -> None:
    random = np.random.default_rng(seed)
    points = random.uniform(-80, 180, (40, 2))
    points[random.integers(0, 40, 4)] = np.nan
    runs, _ = clip_lines(points, RECT)
    # Each of 39 segments is walked in 4 000 steps of at most 0.1 px, and crosses at most two edges.
    assert _length(runs) == pytest.approx(_length_inside(points), abs=39 * 0.1)
    for run in runs:
        assert run[:, 0].min() >= -1e-9 and run[:, 0].max() <= 100 + 1e-9
        assert run[:, 1].min() >= -1e-9 and run[:, 1].max() <= 60 + 1e-9


def test_a_run_stays_in_one_piece_until_it_leaves() -> None:
    points = np.array(((10.0, 10.0), (50.0, 10.0), (50.0, 50.0), (50.0, 90.0), (80.0, 90.0), (80.0, 30.0)))
    runs, _ = clip_lines(points, RECT)
    assert [len(run) for run in runs] == [4, 2]
    assert runs[0][-1] == pytest.approx((50.0, 60.0)) and runs[1][0] == pytest.approx((80.0, 60.0))


def test_parts_know_the_run_they_come_from() -> None:
    places = bundle((([0.0, 0.0], [-5.0, 5.0]), ([], []), ([1.0, 1.0], [-5.0, 5.0]), ([9.0, 9.0], [-5.0, 5.0])))
    view = Viewport(Mercator(), 0.0, 60.0, 2.0, 200, 200)
    runs, numbers = clip_lines(to_px(view, places), view.frame, places.numbers)
    assert numbers == [0, 1] and len(runs) == 2  # the third lies outside; an empty run has no number


def test_lines_cross_180_degrees_in_one_piece() -> None:
    places = bundle((([10.0, 10.0, 10.0], [179.0, -179.0, -177.0]),))
    for lon_0 in (178.0, -178.0, 180.0, -180.0):
        view = Viewport(Mercator(lon_0), 0.0, 600.0, 1.0, 800, 400)
        runs, _ = clip_lines(to_px(view, places), view.frame)
        assert len(runs) == 1 and _length(runs) == pytest.approx(4.0 * 60.0, rel=0.01)  # 1 px a NM at the equator


def _area(points: Array) -> float:
    x, y = points[:, 0], points[:, 1]
    return abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))) / 2.0


def test_clipped_polygons_cover_what_they_did_inside() -> None:
    turn = np.linspace(0.0, 2.0 * math.pi, 400, endpoint=False)
    for x, y, r in (
        (50.0, 30.0, 20.0),
        (0.0, 0.0, 40.0),
        (100.0, 30.0, 50.0),
        (50.0, 30.0, 500.0),
        (300.0, 30.0, 20.0),
    ):
        circle = np.column_stack((x + r * np.cos(turn), y + r * np.sin(turn)))
        clipped = clip_polygon(circle, RECT)
        gx, gy = np.meshgrid((np.arange(1000) + 0.5) / 10.0, (np.arange(600) + 0.5) / 10.0)
        expected = float(((gx - x) ** 2 + (gy - y) ** 2 < r * r).mean()) * 6000.0
        # 400 corners take 4e-5 off a circle's area; the grid of 0.1 px errs by its cells along the edge.
        assert (_area(clipped) if len(clipped) else 0.0) == pytest.approx(expected, abs=3.0 + 1e-3 * expected)


def test_thinned_runs_stay_within_the_error() -> None:
    turn = np.linspace(0.0, 2.5, 3000)
    arc = np.column_stack((900.0 * np.cos(turn), 900.0 * np.sin(turn)))
    runs = [arc, np.array(((0.0, 0.0), (50.0, 7.0), (100.0, 14.0)))]
    points, first = thinned(runs, 0.12)
    assert len(points) < 200 and first.sum() == 2
    kept = points[: int(np.flatnonzero(first)[1])]
    radii = np.hypot(*((kept[1:] + kept[:-1]) / 2.0).T)  # a chord is furthest from its arc in the middle
    assert 900.0 - radii.min() < 0.13
    assert kept[0] == pytest.approx(runs[0][0]) and kept[-1] == pytest.approx(runs[0][-1])


def test_corners_survive_thinning() -> None:
    zigzag = np.column_stack((np.arange(50.0) * 4.0, np.where(np.arange(50) % 2, 30.0, 0.0)))
    points, _ = thinned([zigzag])
    assert len(points) == 50


def test_painter_paths_hold_the_points() -> None:
    points = np.array(((0.0, 0.0), (10.0, 5.0), (3.0, 9.0)))
    made = path([points, points + 20.0, points[:1]], closed=True)
    assert made.elementCount() == 8 and made.boundingRect().right() == 30.0
    shape = polygon(points)
    assert [(p.x(), p.y()) for p in (shape.at(i) for i in range(3))] == [tuple(p) for p in points.tolist()]
    assert polygon(np.empty((0, 2))).isEmpty()


def test_runs_are_split_at_nan() -> None:
    points = np.array(((0.0, 0.0), (1.0, 1.0), (np.nan, 0.0), (2.0, 2.0), (np.nan, np.nan), (3.0, 3.0), (4.0, 4.0)))
    assert [len(run) for run in split(points)] == [2, 2]
