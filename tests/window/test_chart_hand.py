"""The hand on the chart: following, measuring, picking, layers; by mouse and by keys."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from msgspec import structs
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu
from pytestqt.qtbot import QtBot

from nightleg.chart.canvas import ChartCanvas
from nightleg.chart.layers.track import shown_ticks
from nightleg.chart.measure import Measured
from nightleg.chart.pick import Entry, pick
from nightleg.chart.registry import OFF_AT_FIRST
from nightleg.chart.scene import ChartScene
from nightleg.flight.document import Document
from nightleg.units.positions import Position
from nightleg.window.chartmenu import ChartMenu

from .conftest import shown, viewport

SHIFT, NONE = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.NoModifier


def point(canvas: ChartCanvas, place: Position) -> QPoint:
    assert canvas.view is not None
    x, y = canvas.view.point(place)
    return QPoint(round(x), round(y))


def click(canvas: ChartCanvas, at: QPoint) -> None:
    QTest.mouseClick(viewport(canvas), Qt.MouseButton.LeftButton, NONE, at)


def drag(canvas: ChartCanvas, start: QPoint, end: QPoint, keys: Qt.KeyboardModifier = NONE) -> None:
    target = viewport(canvas)
    QTest.mousePress(target, Qt.MouseButton.LeftButton, keys, start)
    for share in (0.3, 0.6, 1.0):
        QTest.mouseMove(target, start + (end - start) * share)
        QApplication.processEvents()
    QTest.mouseRelease(target, Qt.MouseButton.LeftButton, keys, end)


def measured(canvas: ChartCanvas) -> Measured:
    assert canvas.measured is not None
    return canvas.measured


def test_a_click_on_a_symbol_or_a_line_chooses_it(qtbot: QtBot, canvas: ChartCanvas, picture: ChartScene) -> None:
    fix = picture.current_fix
    assert fix is not None
    with qtbot.waitSignal(canvas.entry_selected, timeout=5000) as told:
        click(canvas, point(canvas, fix.position))
    assert told.args == ["fix", fix.id] and canvas.chosen == Entry("fix", fix.id)
    line = next(line for line in picture.lines if line.current and line.used)
    view = canvas.view
    assert view is not None
    away = [p for p in line.advanced if view.frame.grown(-20.0).holds(*view.point(p))]
    far = max(away, key=lambda p: abs(view.point(p)[1] - view.point(fix.position)[1]))
    with qtbot.waitSignal(canvas.entry_selected, timeout=5000) as told:
        click(canvas, point(canvas, far))
    assert told.args == ["sight", line.id]
    with qtbot.waitSignal(canvas.entry_selected, timeout=5000) as told:
        QTest.keyClick(canvas, Qt.Key.Key_Escape)
    assert told.args == ["", ""] and canvas.chosen is None


def test_a_click_on_a_tick_or_the_wind_goes_to_the_log_entry_of_it(qtbot: QtBot, demo: Document) -> None:
    window = shown(qtbot, demo, 1920, 1080)
    canvas = window.canvas
    sheet = canvas.item.sheet
    assert sheet is not None
    tick = next(tick for tick in shown_ticks(sheet) if pick(sheet.scene, sheet.view, *tick[:2]) is None)
    wind = sheet.found("wind")
    assert wind is not None
    for (x, y), kind in ((tick[:2], "tick"), ((wind.box.x, wind.box.y), "wind")):
        before = canvas.grab().toImage()
        window.log.select_entry("start", "start")
        click(canvas, QPoint(round(x), round(y)))
        assert canvas.chosen is not None and canvas.chosen.kind == kind
        assert canvas.grab().toImage() != before  # its facts are told
        row = window.log.log.rows[window.log.currentIndex().row()]
        assert row.kind == "leg" and row.leg is not None and row.leg > 0
        assert demo.flight.legs[row.leg].time <= sheet.scene.now


def test_a_mark_from_elsewhere_is_quiet(qtbot: QtBot, canvas: ChartCanvas, picture: ChartScene) -> None:
    fix = picture.current_fix
    assert fix is not None
    before = canvas.grab().toImage()
    with qtbot.assertNotEmitted(canvas.entry_selected):
        canvas.mark_entry("fix", fix.id)
    assert canvas.chosen == Entry("fix", fix.id)
    assert canvas.grab().toImage() != before
    canvas.mark_entry("log", "3")  # not on the chart
    assert canvas.chosen is None and canvas.grab().toImage() == before


def test_a_drag_with_shift_measures_and_does_not_pan(canvas: ChartCanvas, picture: ChartScene) -> None:
    view, start, end = canvas.view, QPoint(120, 430), QPoint(420, 160)
    drag(canvas, start, end, SHIFT)
    assert canvas.view == view and canvas.following
    found = measured(canvas)
    assert found.start == canvas.position_at(start.x(), start.y())
    assert found.end == canvas.position_at(end.x(), end.y())
    assert found.rhumb_nm == pytest.approx(found.circle_nm, rel=1e-3) and found.rhumb_nm >= found.circle_nm
    QTest.keyClick(canvas, Qt.Key.Key_Escape)
    assert canvas.measured is None


def test_a_measuring_line_snaps_to_symbols(canvas: ChartCanvas, picture: ChartScene) -> None:
    fix = picture.current_fix
    assert fix is not None
    at = point(canvas, fix.position)
    drag(canvas, at + QPoint(4, -3), at + QPoint(200, 60), SHIFT)
    assert measured(canvas).start == fix.position


def test_the_read_out_goes_with_the_end_of_the_measuring_line(canvas: ChartCanvas, picture: ChartScene) -> None:
    told: list[Position | None] = []
    canvas.hovered.connect(told.append)
    start, target = QPoint(120, 430), viewport(canvas)
    QTest.mousePress(target, Qt.MouseButton.LeftButton, SHIFT, start)
    for by in (40, 80, 120):
        QTest.mouseMove(target, start + QPoint(by, 0))
        QApplication.processEvents()
        assert told[-1] == measured(canvas).end == canvas.position_at(120.0 + by, 430.0)
    fix = picture.current_fix
    assert fix is not None
    QTest.mouseMove(target, point(canvas, fix.position) + QPoint(3, 3))
    QApplication.processEvents()
    assert told[-1] == fix.position  # where the line was led to, and not a mile beside it
    QTest.mouseRelease(target, Qt.MouseButton.LeftButton, SHIFT, point(canvas, fix.position) + QPoint(3, 3))
    QTest.mouseMove(target, start)
    QApplication.processEvents()
    assert told[-1] == canvas.position_at(120.0, 430.0)  # the line is put down
    QTest.keyClick(canvas, Qt.Key.Key_Right)
    assert told[-1] == measured(canvas).end
    QTest.keyClick(canvas, Qt.Key.Key_Escape)
    QTest.keyClick(canvas, Qt.Key.Key_M)  # the end follows the cursor without a button
    QTest.mouseMove(target, point(canvas, fix.position) - QPoint(2, 2))
    QApplication.processEvents()
    assert told[-1] == fix.position


def test_keys_measure_from_the_dr(canvas: ChartCanvas, picture: ChartScene) -> None:
    assert picture.dr is not None
    view = canvas.view
    QTest.keyClick(canvas, Qt.Key.Key_M)
    for _ in range(3):
        QTest.keyClick(canvas, Qt.Key.Key_Right)
    for _ in range(2):
        QTest.keyClick(canvas, Qt.Key.Key_Up, SHIFT)
    assert canvas.view == view  # the arrows belong to the line
    found = measured(canvas)
    assert found.start == picture.dr.position
    assert view is not None
    (x0, y0), (x1, y1) = view.point(found.start), view.point(found.end)
    assert (x1 - x0, y1 - y0) == (pytest.approx(60.0, abs=0.01), pytest.approx(-4.0, abs=0.01))  # px
    QTest.keyClick(canvas, Qt.Key.Key_M)
    assert canvas.measured is None
    QTest.keyClick(canvas, Qt.Key.Key_Left)
    assert canvas.view != view


def moved_on(picture: ChartScene, by_deg: float) -> ChartScene:
    dr = picture.dr
    assert dr is not None
    there = Position(dr.position.lat, dr.position.lon + by_deg)
    return replace(picture, now=picture.now + timedelta(seconds=by_deg), dr=structs.replace(dr, position=there))


def test_the_dr_is_kept_in_view_until_someone_pans(qtbot: QtBot, canvas: ChartCanvas, picture: ChartScene) -> None:
    canvas.zoom(1.5)
    view = canvas.view
    canvas.show_scene(moved_on(picture, 0.01))
    assert canvas.view == view  # still in sight: the chart stands
    far = moved_on(picture, 6.0)
    canvas.show_scene(far)
    assert far.dr is not None and canvas.view is not None
    assert canvas.view.frame.holds(*canvas.view.point(far.dr.position))
    with qtbot.waitSignal(canvas.following_changed, timeout=5000) as told:
        drag(canvas, QPoint(300, 300), QPoint(360, 340))
    assert told.args == [False]
    view = canvas.view
    canvas.show_scene(moved_on(picture, 20.0))
    assert canvas.view == view
    with qtbot.waitSignal(canvas.following_changed, timeout=5000) as told:
        canvas.fit_plot()
    assert told.args == [True]


def test_a_slip_in_a_fix_does_not_carry_the_chart_away(canvas: ChartCanvas, picture: ChartScene) -> None:
    view = canvas.view
    canvas.show_scene(replace(moved_on(picture, 12.0), now=picture.now))  # the same instant
    assert canvas.view == view


def test_zooming_goes_on_following(canvas: ChartCanvas) -> None:
    canvas.zoom(2.0, (300.0, 200.0))
    assert canvas.following


def test_another_area_gets_another_projection_when_the_hand_rests(qtbot: QtBot, canvas: ChartCanvas) -> None:
    view = canvas.view
    assert view is not None and view.projection.kind == "lambert"
    while canvas.view is not None and canvas.view.centre.lat > 3.0:
        canvas.pan(0.0, -2000.0)
    there = canvas.view
    assert there is not None
    qtbot.waitUntil(lambda: canvas.view is not None and canvas.view.projection.kind == "mercator", timeout=5000)
    now = canvas.view
    assert now is not None
    assert now.true_nm_per_px() == pytest.approx(there.true_nm_per_px(), rel=1e-6)  # scale on the Earth stays


def test_layers_are_switched_by_name(qtbot: QtBot, canvas: ChartCanvas) -> None:
    menu = QMenu()
    qtbot.addWidget(menu)
    made = ChartMenu(canvas, menu)
    whole = canvas.grab().toImage()
    made.layers["lines"].trigger()
    assert canvas.hidden == {*OFF_AT_FIRST, "lines"} and not made.layers["lines"].isChecked()
    assert canvas.grab().toImage() != whole
    made.show_only(())
    assert canvas.hidden == frozenset() and made.layers["lines"].isChecked()
    with pytest.raises(ValueError, match="there is no such layer"):
        canvas.set_hidden(["sea monsters"])


def test_the_menu_follows_and_measures(qtbot: QtBot, canvas: ChartCanvas) -> None:
    menu = QMenu()
    qtbot.addWidget(menu)
    made = ChartMenu(canvas, menu)
    made.follow.trigger()
    assert not canvas.following
    made.follow.trigger()
    assert canvas.following
    canvas.pan(30.0, 0.0)
    assert not made.follow.isChecked()
    made.measure.trigger()
    assert canvas.measured is not None
    made.measure.trigger()
    assert canvas.measured is None


def test_labels_stay_where_they_are_while_something_else_moves(
    qtbot: QtBot, canvas: ChartCanvas, picture: ChartScene
) -> None:
    def places() -> dict[str, tuple[float, float]]:
        sheet = canvas.item.sheet
        assert sheet is not None
        return {p.request.key: (p.box.x, p.box.y) for p in sheet.placed if p.request.key.startswith(("line", "fix"))}

    before = places()
    for step in range(1, 6):
        paintings = canvas.item.paintings
        canvas.show_scene(moved_on(picture, 0.01 * step))
        canvas.grab()
        assert places() == before
        qtbot.waitUntil(lambda at=paintings: canvas.item.paintings > at, timeout=5000)  # at rest too
        assert places() == before
