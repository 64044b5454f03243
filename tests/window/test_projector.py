"""Before a projector, and at type sizes that the system asks for."""

from __future__ import annotations

import os
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QFont, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QWidget
from pytestqt.qtbot import QtBot

from nightleg.chart.fonts import FAMILY, metrics
from nightleg.chart.themes import THEMES
from nightleg.flight.document import Document
from nightleg.window import main as main_module
from nightleg.window.app import main_window
from nightleg.window.fontscale import PROJECTOR, system_scale
from nightleg.window.main import MainWindow
from nightleg.window.sizing import SIDE_PX

from .conftest import Answers, shown

SIZES = """
import sys
from nightleg.window.app import document, main_window
from PySide6.QtWidgets import QApplication
application = QApplication([])
window = main_window(document(None))
window.resize(1366, 768)
window.show()
while not window.canvas.item.paintings:
    application.processEvents()
picture = window.grab()
print(picture.width(), picture.height(), window.width(), window.height())
"""


def type_px(window: MainWindow) -> int:
    return window.header.clock.font().pixelSize()


@pytest.mark.parametrize("size", [(1366, 768), (1920, 1080), (3840, 2160)])
def test_one_key_there_and_back(qtbot: QtBot, demo: Document, size: tuple[int, int]) -> None:
    window = shown(qtbot, demo, *size)
    before, pane, px = window.size(), window.pane.height(), type_px(window)
    assert window.form.reading.hasFocus()
    chart = window.canvas.width() * window.canvas.height()
    QTest.keyClick(window, Qt.Key.Key_F11)
    QApplication.processEvents()
    assert window.projector.on and window.side.isHidden() and window.pane.isHidden()
    assert window.canvas.hasFocus()
    assert type_px(window) > 1.4 * px  # the figures of the clock, which are large at all times
    assert window.canvas.width() == window.width()
    assert window.canvas.width() * window.canvas.height() > 1.15 * chart
    assert window.size() == before
    QTest.keyClick(window, Qt.Key.Key_F11)
    QApplication.processEvents()
    assert not window.projector.on and not window.side.isHidden() and not window.pane.isHidden()
    assert type_px(window) == px and window.size() == before
    assert window.form.reading.hasFocus()
    assert abs(window.pane.height() - pane) <= 1


@pytest.mark.parametrize("size", [(1366, 768), (1920, 1080)])
def test_the_back_row_reads_the_chart(qtbot: QtBot, demo: Document, size: tuple[int, int]) -> None:
    window = shown(qtbot, demo, *size)
    QTest.keyClick(window, Qt.Key.Key_F11)
    qtbot.wait(300)  # the chart comes to rest
    sheet = window.canvas.item.sheet
    assert sheet is not None
    letters = {style.px for placed in sheet.placed for _, style in placed.request.lines}
    plain = THEMES["paper"]
    assert min(letters) >= 1.8 * plain.small_px and max(letters) >= 1.8 * plain.text_px
    keys = {placed.request.key for placed in sheet.placed}
    fix = sheet.scene.current_fix
    assert fix is not None
    lines = {f"line {line.id}" for line in sheet.scene.lines if line.current and line.used}
    assert keys >= {"dr", "wind", "waypoint LANTERN", f"fix {fix.id}", *lines}
    boxes = [placed.box for placed in sheet.placed]
    assert not any(one.meets(other) for i, one in enumerate(boxes) for other in boxes[:i])
    QTest.keyClick(window, Qt.Key.Key_F11)


def test_times_at_the_ends_of_the_time_line_are_whole(window: MainWindow) -> None:
    QTest.keyClick(window, Qt.Key.Key_F11)
    QApplication.processEvents()
    line = window.timeline
    half = metrics(window.worn.base_px - 1).horizontalAdvance("0000") / 2.0
    assert line.scale.left >= half and line.scale.left + line.scale.width <= line.width() - half
    QTest.keyClick(window, Qt.Key.Key_F11)


def test_the_light_about_the_pointer_looks_like_nothing_on_the_chart(window: MainWindow) -> None:
    halo = window.projector.halo
    for theme in THEMES.values():
        window.set_theme(theme.name)
        picture = QImage(halo.size(), QImage.Format.Format_ARGB32)
        picture.fill(0)
        halo.render(picture, QPoint(), renderFlags=QWidget.RenderFlag.DrawChildren)
        middle = picture.height() // 2
        alphas = [picture.pixelColor(x, middle).alpha() for x in range(picture.width())]
        assert alphas[0] <= 8 and alphas[-1] <= 8 and 60 < alphas[middle] < 200  # what is under it can be read
        assert max(abs(a - b) for a, b in pairwise(alphas)) < 20  # no outline
        shown_colour, others = halo.colour.name().upper(), {v for k, v in theme.colours.items() if k != "pointer"}
        assert shown_colour == theme.colours["pointer"] and shown_colour not in others


