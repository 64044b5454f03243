"""The chart on the screen: fit, zoom, pan, what is under the cursor, and how often it is painted."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from nightleg.chart.canvas import ChartCanvas
from nightleg.chart.scene import ChartScene
from nightleg.chart.themes import THEMES

from .conftest import CANVAS, viewport


def wheel(canvas: ChartCanvas, at: QPoint, steps: int) -> None:
    target = viewport(canvas)
    place = QPointF(at)
    event = QWheelEvent(
        place,
        QPointF(target.mapToGlobal(at)),
        QPoint(0, 0),
        QPoint(0, 120 * steps),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(target, event)


def test_the_plot_fills_the_canvas(canvas: ChartCanvas, picture: ChartScene) -> None:
    view = canvas.view
    assert view is not None and picture.current_fix is not None
    assert (view.width_px, view.height_px) == CANVAS
    x, y = view.point(picture.current_fix.position)
    assert 0 < x < CANVAS[0] and 0 < y < CANVAS[1]


def test_the_wheel_zooms_about_the_cursor(canvas: ChartCanvas) -> None:
    at = QPoint(700, 150)
    before, held = canvas.view, canvas.position_at(at.x(), at.y())
    assert before is not None and held is not None
    wheel(canvas, at, 1)
    after, still = canvas.view, canvas.position_at(at.x(), at.y())
    assert after is not None and still is not None
    assert after.nm_per_px < 0.9 * before.nm_per_px
    assert still.lat == pytest.approx(held.lat, abs=1e-6)  # degrees: under 0.01 px at this scale
    assert still.lon == pytest.approx(held.lon, abs=1e-6)
    wheel(canvas, at, -1)
    assert canvas.view is not None and canvas.view.nm_per_px == pytest.approx(before.nm_per_px, rel=1e-9)


def test_the_wheel_stops_at_sensible_limits(canvas: ChartCanvas) -> None:
    for _ in range(60):
        wheel(canvas, QPoint(450, 300), 1)
    assert canvas.view is not None and canvas.view.nm_per_px * CANVAS[1] >= 1.9
    for _ in range(90):
        wheel(canvas, QPoint(450, 300), -1)
    assert canvas.view.nm_per_px * CANVAS[1] <= 12001.0


def test_a_drag_moves_the_chart_with_the_hand(qtbot: QtBot, canvas: ChartCanvas) -> None:
    start, end = QPoint(400, 300), QPoint(520, 260)
    held = canvas.position_at(start.x(), start.y())
    assert held is not None
    target = viewport(canvas)
    QTest.mousePress(target, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, start)
    for share in (0.25, 0.5, 0.75, 1.0):
        QTest.mouseMove(target, start + (end - start) * share)
        QApplication.processEvents()
    paintings = canvas.item.paintings
    QTest.mouseRelease(target, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, end)
    under = canvas.position_at(end.x(), end.y())
    assert under is not None
    view = canvas.view
    assert view is not None
    x, y = view.point(held)
    assert abs(x - end.x()) < 1.0 and abs(y - end.y()) < 1.0  # px
    qtbot.waitUntil(lambda: canvas.item.paintings > paintings, timeout=5000)  # labels find their places again


def test_arrows_pan_and_plus_and_minus_zoom(canvas: ChartCanvas) -> None:
    first = canvas.view
    assert first is not None
    QTest.keyClick(canvas, Qt.Key.Key_Left)
    assert canvas.view is not None and canvas.view.x_nm < first.x_nm
    QTest.keyClick(canvas, Qt.Key.Key_Up)
    assert canvas.view.y_nm > first.y_nm
    QTest.keyClick(canvas, Qt.Key.Key_Plus)
    assert canvas.view.nm_per_px < first.nm_per_px
    QTest.keyClick(canvas, Qt.Key.Key_Minus)
    assert canvas.view.nm_per_px == pytest.approx(first.nm_per_px)
    canvas.fit_plot()
    assert canvas.view == first


def test_a_new_scene_keeps_the_view(canvas: ChartCanvas, picture: ChartScene) -> None:
    canvas.zoom(2.0)
    view = canvas.view
    canvas.show_scene(replace(picture, title="another"))
    assert canvas.view == view


def test_what_was_seen_is_seen_after_a_resize(qtbot: QtBot, canvas: ChartCanvas) -> None:
    corners, fitted = [canvas.position_at(1, 1), canvas.position_at(CANVAS[0] - 1, CANVAS[1] - 1)], canvas.view
    assert fitted is not None
    canvas.resize(600, 500)
    qtbot.waitUntil(lambda: canvas.view is not None and canvas.view.width_px == 600, timeout=5000)
    view = canvas.view
    assert view is not None
    for place in corners:
        assert place is not None
        x, y = view.point(place)
        assert 0.0 <= x <= 600.0 and 0.0 <= y <= 500.0
    canvas.resize(*CANVAS)
    qtbot.waitUntil(lambda: canvas.view is not None and canvas.view.width_px == CANVAS[0], timeout=5000)
    assert canvas.view is not None
    assert canvas.view.nm_per_px == pytest.approx(fitted.nm_per_px)  # there and back without drifting away


def test_the_cursor_tells_the_place_under_it(qtbot: QtBot, canvas: ChartCanvas) -> None:
    with qtbot.waitSignal(canvas.hovered, timeout=5000) as told:
        QTest.mouseMove(viewport(canvas), QPoint(300, 200))
    assert told.args == [canvas.position_at(300, 200)]


def test_nothing_is_painted_anew_that_has_not_changed(qtbot: QtBot, canvas: ChartCanvas) -> None:
    paintings = canvas.item.paintings
    canvas.grab()
    canvas.repaint()
    assert canvas.item.paintings == paintings
    canvas.set_theme(THEMES["dim"])
    canvas.grab()
    assert canvas.item.paintings == paintings + 1


def test_the_ground_is_the_themes(canvas: ChartCanvas) -> None:
    for name in ("paper", "dim", "red"):
        canvas.set_theme(THEMES[name])
        picture = canvas.grab().toImage()
        counts: dict[str, int] = {}
        for x in range(5, CANVAS[0], 23):
            for y in range(5, CANVAS[1], 23):
                colour = picture.pixelColor(x, y).name().upper()
                counts[colour] = counts.get(colour, 0) + 1
        assert max(counts, key=lambda colour: counts[colour]) == THEMES[name].colours["ground"]


def come(canvas: ChartCanvas) -> None:
    """Move the cursor to the chart: from another place, or it is no movement."""
    QTest.mouseMove(viewport(canvas), QPoint(290, 300))
    QTest.mouseMove(viewport(canvas), QPoint(300, 300))


def ready(qtbot: QtBot, canvas: ChartCanvas) -> None:
    """The cursor comes to the chart, which makes ready what a drag needs."""
    qtbot.waitUntil(lambda: canvas.board.is_laid, timeout=20000)
    assert not canvas.drag_ahead.active and canvas.item.backdrop.paintings == 0
    come(canvas)
    assert canvas.drag_ahead.active
    qtbot.waitUntil(lambda: not canvas.drag_ahead.active, timeout=20000)
    assert canvas.item.backdrop.paintings == 1


def test_the_first_frame_of_a_drag_is_ready_when_the_cursor_is_there(qtbot: QtBot, canvas: ChartCanvas) -> None:
    ready(qtbot, canvas)
    target, at, view = viewport(canvas), QPoint(300, 300), canvas.view
    QTest.mousePress(target, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, at)
    for step in range(1, 4):
        QTest.mouseMove(target, at + QPoint(20 * step, 0))
        qtbot.wait(15)  # the view box takes no more than a hundred movements a second
    assert canvas.view != view and canvas.item.backdrop.paintings == 1
    QTest.mouseRelease(target, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, at + QPoint(60, 0))
    qtbot.waitUntil(lambda: canvas.item.backdrop.paintings == 2, timeout=20000)  # at rest: for the next drag


def test_another_view_has_it_made_ready_anew(qtbot: QtBot, canvas: ChartCanvas) -> None:
    ready(qtbot, canvas)
    canvas.zoom(1.5)
    assert canvas.drag_ahead.active is False
    qtbot.waitUntil(lambda: canvas.item.backdrop.paintings == 2, timeout=20000)
    assert not canvas.drag_ahead.active


def test_nothing_is_made_ready_once_the_cursor_or_the_chart_has_gone(qtbot: QtBot, canvas: ChartCanvas) -> None:
    qtbot.waitUntil(lambda: canvas.board.is_laid, timeout=20000)
    for go in (lambda: QApplication.sendEvent(canvas, QEvent(QEvent.Type.Leave)), canvas.close):
        come(canvas)
        assert canvas.drag_ahead.active
        go()
        assert not canvas.drag_ahead.active
        qtbot.wait(50)
        assert canvas.item.backdrop.paintings == 0
