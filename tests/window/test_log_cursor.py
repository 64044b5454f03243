"""One row of the log has the cursor, and it is the one that is highlighted, edited, copied and taken away."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from nightleg.chart.themes import THEMES, ThemeName
from nightleg.window.log.full import FIXED
from nightleg.window.look import look
from nightleg.window.main import MainWindow

NONE = Qt.KeyboardModifier.NoModifier
SHIFT, CTRL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier


def at_2115(window: MainWindow) -> None:
    window.session.set_now(window.session.document.flight.legs[-1].time.replace(minute=15))


def press(keys: str) -> None:
    """Keys go where the cursor is, their modifiers held down, as on a keyboard."""
    focus = QApplication.focusWidget()
    assert focus is not None
    QTest.keySequence(focus, keys)


def agrees(window: MainWindow) -> bool:
    """Whether the row of the cursor is chosen."""
    return window.log.currentIndex().row() in window.log.chosen_rows()


def in_sight(window: MainWindow) -> bool:
    table = window.log
    return table.viewport().rect().contains(table.visualRect(table.currentIndex().siblingAtColumn(0)).center())


def test_an_inserted_row_alone_is_chosen_and_seen(window: MainWindow) -> None:
    at_2115(window)
    before = window.session.document.flight
    for number in range(3):
        press("Ctrl+Shift+R")
        QTest.keyClicks(QApplication.focusWidget(), f"remark {number}")
        press("Return")
        row = window.log.currentIndex().row()
        assert window.log.chosen_rows() == [row] and in_sight(window)
        assert window.log.log.rows[row].cells[2] == f"remark {number}"
    press("Ctrl+Delete")
    left = window.session.document.flight.log
    assert [one.text for one in left] == [*(one.text for one in before.log), "remark 0", "remark 1"]
    press("Ctrl+Shift+L")
    press("Escape")
    assert len(window.log.chosen_rows()) == 1
    press("Ctrl+Delete")
    assert window.session.document.flight.legs == before.legs


@pytest.mark.parametrize(
    ("key", "held"),
    [
        (Qt.Key.Key_Home, CTRL),
        (Qt.Key.Key_Up, CTRL),
        (Qt.Key.Key_PageUp, CTRL),
        (Qt.Key.Key_PageUp, NONE),
        (Qt.Key.Key_Left, CTRL),
        (Qt.Key.Key_A, NONE),  # a letter goes to the next row that begins with it
    ],
)
def test_wherever_the_cursor_goes_its_row_alone_is_chosen(
    window: MainWindow, key: Qt.Key, held: Qt.KeyboardModifier
) -> None:
    press("F4")
    QTest.keyClick(window.log, Qt.Key.Key_Right)
    QTest.keyClick(window.log, key, held)
    assert window.log.chosen_rows() == [window.log.currentIndex().row()] and in_sight(window)


def test_what_is_highlighted_is_what_goes(window: MainWindow) -> None:
    press("F4")
    for key, held in ((Qt.Key.Key_Home, CTRL), (Qt.Key.Key_End, CTRL), (Qt.Key.Key_Home, CTRL)):
        QTest.keyClick(window.log, key, held)
    first = window.log.log.rows[0]
    assert first.kind == "remark"
    QTest.keyClick(window.log, Qt.Key.Key_Delete)
    assert window.log.log.rows[0].cells != first.cells
    assert len(window.session.document.flight.log) == 8 and agrees(window)
    press("Ctrl+Z")
    assert agrees(window)


def test_shift_chooses_all_rows_on_the_way(window: MainWindow) -> None:
    press("F4")
    last = len(window.log.log.rows) - 1
    assert window.log.chosen_rows() == [last]
    for _ in range(2):
        QTest.keyClick(window.log, Qt.Key.Key_Up, SHIFT)
    assert window.log.chosen_rows() == [last - 2, last - 1, last] and agrees(window)
    QTest.keyClick(window.log, Qt.Key.Key_Home, SHIFT | CTRL)
    assert window.log.chosen_rows() == list(range(last + 1)) and agrees(window)
    QTest.keyClick(window.log, Qt.Key.Key_Down)
    assert window.log.chosen_rows() == [1]


def test_a_row_that_is_clicked_out_of_the_choice_loses_the_cursor(window: MainWindow) -> None:
    table = window.log
    last = len(table.log.rows) - 1

    def click(row: int, held: Qt.KeyboardModifier = NONE) -> None:
        place = table.visualRect(table.log.index(row, 1)).center()
        QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, held, place)

    table.scrollToBottom()
    click(last)
    click(last - 2, CTRL)
    assert table.chosen_rows() == [last - 2, last]
    click(last - 2, CTRL)
    assert table.chosen_rows() == [last] and table.currentIndex().row() == last
    click(last, CTRL)  # one row has the cursor always
    assert table.chosen_rows() == [last] and table.currentIndex().row() == last
    click(last - 2, SHIFT)
    assert table.chosen_rows() == [last - 2, last - 1, last] and agrees(window)
    press("Alt+2")  # four fixes leave room below
    chosen = table.chosen_rows()
    assert len(chosen) == 1 and agrees(window)
    QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, NONE, QPoint(20, table.viewport().height() - 2))
    assert table.chosen_rows() == chosen and agrees(window)


def test_the_cursor_goes_on_when_its_row_is_filtered_out(window: MainWindow) -> None:
    press("F4")
    window.log.select_entry("sight", "s9")
    for number in (2, 1, 4, 0):
        press(f"Alt+{number}")
        assert len(window.log.chosen_rows()) == 1 and agrees(window) and in_sight(window)
    press("Alt+5")  # the demo has no other lines
    assert window.log.chosen_rows() == []
    press("Alt+0")
    assert len(window.log.chosen_rows()) == 1 and agrees(window) and in_sight(window)


@pytest.mark.parametrize("minute", [None, 15])
def test_the_key_to_the_log_goes_to_the_row_of_flight_time(window: MainWindow, minute: int | None) -> None:
    if minute is not None:
        at_2115(window)
        window.session.set_now(window.session.now, as_known=False)  # later entries are shown too
    press("F4")
    table = window.log
    row = table.log.rows[table.currentIndex().row()]
    assert row.time == window.session.now and in_sight(window) and agrees(window)
    assert row.kind == ("fix" if minute is None else "now")
    table.scrollToTop()
    press("F3")
    table.scrollToTop()
    assert not in_sight(window)
    press("F4")
    assert in_sight(window)
    table.scrollToTop()  # as by the wheel
    press("F4")
    assert in_sight(window)


def test_nothing_goes_that_is_not_seen(window: MainWindow) -> None:
    before = window.session.document.text
    window.log.select_entry("sight", "s2")
    window.canvas.setFocus()
    window.form.reading.setText("29 34.5")  # while work goes on elsewhere, the newest is kept in sight
    assert not in_sight(window)
    press("Ctrl+Delete")
    assert window.session.document.text == before
    assert in_sight(window) and "once more" in window.told.text()
    press("F8")
    assert not window.log.isVisible()
    press("Ctrl+Delete")
    assert window.session.document.text == before and window.log.isVisible() and in_sight(window)
    press("Ctrl+Delete")
    assert "s2" not in {sight.id for sight in window.session.document.flight.sights}


def test_undoing_an_insert_leaves_the_keys_with_the_log(window: MainWindow) -> None:
    at_2115(window)
    press("Ctrl+Shift+R")
    press("Ctrl+Z")
    assert window.log.hasFocus() and not window.log.editing and agrees(window)
    assert window.session.undo_stack.index() == 0


def test_in_the_full_log_the_cell_of_the_cursor_is_beside_the_columns_that_stay(window: MainWindow) -> None:
    press("F4")
    window.log.select_entry("fix", "f2")
    press("Shift+F4")
    table, bar = window.log, window.log.horizontalScrollBar()
    edge = sum(table.columnWidth(number) for number in range(FIXED))
    assert in_sight(window) and table.in_sight()
    for key, times in ((Qt.Key.Key_End, 1), (Qt.Key.Key_Left, 25), (Qt.Key.Key_Right, 30), (Qt.Key.Key_Left, 12)):
        for _ in range(times):
            QTest.keyClick(table, key)
            cell = table.visualRect(table.currentIndex())
            assert cell.left() >= edge
            assert cell.right() < table.viewport().width() or cell.left() == edge  # one cell is wider than the room
    before = bar.value()
    assert before > 0
    QTest.keyClick(table, Qt.Key.Key_Down)
    assert table.log.rows[table.currentIndex().row()].kind == "remark"  # which runs over all columns
    assert bar.value() == before and table.in_sight()


@pytest.mark.parametrize("theme", ["paper", "dim", "red"])
@pytest.mark.parametrize("full", [False, True])
def test_the_cell_of_the_cursor_has_a_frame(window: MainWindow, theme: ThemeName, full: bool) -> None:
    window.set_theme(theme)
    press("F4")
    if full:
        press("Shift+F4")
    table = window.log
    for column in range(4):
        view = table.fixed if full and column < FIXED else table
        place = view.visualRect(table.currentIndex()).topLeft() + QPoint(4, 0)
        assert view.viewport().grab().toImage().pixelColor(place) == QColor(look(THEMES[theme]).line), column
        QTest.keyClick(table, Qt.Key.Key_Right)
