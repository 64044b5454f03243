"""How quick the chart is in the hand. Times are those of the processor: a busy machine takes longer by the clock."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot
from tests.bench.charts import crowded

from nightleg.chart.canvas import ChartCanvas
from nightleg.chart.themes import THEMES

if TYPE_CHECKING:
    from tests.bench.conftest import Bench

SIZE = (1920, 1080)


@pytest.fixture
def canvas(qtbot: QtBot) -> ChartCanvas:
    """A full-size chart with two hundred lines, painted at rest."""
    made = ChartCanvas(THEMES["paper"])
    qtbot.addWidget(made)
    made.resize(*SIZE)
    made.show_scene(crowded())
    with qtbot.waitExposed(made):
        made.show()
    qtbot.waitUntil(lambda: made.item.paintings > 0 and made.board.is_laid, timeout=20000)
    assert "land" not in made.hidden
    sheet = made.item.sheet
    assert sheet is not None and sum(p.request.key.startswith("line") for p in sheet.placed) > 50
    return made


def frames_ms(step: Callable[[int], None], count: int) -> np.ndarray:
    """What each of some steps costs with the painting that follows it, ms of the processor."""
    times = []
    for number in range(count):
        QApplication.processEvents()
        time.sleep(0.011)  # the view box takes no more than a hundred movements a second
        begun = time.process_time()
        step(number)
        QApplication.processEvents()
        times.append((time.process_time() - begun) * 1e3)
    return np.array(times)


def keep(bench: Bench, name: str, times_ms: np.ndarray, *, budget: bool = True) -> None:
    """Median and 95th percentile against the budget."""
    note = f"longest {times_ms.max():.1f} ms of {times_ms.size}"
    bench.keep(f"{name}: median", float(np.median(times_ms)), "ms", at_most=5.0 if budget else None, note=note)
    slow = float(np.percentile(times_ms, 95))
    bench.keep(f"{name}: 95th percentile", slow, "ms", at_most=8.0 if budget else None)


def viewport(canvas: ChartCanvas) -> QWidget:
    found = canvas.childAt(QPoint(SIZE[0] // 2, SIZE[1] // 2))
    assert found is not None
    return found


@pytest.mark.slow
def test_repaint(bench: Bench, canvas: ChartCanvas) -> None:
    shown = viewport(canvas)
    keep(bench, "chart painted again", frames_ms(lambda _: shown.repaint(), 150))


@pytest.mark.slow
def test_drag(bench: Bench, canvas: ChartCanvas) -> None:
    shown, at = viewport(canvas), QPoint(900, 500)
    QTest.mouseMove(shown, at)  # the cursor comes, and what a drag needs is made ready
    steps_ms = []
    while canvas.drag_ahead.active:
        begun = time.process_time()
        QApplication.processEvents()
        steps_ms.append((time.process_time() - begun) * 1e3)
        time.sleep(0.005)
    bench.keep("chart made ready for a drag: longest step", max(steps_ms), "ms")
    QTest.mousePress(shown, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, at)
    view = canvas.view

    def step(number: int) -> None:
        nonlocal at
        at += QPoint(4 if number < 75 else -4, 2 if number % 50 < 25 else -2)
        QTest.mouseMove(shown, at)

    times_ms = frames_ms(step, 150)
    QTest.mouseRelease(shown, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, at)
    assert canvas.view != view
    keep(bench, "chart while it is dragged", times_ms)


@pytest.mark.slow
def test_zoom(bench: Bench, canvas: ChartCanvas) -> None:
    shown, place = viewport(canvas), QPoint(700, 400)

    def step(number: int) -> None:
        up = 1 if number % 12 < 6 else -1
        QApplication.sendEvent(
            shown,
            QWheelEvent(
                QPointF(place), QPointF(shown.mapToGlobal(place)), QPoint(0, 0), QPoint(0, 120 * up),
                Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
            ),
        )  # fmt: skip

    keep(bench, "chart at each step of the wheel", frames_ms(step, 60), budget=False)


@pytest.mark.slow
def test_coming_to_rest(bench: Bench, qtbot: QtBot, canvas: ChartCanvas) -> None:
    """The painting after a zoom: everything projected, clipped, placed anew. No frame of a movement."""

    def settle(number: int) -> None:
        paintings = canvas.item.paintings
        canvas.zoom(1.25 if number % 2 else 0.8)
        qtbot.waitUntil(lambda: canvas.item.paintings > paintings, timeout=20000)

    times_ms = frames_ms(settle, 8)
    bench.keep("chart when it comes to rest after a zoom, 200 lines", float(np.median(times_ms)), "ms")