@pytest.mark.parametrize("theme", list(THEMES))
def test_lines_are_thicker_and_nothing_is_clipped(window: MainWindow, theme: str) -> None:
    window.set_theme(next(name for name in THEMES if name == theme))
    QTest.keyClick(window, Qt.Key.Key_F11)
    QApplication.processEvents()
    for one in window.findChildren(QLabel):
        if one.isVisible() and not one.wordWrap() and one.text() and not one.toolTip():
            assert one.width() >= one.minimumSizeHint().width() - 1, one.text()
    plain = THEMES["paper"].pen("track").width_px
    assert THEMES["paper"].scaled(PROJECTOR).pen("track").width_px == pytest.approx(PROJECTOR * plain)
    QTest.keyClick(window, Qt.Key.Key_F11)


def test_what_was_folded_stays_folded(window: MainWindow) -> None:
    QTest.keyClick(window, Qt.Key.Key_F8)
    QTest.keyClick(window, Qt.Key.Key_F11)
    QTest.keyClick(window, Qt.Key.Key_F11)
    assert window.pane.isHidden() and not window.side.isHidden()


def test_a_form_can_be_fetched_in_the_mode(window: MainWindow) -> None:
    QTest.keyClick(window, Qt.Key.Key_F11)
    QTest.keyClick(window, Qt.Key.Key_F2)
    assert window.side.isVisible()
    QTest.keyClicks(window.form.reading, "29 18")
    assert window.session.worked.typed_id is not None
    QTest.keyClick(window, Qt.Key.Key_F11)
    assert window.side.isVisible() and window.pane.isVisible()


def test_a_light_follows_the_pointer_and_the_mouse_goes_through_it(window: MainWindow) -> None:
    halo = window.projector.halo
    assert not halo.isVisible()
    QTest.keyClick(window, Qt.Key.Key_F11)
    target = window.canvas.childAt(200, 200)
    for at in (QPoint(210, 200), QPoint(300, 260)):
        QTest.mouseMove(target, at)
        QApplication.processEvents()
        middle = halo.geometry().center()
        assert (middle - target.mapTo(window, at)).manhattanLength() <= 3
    assert halo.isVisible()
    assert halo.testAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
    QApplication.sendEvent(window, QEvent(QEvent.Type.Leave))
    assert not halo.isVisible()
    QTest.keyClick(window, Qt.Key.Key_F11)
    QTest.mouseMove(target, QPoint(220, 220))
    QApplication.processEvents()
    assert not halo.isVisible()


@pytest.mark.parametrize(("px", "scale"), [(11, 1.0), (13, 1.0), (15, 1.0), (20, 1.5), (26, 1.95), (9, 0.8), (90, 2.5)])
def test_the_systems_type_size_is_followed(qapp: QApplication, px: int, scale: float) -> None:
    font = QFont(FAMILY)
    font.setPixelSize(px)
    assert system_scale(font) == pytest.approx(scale)


def test_a_window_takes_the_systems_size_and_follows_a_change(
    qtbot: QtBot, demo: Document, monkeypatch: pytest.MonkeyPatch
) -> None:
    usual = shown(qtbot, demo)
    monkeypatch.setattr(main_module, "system_scale", lambda: 1.5)
    large = main_window(demo)
    large.dialogs = Answers()
    qtbot.addWidget(large)
    large.resize(1920, 1080)
    large.show()
    QApplication.processEvents()
    assert type_px(large) > 1.2 * type_px(usual)
    assert large.side.width() == round(1.5 * SIDE_PX)
    QApplication.sendEvent(usual, QEvent(QEvent.Type.ThemeChange))
    assert type_px(usual) == type_px(large)


@pytest.mark.parametrize("factor", ["1", "1.5", "2"])
def test_screens_of_many_pixels(factor: str, home: Path) -> None:
    """Qt's scale factor stands for the display's; the window has the same layout in as many more pixels."""
    app = str(Path(main_module.__file__).parents[2])
    environment = {**os.environ, "PYTHONPATH": app, "QT_QPA_PLATFORM": "offscreen", "QT_SCALE_FACTOR": factor}
    done = subprocess.run([sys.executable, "-c", SIZES], env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    width, height, laid_width, laid_height = (int(part) for part in done.stdout.split())
    assert (laid_width, laid_height) == (1366, 768)
    assert width == pytest.approx(float(factor) * 1366, abs=1) and height == pytest.approx(float(factor) * 768, abs=1)
