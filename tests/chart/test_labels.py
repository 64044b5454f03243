"""Labels: none on another, none off the edge, none on a symbol; the same each time."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from synthetic import crossing, moved

from nightleg.chart.box import Box
from nightleg.chart.export import MARGINS, sheet_of
from nightleg.chart.ink import InkMap
from nightleg.chart.labels import Request, along, around, outside, place
from nightleg.chart.sheet import Sheet
from nightleg.chart.themes import THEMES
from nightleg.chart.viewport import NO_MARGINS, Rect
from nightleg.units.positions import Position

Array = NDArray[np.float64]
FRAME = Rect(0.0, 0.0, 900.0, 600.0)


def overlap(one: Array, other: Array) -> bool:
    """Whether two convex polygons (corners in order) share inner points: one is clipped by the other's edges."""
    # Written apart from the placer's own test: the area of the common part, by Sutherland and Hodgman, is above 0.
    points = [tuple(p) for p in one]
    if _area(other) < 0.0:
        other = other[::-1]
    for (x0, y0), (x1, y1) in zip(other, np.roll(other, -1, axis=0), strict=True):
        clipped = []
        for (ax, ay), (bx, by) in zip(points, points[1:] + points[:1], strict=True):
            a = (x1 - x0) * (ay - y0) - (y1 - y0) * (ax - x0)
            b = (x1 - x0) * (by - y0) - (y1 - y0) * (bx - x0)
            if a >= 0.0:
                clipped.append((ax, ay))
            if (a >= 0.0) != (b >= 0.0):
                t = a / (a - b)
                clipped.append((ax + t * (bx - ax), ay + t * (by - ay)))
        points = clipped
        if len(points) < 3:
            return False
    return abs(_area(np.array(points))) > 1e-6


def _area(points: Array) -> float:
    x, y = points[:, 0], points[:, 1]
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2.0


boxes = st.builds(
    Box,
    st.floats(0, 100),
    st.floats(0, 100),
    st.floats(1, 80),
    st.floats(1, 30),
    st.floats(-90, 90),
)


@given(boxes, boxes)
def test_boxes_meet_where_their_areas_do(one: Box, other: Box) -> None:
    shared = overlap(one.corners(), other.corners())
    assert one.meets(other) == other.meets(one)
    if shared:
        assert one.meets(other)
    # Touching within a hair may count either way; well apart they never meet.
    if not overlap(one.grown(0.001).corners(), other.grown(0.001).corners()):
        assert not one.meets(other)


@given(boxes)
def test_bounds_hold_the_corners_and_no_more(box: Box) -> None:
    corners, bounds = box.corners(), box.bounds()
    assert (bounds.left, bounds.top) == pytest.approx(tuple(corners.min(axis=0)))
    assert (bounds.right, bounds.bottom) == pytest.approx(tuple(corners.max(axis=0)))


def _requests(random: np.random.Generator, count: int) -> list[Request]:
    requests = []
    for number in range(count):
        x, y = float(random.uniform(-50, 950)), float(random.uniform(-50, 650))
        width, height = float(random.uniform(20, 150)), float(random.uniform(10, 30))
        if number % 3 == 0:
            a = float(random.uniform(0, math.tau))
            run = np.array([(x + t * math.cos(a), y + t * math.sin(a)) for t in np.linspace(-300, 300, 9)])
            places = along(run, width, height, 4.0)
        else:
            places = around(x, y, width, height, 8.0)
        requests.append(Request((), width, height, places, float(random.integers(0, 5)), key=str(number)))
    return requests


@pytest.mark.parametrize("seed", range(12))
def test_random_requests_never_collide(seed: int) -> None:
    random = np.random.default_rng(seed)
    requests = _requests(random, 150)
    symbols = [Box(float(random.uniform(0, 900)), float(random.uniform(0, 600)), 18.0, 18.0) for _ in range(12)]
    placed = place(requests, FRAME, symbols, InkMap(900.0, 600.0))
    assert len(placed) > 30
    _check([label.box for label in placed], symbols, FRAME)
    again = place(requests, FRAME, symbols, InkMap(900.0, 600.0))
    assert again == placed


def _check(labels: list[Box], symbols: list[Box], frame: Rect) -> None:
    shapes = [box.corners() for box in labels]
    for shape in shapes:
        low, high = shape.min(axis=0), shape.max(axis=0)
        assert low[0] >= frame.left and low[1] >= frame.top and high[0] <= frame.right and high[1] <= frame.bottom
    for one, other in combinations(shapes, 2):
        assert not overlap(one, other)
    for shape in shapes:
        for symbol in symbols:
            assert not overlap(shape, symbol.corners())


def _sheets() -> list[Sheet]:
    random = np.random.default_rng(20260314)
    sheets = []
    for number in range(36):
        latitude = (-78.0, -35.0, 2.0, 41.0, 66.0, 88.0)[number % 6]
        start = Position(latitude + float(random.uniform(-3, 3)) * (latitude < 85), float(random.uniform(-180, 180)))
        scene = crossing(
            start=start,
            track_deg=float(random.uniform(0, 360)),
            fixes=int(random.integers(1, 6)),
            shots=int(random.integers(1, 7)),
            altitude_deg=float(random.uniform(15, 89.5)),
            kind=("fix", "estimated", "known")[number % 3],
            minutes_after=float(random.uniform(0, 40)),
            turn_deg=float(random.uniform(-60, 60)),
            seed=number,
        )
        size = ((1920, 1080), (1366, 768), (640, 400))[number % 3]
        theme = list(THEMES.values())[number % 3].scaled(1.6 if number % 5 == 0 else 1.0)
        margins = NO_MARGINS if number % 4 == 0 else MARGINS
        sheets.append(sheet_of(scene, theme, size, extent="flight" if number % 2 else "plot", margins=margins))
    return sheets


