"""The room the window takes, and the size of its type."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document
from nightleg.window import main as main_module
from nightleg.window.app import main_window
from nightleg.window.documents.settings import Keeper, TypeSize, understood
from nightleg.window.main import MainWindow
from nightleg.window.sizing import TYPE_SIZES

from .conftest import Answers, shown


def type_px(window: MainWindow) -> tuple[float, ...]:
    """Type of a form, of the header, of the log, of the chart."""
    sheet = window.canvas.item.sheet
    assert sheet is not None
    widgets = (window.form.reading, window.header.rate, window.timeline)
    return *(float(one.font().pixelSize()) for one in widgets), sheet.theme.text_px * sheet.theme.scale


def test_the_first_window_has_room_on_its_screen_with_a_frame_about_it(qtbot: QtBot, demo: Document) -> None:
    screen = QGuiApplication.primaryScreen()
    assert screen is not None
    room = screen.availableGeometry()
    window = main_window(demo)
    window.dialogs = Answers()
    qtbot.addWidget(window)
    window.show()
    QApplication.processEvents()
    # The bar with the title is some 25 to 40 px high on the usual desktops (common practice, no source).
    assert window.width() <= room.width() and window.height() <= room.height() - 40


@pytest.mark.parametrize("scale", [1.0, 1.5, 2.0])
def test_large_type_leaves_the_window_its_size(
    qtbot: QtBot, demo: Document, monkeypatch: pytest.MonkeyPatch, scale: float
) -> None:
    monkeypatch.setattr(main_module, "system_scale", lambda: scale)
    window = shown(qtbot, demo, 1366, 728)
    QApplication.processEvents()
    assert (window.width(), window.height()) == (1366, 728)
    assert window.canvas.width() >= 0.4 * window.width()
    assert window.side.horizontalScrollBar().maximum() == 0
    window.side.ensureWidgetVisible(window.worked)
    assert not window.worked.visibleRegion().isEmpty()
    QTest.mouseMove(window.canvas.childAt(100, 100), window.canvas.rect().center())  # long words under the cursor
    window.read_out.setText("29°11.7′N 019°27.1′W   081°  12.4 NM from the DR " * 3)
    window.to_flight()
    window.session.asked.emit("dr", "track")
    QApplication.processEvents()
    assert (window.width(), window.height()) == (1366, 728)
    assert window.minimumSizeHint().width() <= 1366 and window.minimumSizeHint().height() <= 728


def test_type_of_another_size_is_everywhere_at_once(window: MainWindow) -> None:
    before, size = type_px(window), window.size()
    window.menus.type_sizes[150].trigger()
    QApplication.processEvents()
    for old, new in zip(before, type_px(window), strict=True):
        assert new == pytest.approx(1.5 * old, abs=1.0)  # px, rounded
    assert window.menus.type_sizes[150].isChecked() and not window.menus.type_sizes[100].isChecked()
    assert window.size() == size
    window.menus.type_sizes[100].trigger()
    QApplication.processEvents()
    assert type_px(window) == before


def test_the_size_of_type_is_kept_by_name(qtbot: QtBot, demo: Document, tmp_path: Path) -> None:
    path = tmp_path / "settings.json"
    for before, chosen in ((100, 200), (200, 125)):
        window = main_window(demo, Keeper(path))
        window.dialogs = Answers()
        qtbot.addWidget(window)
        window.resize(1366, 768)
        window.show()
        QApplication.processEvents()
        assert window.menus.type_sizes[before].isChecked()
        assert window.worn.base_px == round(14 * before / 100)
        window.sizing.choose(chosen)
        assert json.loads(path.read_text())["type_size"] == chosen
        assert window.worn.base_px == round(14 * chosen / 100)


def test_a_size_there_is_none_of_is_as_at_first() -> None:
    assert understood({"type_size": 137}) == (understood({})[0], False)
    assert understood({"type_size": TYPE_SIZES[-1]})[0].type_size == 200


def test_a_projector_makes_chosen_type_larger_still(window: MainWindow) -> None:
    window.sizing.choose(125)
    px = window.worn.base_px
    QTest.keyClick(window, Qt.Key.Key_F11)
    assert window.worn.base_px > 1.75 * px  # both are rounded
    QTest.keyClick(window, Qt.Key.Key_F11)
    assert window.worn.base_px == px


@pytest.mark.parametrize("size", [150, 200])
def test_no_field_cuts_what_is_in_it_at_a_size_chosen_later(qtbot: QtBot, demo: Document, size: TypeSize) -> None:
    window = shown(qtbot, demo, 3840, 2160)
    box, run = window.fix.switches["adopt"].sizeHint(), window.header.run.sizeHint()
    window.sizing.choose(size)
    for show in (window.to_sight, window.to_flight):
        show()
        qtbot.wait(50)
        found = [one for one in window.side.findChildren(QLineEdit) if one.isVisible() and one.text()]
        assert len(found) >= 3
        for one in found:
            if not isinstance(one.parentWidget(), QComboBox):
                need = one.fontMetrics().horizontalAdvance(one.text()) + 18  # frame and padding of the style sheet
                assert one.width() >= need, one.accessibleName()
    assert window.fix.switches["adopt"].sizeHint().height() > 1.3 * box.height()
    assert window.header.run.sizeHint().height() == round(run.height() * window.worn.base_px / 14)
