"""The log edited in its cells, with real keys and a real mouse."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QFontMetrics, QGuiApplication, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from nightleg.flight.edits import Put
from nightleg.window.log.full import FIXED, FULL
from nightleg.window.log.model import WRONG_MARK
from nightleg.window.log.table import LogTable
from nightleg.window.main import MainWindow
from nightleg.window.parts import Entry


def editor(table: LogTable) -> Entry:
    """The open editor."""
    found = [one for one in table.findChildren(Entry) if one.property("cell") and one.isVisible()]
    assert len(found) == 1
    return found[0]


def at(window: MainWindow, kind: str, id: str, column: str) -> QPoint:
    """The middle of a cell, on the screen of the table."""
    table = window.log
    number = table.log.number_of((kind, id))
    assert number is not None
    index = table.log.index(number, table.log.columns.index(column))
    table.scrollTo(index)
    return table.visualRect(index).center()


def click(window: MainWindow, kind: str, id: str, column: str) -> None:
    QTest.mouseClick(window.log.viewport(), Qt.MouseButton.LeftButton, pos=at(window, kind, id, column))


def begin(window: MainWindow, kind: str, id: str, column: str) -> Entry:
    """Click a cell and press F2."""
    click(window, kind, id, column)
    QTest.keyClick(window.log, Qt.Key.Key_F2)
    return editor(window.log)


def retype(field: Entry, text: str, end: Qt.Key = Qt.Key.Key_Return) -> None:
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, end)


def shown(window: MainWindow, kind: str, id: str, column: str) -> str:
    table = window.log
    number = table.log.number_of((kind, id))
    assert number is not None
    return str(table.log.index(number, table.log.columns.index(column)).data())


@pytest.mark.parametrize(
    ("kind", "id", "column", "old", "new", "in_file", "step"),
    [
        ("sight", "s10", "reading", "46 37.0", "46 39.5", 'hs = "46 39.5"', "reading of s10"),
        ("sight", "s10", "reading", "46 37.0", "4639.5", 'hs = "4639.5"', "reading of s10"),
        ("sight", "s10", "time", "2152", "215230", "time = 2026-10-18T21:52:30Z", "time of s10"),
        ("sight", "s10", "entry", "Saturn", "vega", 'body = "Vega"', "body of s10"),
        ("sight", "s10", "use", "yes", "no", "use = false", "use of s10"),
        ("leg", "5", "intercept", "250/38", "255/40", 'wind = "255/40"', "wind of leg 5"),
        ("leg", "5", "Hc", "133", "CH 135", "heading_compass_deg = 135.0", "compass heading of leg 5"),
        ("leg", "5", "Zn", "", "210", "tas_kt = 210", "TAS of leg 5"),
        ("leg", "5", "time", "2110", "2112", "time = 2026-10-18T21:12:00Z", "time of leg 5"),
        (
            "remark",
            "8",
            "reading",
            "Saturn and Altair done, Polaris next",
            "Polaris next",
            'text = "Polaris next"',
            "text",
        ),
        ("fix", "f4", "Hc", "s10 s11", "s11, s10", 'sights = ["s11", "s10"]', "shots of f4"),
        ("fix", "f4", "use", "yes", "n", "adopt = false", "adopt of f4"),
        ("start", "start", "reading", "39 42.0 N 031 00.0 W", "39 43 N 31 W", 'position = "39 43 N 31 W"', "position"),
    ],
)
def test_a_cell_is_edited_as_the_file_has_it_and_undone_by_name(
    window: MainWindow, kind: str, id: str, column: str, old: str, new: str, in_file: str, step: str
) -> None:
    before = window.session.document.text
    field = begin(window, kind, id, column)
    assert field.text() == old
    retype(field, new)
    assert not window.log.editing
    assert in_file in window.session.document.text
    assert step in window.session.undo_stack.undoText()
    QTest.keySequence(window.log, "Ctrl+Z")
    assert window.session.document.text == before
    QTest.keySequence(window.log, "Ctrl+Shift+Z")
    assert in_file in window.session.document.text


def test_comments_beside_what_is_edited_stay(window: MainWindow) -> None:
    retype(begin(window, "leg", "4", "Hc"), "131")
    text = window.session.document.text
    assert "# the turn" in text and "heading_compass_deg = 131.0" in text
    retype(begin(window, "sight", "s2", "reading"), "24 30")
    assert "# the limb that the Sun lights" in window.session.document.text


def test_double_click_and_enter_edit_too(window: MainWindow) -> None:
    place = at(window, "sight", "s11", "reading")
    QTest.mouseClick(window.log.viewport(), Qt.MouseButton.LeftButton, pos=place)
    QTest.mouseDClick(window.log.viewport(), Qt.MouseButton.LeftButton, pos=place)
    assert editor(window.log).text() == "48 28.0"
    QTest.keyClick(editor(window.log), Qt.Key.Key_Escape)
    assert not window.log.editing
    click(window, "sight", "s11", "Ho")  # worked out: the reading is what is edited
    QTest.keyClick(window.log, Qt.Key.Key_Return)
    assert editor(window.log).text() == "48 28.0"


def test_wrong_text_stays_in_the_cell_with_its_words_and_is_not_applied(qtbot: QtBot, window: MainWindow) -> None:
    before = window.session.document
    field = begin(window, "sight", "s10", "reading")
    retype(field, "96 37")
    assert editor(window.log) is field and field.text() == "96 37"
    assert field.property("wrong") is True
    words = window.log.words
    assert words.isVisible() and "90" in words.text()
    assert words.mapTo(window, QPoint(0, 0)).y() != window.log.mapTo(window, QPoint(0, 0)).y()
    assert window.session.document is before
    QTest.mouseClick(window.form.reading, Qt.MouseButton.LeftButton)  # to something else
    qtbot.waitUntil(lambda: not window.log.editing, timeout=2000)
    assert window.session.document is before
    assert shown(window, "sight", "s10", "reading") == f"{WRONG_MARK}96 37"
    assert shown(window, "sight", "s10", "note").startswith("not applied: ")
    QTest.keyClicks(window.form.reading, "29 34.5")  # the flight is solved anew; the text stays
    assert shown(window, "sight", "s10", "reading") == f"{WRONG_MARK}96 37"
    field = begin(window, "sight", "s10", "reading")
    assert field.text() == "96 37"
    retype(field, "46 37.5")
    assert shown(window, "sight", "s10", "reading") == "46°37.5′"
    assert not words.isVisible()
    assert 'hs = "46 37.5"' in window.session.document.text


def test_escape_lets_go_of_wrong_text(window: MainWindow) -> None:
    field = begin(window, "leg", "5", "intercept")
    retype(field, "250-38")
    assert "wind" in window.log.words.text()
    QTest.keyClick(field, Qt.Key.Key_Escape)
    assert shown(window, "leg", "5", "intercept") == "wind 250/38"
    assert not window.log.words.isVisible()


def test_what_only_the_whole_flight_can_refuse_is_said_at_the_cell(window: MainWindow) -> None:
    field = begin(window, "leg", "4", "time")
    retype(field, "2130")  # the next leg begins at 2110
    assert "leg" in window.log.words.text() and window.log.editing
    QTest.keyClick(field, Qt.Key.Key_Escape)
    field = begin(window, "fix", "f4", "Hc")
    retype(field, "s10 s99")
    assert "s99" in window.log.words.text()
    QTest.keyClick(field, Qt.Key.Key_Escape)


def test_tab_goes_on_to_the_next_cell_that_can_be_edited(window: MainWindow) -> None:
    field = begin(window, "sight", "s10", "time")
    retype(field, "2153", Qt.Key.Key_Tab)
    assert editor(window.log).text() == "Saturn"
    QTest.keyClick(editor(window.log), Qt.Key.Key_Tab)
    assert editor(window.log).text() == "46 37.0"
    assert "21:53:00Z" in window.session.document.text


def test_a_time_moves_the_row_and_the_cursor_with_it(window: MainWindow) -> None:
    first = window.log.log.number_of(("sight", "s11"))
    retype(begin(window, "sight", "s11", "time"), "2140")
    moved = window.log.log.number_of(("sight", "s11"))
    assert first is not None and moved is not None and moved < first
    assert window.log.currentIndex().row() == moved
    assert [row.time for row in window.log.log.rows] == sorted(row.time for row in window.log.log.rows)


def test_an_editor_outlives_the_clock_and_the_typing_of_a_sight(window: MainWindow) -> None:
    field = begin(window, "sight", "s4", "reading")
    field.selectAll()
    QTest.keyClicks(field, "14 2")
    window.form.reading.setText("29 34.5")  # a row comes
    window.session.set_now(window.session.document.flight.fixes[2].time)  # and rows go
    assert editor(window.log) is field and field.text() == "14 2"
    QTest.keyClicks(field, "6.5")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert 'hs = "14 26.5"' in window.session.document.text


@pytest.mark.parametrize("full", [False, True])
def test_the_editor_of_a_new_leg_covers_no_remark_and_shows_what_is_held(window: MainWindow, full: bool) -> None:
    table = window.log
    table.set_full(full)
    window.session.set_now(window.session.document.flight.legs[-1].time.replace(minute=15))
    QTest.keySequence(window, "Ctrl+Shift+L")
    if full:
        QTest.keyClick(editor(table), Qt.Key.Key_Escape)
        field = begin(window, "leg", "6", "wind")
    else:
        field = editor(table)
    assert table.visualRect(table.currentIndex()).contains(field.geometry())
    assert field.text() == "" and "250/38" in field.placeholderText()
    assert field.accessibleName() == "wind of leg 6"
    assert field.accessibleDescription() == "held from the leg before"


def test_a_step_that_renames_has_the_new_name(window: MainWindow) -> None:
    window.log.set_full(True)
    retype(begin(window, "sight", "s10", "id"), "s20")
    assert window.session.undo_stack.undoText() == "name of s20"
    retype(begin(window, "remark", "0", "time"), "1752")
    assert window.session.undo_stack.undoText() == "time of remark of 1752"


def test_a_series_is_edited_reading_by_reading(window: MainWindow) -> None:
    field = begin(window, "sight", "s1", "reading")
    assert field.text().startswith("18:09:00 12 09.0; 18:09:30 ")
    retype(field, "18:09:00 12 09.0; 18:10:00 12 61")
    assert "reading 2" in window.log.words.text()
    retype(field, "18:09:00 12 09.0; 18:10:00 12 00")
    assert 'readings = [["18:09:00", "12 09.0"], ["18:10:00", "12 00"]]' in window.session.document.text


def test_space_uses_or_sets_aside(window: MainWindow) -> None:
    click(window, "sight", "s10", "entry")
    QTest.keyClick(window.log, Qt.Key.Key_Space)
    assert window.session.document.flight.sights[9].use is False
    assert shown(window, "sight", "s10", "use") == "no"
    QTest.keyClick(window.log, Qt.Key.Key_Space)
    assert window.session.document.flight.sights[9].use is True


def test_the_full_log_has_all_columns_and_the_first_stay(qtbot: QtBot, window: MainWindow) -> None:
    QTest.keySequence(window, "Shift+F4")
    table = window.log
    assert table.log.columns == FULL
    assert table.horizontalScrollBar().maximum() > 1000
    assert table.viewport().height() % table.rowHeight(0) == 0
    fixed = table.fixed
    assert fixed.isVisible() and fixed.width() == sum(table.columnWidth(i) for i in range(FIXED))
    assert shown(window, "leg", "5", "CH") == "133°" and shown(window, "leg", "5", "dev") == "+0.5°"
    table.horizontalScrollBar().setValue(900)
    assert fixed.x() <= 1 and not fixed.isColumnHidden(0)
    retype(begin(window, "leg", "5", "altitude"), "16 000")
    assert "altitude_ft = 16000" in window.session.document.text
    table.horizontalScrollBar().setValue(0)
    field = begin(window, "leg", "5", "time")
    assert fixed.isAncestorOf(field)
    retype(field, "2111")
    assert "21:11:00Z" in window.session.document.text
    QTest.keySequence(window, "Shift+F4")
    assert not fixed.isVisible() and table.log.columns != FULL


def test_a_remark_is_in_sight_in_the_full_log_wherever_that_is_moved(window: MainWindow) -> None:
    QTest.keySequence(window, "Shift+F4")
    table = window.log
    number = table.log.number_of(("remark", "8"))
    assert number is not None
    index = table.log.index(number, FIXED)
    assert index.data() == "Saturn and Altair done, Polaris next"
    at_edge = sum(table.columnWidth(i) for i in range(FIXED))

    def ink() -> int:
        """How many dark pixels stand beside the columns that stay."""
        row = table.visualRect(index)
        picture = table.viewport().grab(QRect(at_edge, row.top(), 260, row.height())).toImage()
        return sum(one < 140 for one in bytes(picture.convertToFormat(QImage.Format.Format_Grayscale8).constBits()))

    table.scrollTo(index)
    for value in (0, 333, table.horizontalScrollBar().maximum()):
        table.horizontalScrollBar().setValue(value)
        assert ink() > 300, value  # some thirty letters
    click(window, "remark", "8", "time")
    QTest.keyClick(table, Qt.Key.Key_Right)
    QTest.keyClick(table, Qt.Key.Key_F2)
    field = editor(table)
    assert field.text() == "Saturn and Altair done, Polaris next" and table.viewport().rect().contains(field.geometry())
    retype(field, "Polaris next")
    assert 'text = "Polaris next"' in window.session.document.text
    table.copy()
    heads, copied = QGuiApplication.clipboard().text().splitlines()
    assert heads.split() == ["time", "entry", "id"] and copied.endswith("Polaris next")


@pytest.mark.parametrize("full", [False, True])
def test_columns_are_wide_enough_for_what_they_hold(window: MainWindow, full: bool) -> None:
    table = window.log
    place = ("sight", "s10")
    more = {"horizon": "natural", "assumed": "41 30 N 120 15 W", "sigma_arcmin": 12.5, "correction_arcmin": -10.5}
    more |= {"speed_change_kt_per_min": -10.5, "turn_deg_per_min": -2.5}
    window.session.edit("more of s10", *(Put(place, key, value) for key, value in more.items()))
    table.set_full(full)
    for number in range(len(table.log.rows)):
        for column in range(len(table.log.columns) - 1):
            index = table.log.index(number, column)
            text, type_face = index.data(), index.data(Qt.ItemDataRole.FontRole)
            if text and table.log.rows[number].kind != "remark":
                width = sum(table.columnWidth(column + i) for i in range(table.columnSpan(number, column)))
                assert QFontMetrics(type_face).horizontalAdvance(text) + 8 <= width, (text, table.log.columns[column])


@pytest.mark.parametrize(("keys", "name"), [("Ctrl+Shift+R", "text of remark"), ("Ctrl+Shift+L", "wind of leg 6")])
def test_what_is_put_into_the_full_log_is_edited_where_it_matters(window: MainWindow, keys: str, name: str) -> None:
    QTest.keySequence(window, "Shift+F4")
    window.session.set_now(window.session.document.flight.legs[-1].time.replace(minute=15))
    QTest.keySequence(window, keys)
    field = editor(window.log)
    assert field.accessibleName().startswith(name) and field.hasFocus()
    assert window.log.viewport().rect().contains(field.geometry())


@pytest.mark.parametrize(
    ("column", "text", "held", "gone"),
    [
        ("TH", "128", "heading_deg = 128", "heading_compass_deg = 133"),
        ("MH", "134", "heading_magnetic_deg = 134", "heading_compass_deg = 133"),
        ("TC", "120", "track_deg = 120", "heading_compass_deg = 133"),
        ("CAS/Mach", "M 0.4", "mach = 0.4", "cas_kt"),
        ("CAS/Mach", "165", "cas_kt = 165", "mach"),
        ("GS", "225", "gs_kt = 225", "heading_compass_deg = 133"),
    ],
)
def test_another_form_of_heading_or_speed_takes_the_place_of_the_one_before(
    window: MainWindow, column: str, text: str, held: str, gone: str
) -> None:
    window.log.set_full(True)
    retype(begin(window, "leg", "5", column), text)
    assert not window.log.editing
    assert held in window.session.document.text and gone not in window.session.document.text
    before = window.session.undo_stack.count()
    assert before == 1


def test_the_chart_is_told_of_the_row_and_the_row_of_the_chart(qtbot: QtBot, window: MainWindow) -> None:
    with qtbot.waitSignal(window.log.entry_selected, timeout=1000) as told:
        click(window, "sight", "s11", "entry")
    assert told.args == ["sight", "s11"]
    with qtbot.assertNotEmitted(window.log.entry_selected):
        window.log.select_entry("fix", "f2")
    index = window.log.currentIndex()
    assert window.log.log.rows[index.row()].id == "f2"
    assert window.log.viewport().rect().contains(window.log.visualRect(index))


def test_rows_are_copied_as_aligned_text(window: MainWindow) -> None:
    click(window, "sight", "s10", "entry")
    QTest.mouseClick(
        window.log.viewport(),
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.ControlModifier,
        at(window, "sight", "s11", "entry"),
    )
    QTest.keySequence(window.log, "Ctrl+C")
    lines = QGuiApplication.clipboard().text().splitlines()
    assert len(lines) == 3
    assert lines[1].index("46°37.0′") == lines[2].index("48°28.0′") == lines[0].index("reading")
    click(window, "sight", "s10", "entry")
    QTest.keySequence(window.log, "Ctrl+C")
    lines = QGuiApplication.clipboard().text().splitlines()
    assert len(lines) == 2 and "46°37.0′" in lines[1]
    window.form.reading.setFocus()
    QTest.keySequence(window.form.reading, "Ctrl+Shift+C")
    lines = QGuiApplication.clipboard().text().splitlines()
    assert len(lines) == 1 + len(window.log.log.rows)
    assert any("Well north-east of DR" in line for line in lines)


def test_nothing_is_edited_in_rows_that_are_worked_out(window: MainWindow) -> None:
    window.form.reading.setText("29 34.5")
    QApplication.processEvents()
    typed = next(row for row in window.log.log.rows if row.typed)
    click(window, typed.kind, typed.id, "reading")
    QTest.keyClick(window.log, Qt.Key.Key_F2)
    assert not window.log.editing
    assert window.told.text()