def test_labels_of_random_flights_never_collide() -> None:
    lettered = 0
    for sheet in _sheets():
        symbols = [box for layer in sheet.layers for box in layer.obstacles(sheet)]
        shown = [box for box in symbols if all(map(math.isfinite, (box.x, box.y)))]
        _check([label.box for label in sheet.placed], shown, sheet.view.frame)
        lettered += len(sheet.placed)
    assert lettered > 36 * 5


def test_labels_along_a_line_are_never_upside_down() -> None:
    for bearing in range(0, 360, 7):
        a = math.radians(bearing)
        run = np.array([(450 + t * math.sin(a), 300 - t * math.cos(a)) for t in np.linspace(-200, 200, 11)])
        found = along(run, 80.0, 12.0, 4.0)
        assert found
        assert all(-90.0 <= box.angle_deg <= 90.0 for box in found)
        for box in found:  # beside the line: every corner on one side, at least the clearance away
            across = (box.corners() - (450, 300)) @ np.array((math.cos(a), math.sin(a)))
            assert min(abs(across)) >= 4.0 - 1e-6 and (across > 0).all() != (across < 0).all()


def test_a_line_too_short_or_too_bent_has_no_place() -> None:
    assert along(np.array(((0.0, 0.0), (50.0, 0.0))), 80.0, 12.0, 4.0) == ()
    turn = np.linspace(0, math.tau, 40)
    assert along(np.column_stack((20 * np.cos(turn), 20 * np.sin(turn))), 80.0, 12.0, 4.0) == ()


def test_places_outside_a_shape_are_outside_it() -> None:
    turn = np.linspace(0, math.tau, 60)
    shape = np.column_stack((300 + 60 * np.cos(turn), 200 + 25 * np.sin(turn)))
    for box in outside(shape, 300.0, 200.0, 90.0, 30.0, 5.0, 135.0, 130.0)[:16]:
        assert not overlap(box.corners(), shape)


def test_the_less_important_gives_way_and_ink_is_avoided() -> None:
    where = (Box(100.0, 100.0, 40.0, 12.0), Box(200.0, 100.0, 40.0, 12.0))
    high, low = Request((), 40.0, 12.0, where[:1], 2.0, "high"), Request((), 40.0, 12.0, where[:1], 1.0, "low")
    placed = place([low, high], FRAME, [], InkMap(900.0, 600.0))
    assert [label.request.key for label in placed] == ["high"]
    ink = InkMap(900.0, 600.0)
    ink.add([np.array(((60.0, 100.0), (140.0, 100.0)))])
    free = place([Request((), 40.0, 12.0, where, 1.0)], FRAME, [], ink)
    assert free[0].box == where[1]


def test_the_fix_is_always_named() -> None:
    for seed in range(10):
        sheet = sheet_of(crossing(seed=seed), THEMES["paper"], (1366, 768))
        keys = {label.request.key for label in sheet.placed}
        assert {"fix f1", "dr", "line s1", "line s2", "line s3", "wind"} <= keys, seed


def test_a_label_is_near_what_it_names() -> None:
    scene = crossing(seed=3)
    sheet = sheet_of(scene, THEMES["paper"], (1366, 768))
    found = sheet.found("fix f1")
    assert found is not None and scene.current_fix is not None and scene.current_fix.ellipse95 is not None
    x, y = sheet.view.point(scene.current_fix.position)
    edge = sheet.view.point(moved(scene.current_fix.position, 0.0, scene.current_fix.ellipse95.semi_major_nm))
    reach = math.hypot(edge[0] - x, edge[1] - y)
    distance = math.hypot(found.box.x - x, found.box.y - y) - found.box.width / 2.0
    assert distance < reach + 40.0  # px: outside the ellipse, but next to it


def test_share_of_ink_under_a_box() -> None:
    ink = InkMap(200.0, 100.0)
    ink.add([np.array(((0.0, 50.0), (200.0, 50.0)))])  # one row of cells of 4 px, from y 48 to 52
    assert ink.share_under(Box(100.0, 50.0, 100.0, 3.9)) == 1.0
    assert ink.share_under(Box(100.0, 20.0, 100.0, 10.0)) == 0.0
    # y 34.1 to 65.9 touches eight rows of cells (32 to 68 holds nine, the last from 64): one of nine has ink.
    assert ink.share_under(Box(100.0, 50.0, 60.0, 31.8)) == pytest.approx(1.0 / 9.0)
    assert ink.share_under(Box(500.0, 500.0, 20.0, 20.0)) == 0.0
    turned = ink.share_under(Box(100.0, 50.0, 60.0, 30.0, 45.0))  # the line crosses the box: some, not all
    assert 0.02 < turned < 0.4
