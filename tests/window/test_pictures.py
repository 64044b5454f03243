"""The window against approved pictures, which a person has looked at: each theme, and each state that matters.

    python3 tests/run.py tests/window/test_pictures.py --approve

writes them as the window looks now. Look at them before they are kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QCursor, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from nightleg.chart.themes import THEMES, ThemeName
from nightleg.window.helpsheet import HelpSheet
from nightleg.window.main import MainWindow

from .pictures import Pixels, compare, pixels, save_small, strays

APPROVED = Path(__file__).parent / "approved"


def opened(window: MainWindow) -> None:
    """The demo flight, just opened."""


def typed(window: MainWindow) -> None:
    """A sight is typed; its line and the new fix are on the chart."""
    QTest.keyClicks(window.form.reading, "29 34.5")


def disagreeing(window: MainWindow) -> None:
    """A reading one degree out: the fix panel says that the lines do not agree, and what may have gone wrong."""
    QTest.keyClicks(window.form.reading, "28 34.5")


def wrong(window: MainWindow) -> None:
    """A reading that cannot be read."""
    QTest.keyClicks(window.form.reading, "29 34.5x")


def form_out(window: MainWindow) -> None:
    """The flight form in place of the sight."""
    QTest.keyClick(window, Qt.Key.Key_F2, Qt.KeyboardModifier.ShiftModifier)


def explained(window: MainWindow) -> None:
    """A number explains itself."""
    typed(window)
    QTest.mouseClick(window.form.result["Ho"], Qt.MouseButton.LeftButton)


def projected(window: MainWindow) -> None:
    """Before a projector."""
    QTest.keyClick(window, Qt.Key.Key_F11)
    window.projector.halo.follow(QPoint(500, 300))


def helped(window: MainWindow) -> None:
    """The sheet of all keys."""
    QTest.keyClick(window, Qt.Key.Key_F1)


def filtered(window: MainWindow) -> None:
    """Only the sights in the log, in all columns."""
    QTest.keyClick(window, Qt.Key.Key_1, Qt.KeyboardModifier.AltModifier)
    QTest.keyClick(window, Qt.Key.Key_F4, Qt.KeyboardModifier.ShiftModifier)


STATES: tuple[Callable[[MainWindow], None], ...] = (
    opened,
    typed,
    disagreeing,
    wrong,
    form_out,
    explained,
    projected,
    helped,
    filtered,
)


@pytest.fixture(autouse=True)
def _steady(qapp: QApplication) -> Iterator[None]:
    """No cursor blinks, and the pointer is nowhere on the window."""
    flash = QApplication.cursorFlashTime()
    QApplication.setCursorFlashTime(0)
    QCursor.setPos(5000, 5000)
    yield
    QApplication.setCursorFlashTime(flash)


def seen(qtbot: QtBot, window: MainWindow) -> Pixels:
    """The window as it is seen once all has come to rest, or the sheet that lies over it."""
    QApplication.processEvents()
    qtbot.waitUntil(lambda: not window.canvas._resting.isActive(), timeout=10000)
    suspects = window.fix.suspects
    qtbot.waitUntil(lambda: not suspects._rest.isActive() and not suspects.search.running, timeout=30000)
    for _ in range(10):  # from panel to panel, each pass lays out one more
        QApplication.processEvents()
    sheets: list[QWidget] = [sheet for sheet in window.findChildren(HelpSheet) if sheet.isVisible()]
    return pixels((sheets or [window])[0].grab().toImage())


@pytest.mark.parametrize("theme", list(THEMES))
@pytest.mark.parametrize("state", STATES, ids=lambda state: state.__name__)
def test_it_looks_as_approved(
    request: pytest.FixtureRequest,
    qtbot: QtBot,
    window: MainWindow,
    tmp_path: Path,
    state: Callable[[MainWindow], None],
    theme: ThemeName,
) -> None:
    path = APPROVED / f"{state.__name__}-{theme}.png"
    window.set_theme(theme)
    state(window)
    made = seen(qtbot, window)
    if request.config.getoption("--approve"):
        save_small(made, path)
    new, differing = tmp_path / f"{path.stem}-new.png", tmp_path / f"{path.stem}-difference.png"
    save_small(made, new)
    assert path.exists(), f"there is no approved picture {path.name}; the new one is {new}"
    approved = pixels(QImage(str(path)))
    assert made.shape == approved.shape, f"another size than {path.name}; the new one is {new}"
    difference = compare(made, approved)
    if not difference.small:
        assert strays(made, approved).save(str(differing))
    assert difference.small, f"{difference} from {path.name}; look at {new} and {differing}"


def move(widget: QWidget, dx_px: int, dy_px: int) -> None:
    widget.move(widget.x() + dx_px, widget.y() + dy_px)


@pytest.mark.parametrize("theme", list(THEMES))
def test_a_widget_that_has_moved_or_is_missing_is_noticed(qtbot: QtBot, window: MainWindow, theme: ThemeName) -> None:
    window.set_theme(theme)
    typed(window)
    whole = seen(qtbot, window)
    assert compare(seen(qtbot, window), whole).small
    parts: tuple[QWidget, ...] = (
        window.form.reading,
        window.form.result["Hc"],
        window.form.intercept,
        window.fix.position,
        window.header.clock,
        window.header.run,
        window.desk.strip,
        window.timeline,
    )
    for part in parts:
        move(part, 3, 0)
        assert not compare(seen(qtbot, window), whole).small, part
        move(part, -3, 0)
        assert compare(seen(qtbot, window), whole).small, part
        policy = part.sizePolicy()
        kept = part.sizePolicy()
        kept.setRetainSizeWhenHidden(True)
        part.setSizePolicy(kept)
        part.hide()
        assert not compare(seen(qtbot, window), whole).small, part
        part.show()
        part.setSizePolicy(policy)
        window.form.reading.setFocus()
        assert compare(seen(qtbot, window), whole).small, part


def test_another_ground_is_noticed_and_other_smoothing_is_not(qtbot: QtBot, window: MainWindow) -> None:
    whole = seen(qtbot, window)
    beside = np.roll(whole, 1, axis=1).astype(np.float64)
    # A Qt that draws its edges an eighth of a pixel further on, and rounds colours otherwise.
    rounded = np.random.default_rng(1).integers(-1, 2, whole.shape)
    other = np.clip(np.rint(0.875 * whole + 0.125 * beside) + rounded, 0, 255).astype(np.uint8)
    assert compare(other, whole).small
    darker = np.clip(whole.astype(np.int16) - 2, 0, 255).astype(np.uint8)
    assert not compare(darker, whole).small
    assert not compare(np.roll(whole, 2, axis=0), whole).small


def test_a_picture_made_small_is_the_same_picture(qtbot: QtBot, window: MainWindow, tmp_path: Path) -> None:
    whole, path = seen(qtbot, window), tmp_path / "small.png"
    save_small(whole, path)
    again = pixels(QImage(str(path)))
    difference = compare(again, whole)
    assert difference.strayed == 0.0 and difference.mean < 0.15
    assert path.stat().st_size < 150_000
