"""The first moments of a process: the chart is painted before the view box's library is there, and a hand may come."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

pytestmark = pytest.mark.slow

# Each in a process of its own: pytest's has the library already.
BEGIN = """
import sys, threading
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from nightleg.window.app import document, main_window
from nightleg.window.loading import load_qt

load_qt()
application = QApplication([])
window = main_window(document(None))
window.resize(1366, 768)
window.show()
canvas, board = window.canvas, window.canvas.board
while canvas.item.paintings == 0:
    application.processEvents()
assert "pyqtgraph" not in sys.modules and not board.is_laid
assert window.session.worked.solution.fixes  # the chart of the flight, not an empty sheet

def wait():
    while not board.is_laid:
        application.processEvents()
    application.processEvents()

def viewport():
    return canvas.childAt(QPoint(canvas.width() // 2, canvas.height() // 2))

def wheel(target, at):
    event = QWheelEvent(QPointF(at), QPointF(target.mapToGlobal(at)), QPoint(), QPoint(0, 120),
                        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False)
    QApplication.sendEvent(target, event)
"""
CASES = {
    "the chart is the same before and after": """
before = canvas.grab().toImage()
wait()
assert canvas.item.paintings == 1, canvas.item.paintings
assert canvas.grab().toImage() == before
""",
    "a wheel that comes first zooms about the cursor": """
at, view = QPoint(500, 200), canvas.view
held = canvas.position_at(at.x(), at.y())
wheel(viewport(), at)
assert board.is_laid and canvas.view.nm_per_px < 0.9 * view.nm_per_px
still = canvas.position_at(at.x(), at.y())
assert abs(still.lat - held.lat) < 1e-6 and abs(still.lon - held.lon) < 1e-6  # degrees: under 0.01 px
""",
    "a click that comes first chooses": """
fix = canvas.scene.current_fix
x, y = canvas.view.point(fix.position)
QTest.mouseClick(viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, QPoint(round(x), round(y)))
assert canvas.chosen is not None and canvas.chosen.id == fix.id, canvas.chosen
""",
    "a drag that comes first moves the chart with the cursor, and ends": """
handle, at = window.windowHandle(), canvas.mapTo(window, QPoint(500, 200))  # as the system sends them: to the window
held, plate = canvas.position_at(500, 200), viewport()
left, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
QTest.mousePress(handle, left, none, at)
assert board.is_laid and canvas.hand.holding and viewport() is not plate
for step in range(1, 6):
    QTest.mouseMove(handle, at + QPoint(12 * step, 6 * step), 15)
QTest.mouseRelease(handle, left, none, at + QPoint(60, 30))
still = canvas.position_at(560, 230)
assert abs(still.lat - held.lat) < 1e-6 and abs(still.lon - held.lon) < 1e-6  # degrees: under 0.01 px
assert not canvas.hand.holding and not canvas.following
paintings = canvas.item.paintings
while canvas.item.paintings == paintings:  # it comes to rest
    application.processEvents()
QTest.mouseMove(handle, at)
assert canvas.cursor_px == (500.0, 200.0)  # the view box is told itself
""",
    "a line can be measured at once": """
handle, at = window.windowHandle(), canvas.mapTo(window, QPoint(500, 200))
left, shift = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.ShiftModifier
view = canvas.view
QTest.mousePress(handle, left, shift, at)
QTest.mouseMove(handle, at + QPoint(90, 40))
QTest.mouseRelease(handle, left, shift, at + QPoint(90, 40))
assert canvas.measured is not None and canvas.view == view and not canvas.hand.holding
""",
    "keys and typing are seen on the plate": """
view = canvas.view
canvas.setFocus()
QTest.keyClick(canvas, Qt.Key.Key_Plus)
assert canvas.view.nm_per_px < view.nm_per_px
window.form.reading.setFocus()
before = canvas.grab().toImage()
QTest.keyClicks(window.form.reading, "40 00")
assert canvas.grab().toImage() != before
wait()
assert canvas.grab().toImage() != before
""",
    "closing at once leaves no thread": """
for _ in range(3):
    QTest.qWait(15)
window.session.undo_stack.setClean()
window.close()
assert [one.name for one in threading.enumerate()] == ["MainThread"]
""",
}


@pytest.mark.parametrize("case", CASES)
def test_before_the_view_box_is_there(case: str) -> None:
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run(
        [sys.executable, "-c", BEGIN + CASES[case]], env=environment, capture_output=True, text=True, timeout=60
    )
    said = [line for line in done.stderr.splitlines() if "does not support" not in line]
    assert done.returncode == 0 and not said, done.stderr
