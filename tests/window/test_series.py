"""A series of readings: pasted and typed, its mean, scatter and residuals, and how it is filed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QFontMetricsF, QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from nightleg.flight.model import Reading
from nightleg.units.angles import write_arcmin
from nightleg.window.main import MainWindow
from nightleg.window.sight.series import file_clock, is_series, odd_ones, odd_words, split_rows, spread
from nightleg.window.sight.seriestable import MOST_ROWS

NOON = datetime(2026, 10, 18, 12, 0, tzinfo=UTC)
PASTED = "21:58:00 29 31.0\n21:58:30\t29 33.5\n21:59:00; 29 34.0\n21:59:30 29 34.5\n22:00:00 29 35.5\n"


@pytest.mark.parametrize(
    ("line", "row"),
    [
        ("22:51:00 61 10.2", ("22:51:00", "61 10.2")),
        ("22:51:00\t61 10.2", ("22:51:00", "61 10.2")),
        ("225100;6110.2", ("225100", "6110.2")),
        ("2251:00   61°10.2′", ("2251:00", "61°10.2′")),
        ("22 51 00 61 10.2", ("22 51 00", "61 10.2")),
        ("22 51 61 10.2", ("22 51", "61 10.2")),
        ("22 51 61.17", ("22 51", "61.17")),
        ("22:51:00, 61 10.2", ("22:51:00", "61 10.2")),
        ("22:51:00 | 61 10,2", ("22:51:00", "61 10,2")),
        ("225100", ("225100", "")),
    ],
)
def test_rows_are_split_as_people_write_them(line: str, row: tuple[str, str]) -> None:
    assert split_rows(line) == (row,)


def test_headings_and_blank_lines_are_left_out() -> None:
    assert split_rows("time  altitude\n\n225100 61 10.2\n") == (("225100", "61 10.2"),)


@pytest.mark.parametrize(
    ("text", "series"), [("41 23.5", False), ("4123.5", False), (PASTED, True), ("225100\t61 10.2", True), ("", False)]
)
def test_one_reading_is_no_series(text: str, series: bool) -> None:
    assert is_series(text) is series


def test_nothing_else_that_is_pasted_is_dropped() -> None:
    assert split_rows("22:51:00 61 10.2\ncloud\n22:52:00 61 11.0") == (
        ("22:51:00", "61 10.2"),
        ("cloud", ""),
        ("22:52:00", "61 11.0"),
    )
    assert split_rows("xyz abc\n") == (("xyz", "abc"),)


def readings(*arcmin: float) -> list[Reading]:
    return [Reading(time=NOON + timedelta(seconds=30 * k), hs=30.0 + off / 60.0) for k, off in enumerate(arcmin)]


def test_residuals_are_what_the_computed_motion_leaves() -> None:
    found = spread(readings(0.0, 2.0, 4.0, 6.0, 8.0), 4.0)  # 4′ a minute, read without error
    assert found.minutes == pytest.approx([-1.0, -0.5, 0.0, 0.5, 1.0])
    assert np.abs(found.residuals_arcmin).max() < 1e-9
    assert found.sigma_arcmin is not None and found.sigma_arcmin < 1e-9
    assert found.odd == ()
    still = spread(readings(0.0, 2.0, 4.0, 6.0, 8.0), 0.0)
    assert still.residuals_arcmin == pytest.approx([-4.0, -2.0, 0.0, 2.0, 4.0])
    assert still.sigma_arcmin == pytest.approx(np.std([-4, -2, 0, 2, 4], ddof=1))


def test_an_outlier_of_the_handbooks_example_is_found() -> None:
    # NIST/SEMATECH e-Handbook of Statistical Methods 1.3.5.17 gives the score 0.6745·(x − median)/MAD and its limit
    # 3.5; here MAD = 1, so 5.19 is the edge.
    assert odd_ones([-2.0, -1.0, 0.0, 1.0, 2.0, 5.1]) == ()
    assert odd_ones([-1.0, -1.0, 0.0, 1.0, 1.0, 0.0, 5.3]) == (6,)


def test_three_readings_cannot_tell_which_is_off() -> None:
    assert odd_ones([0.0, 0.0, 30.0]) == ()


def test_a_fine_series_is_not_picked_at() -> None:
    assert odd_ones([0.0, 0.0, 0.0, 0.0, 1.7]) == ()  # within the fineness of reading, though all others agree


def test_what_lies_apart_is_said_in_words() -> None:
    series = readings(0.0, 1.0, 0.0, 10.0, 0.0)
    (words,) = odd_words(series, spread(series, 0.0))
    assert words.startswith("reading 4 at 1201:30 lies +10.0′ off the others")


def test_times_of_the_file() -> None:
    assert file_clock(NOON) == "12:00:00"
    assert file_clock(NOON + timedelta(seconds=0.5)) == "12:00:00.5"


def paste(window: MainWindow, text: str) -> None:
    QGuiApplication.clipboard().setText(text)
    window.form.reading.setFocus()
    QTest.keySequence(window.form.reading, "Ctrl+V")


def test_a_pasted_list_becomes_a_series_and_is_filed_as_readings(window: MainWindow) -> None:
    session, form = window.session, window.form
    paste(window, PASTED)
    assert form.series.isVisible()
    assert len(session.typed.readings) == 5
    assert form.time.text() == "2159:00" and form.time.isReadOnly()
    assert form.reading.text() == "29 33.7"
    assert "5 readings, mean 2159:00  29 33.7" in form.series.mean.text()
    assert form.series.picture.shown is not None and len(form.series.picture.shown.residuals_arcmin) == 5
    sight = session.worked.sight
    assert sight is not None and sight.scatter_arcmin is not None
    assert form.series.picture.shown.sigma_arcmin == pytest.approx(sight.scatter_arcmin, abs=1e-9)
    assert f"scatter {sight.scatter_arcmin:.1f}′" in form.series.scatter.text()
    form.start()
    form.file()
    new = session.document.flight.sights[-1]
    assert [reading.hs for reading in new.readings] == pytest.approx(
        [29 + m / 60 for m in (31.0, 33.5, 34, 34.5, 35.5)]
    )
    assert '["21:58:00", "29 31.0"]' in session.document.text
    assert form.time.text() == "" and not form.time.isReadOnly()
    assert form.series.table.rows() == ()
    session.undo_stack.undo()
    assert len(form.series.table.rows()) == 5  # the typing is there again


def test_readings_are_typed_one_after_the_other(window: MainWindow) -> None:
    form = window.form
    QTest.keySequence(window, "Ctrl+R")
    assert form.series.isVisible()
    for time, altitude in (("215800", "29 31.0"), ("215830", "29 33.5"), ("215900", "29 34.0")):
        for text in (time, altitude):
            field = QApplication.focusWidget()
            assert field is not None
            QTest.keyClicks(field, text)
            QTest.keyClick(field, Qt.Key.Key_Return)
    assert len(window.session.typed.readings) == 3
    field = QApplication.focusWidget()
    assert field is form.series.table.fields[3][0]
    QTest.keyClick(field, Qt.Key.Key_Return)  # Enter in the empty row files
    assert len(window.session.document.flight.sights[-1].readings) == 3


def test_a_wrong_row_is_told_and_the_others_keep_working(window: MainWindow) -> None:
    form = window.form
    paste(window, PASTED.replace("29 34.0", "29 74.0"))
    assert len(window.session.typed.readings) == 4
    assert "Row 3 is left out" in form.series.said.text() and "below 60" in form.series.said.text()
    assert form.series.mean.text().startswith("4 of 5 rows, mean ")
    assert form.result["Ho"].text() != "—"  # of the four
    assert not form.enter.isEnabled()
    flight = window.session.document.flight
    form.file()
    assert window.session.document.flight is flight and form.series.table.fields[2][1].hasFocus()
    assert form.series.table.fields[2][1].property("wrong") is True
    form.series.table.fields[2][1].setText("29 34.0")
    assert len(window.session.typed.readings) == 5 and not window.session.typed.remarks
    assert form.series.table.fields[2][1].property("wrong") is False


def test_an_outlier_is_marked_in_words_and_in_the_picture(window: MainWindow) -> None:
    form = window.form
    paste(window, PASTED.replace("29 34.5", "29 54.5"))
    assert "reading 4" in form.series.said.text()
    assert form.series.picture.shown is not None and form.series.picture.shown.odd == (3,)
    assert "4: " in form.series.picture.accessibleDescription()
    assert "apart" in form.series.picture.accessibleDescription()


def test_back_to_one_reading_and_to_the_rows_again(window: MainWindow) -> None:
    form = window.form
    time = form.time.text()
    paste(window, PASTED)
    QTest.mouseClick(form.series.single, Qt.MouseButton.LeftButton)
    assert form.time.text() == time and not form.time.isReadOnly()
    assert window.session.typed.readings == ()
    form.series_button.setChecked(False)
    form.series_button.setChecked(True)
    assert len(form.series.table.rows()) == 5  # nothing typed is lost
    assert len(window.session.typed.readings) == 5


def test_the_picture_puts_dots_where_they_belong(window: MainWindow) -> None:
    paste(window, PASTED)
    picture = window.form.series.picture
    zero, above = picture.place(0.0, 0.0), picture.place(0.5, 1.0)
    assert above.x() > zero.x() and above.y() < zero.y()
    image = picture.grab().toImage()
    colours = {image.pixelColor(x, y).rgb() for x in range(image.width()) for y in range(image.height())}
    assert len(colours) > 8  # something is drawn


def test_a_pasted_line_that_cannot_be_read_keeps_its_row_and_is_told(window: MainWindow) -> None:
    form = window.form
    paste(window, PASTED.replace("21:59:00; 29 34.0", "cloud here"))
    table, typed = form.series.table, window.session.typed
    assert table.rows()[2] == ("cloud", "here") and len(typed.readings) == 4
    assert all(field.property("wrong") for field in table.fields[2])
    assert form.series.said.text().startswith('Row 3 is left out: "cloud"')
    assert table.fields[2][0].hasFocus()  # where there is something to mend
    assert form.series.mean.text().startswith("4 of 5 rows")
    off = [label.text() for _, _, _, label in table._rows[:5]]
    assert off[2] == "wrong" and all("′" in text for number, text in enumerate(off) if number != 2)


def test_a_series_without_a_row_that_can_be_read_says_why_there_is_no_mean(window: MainWindow) -> None:
    paste(window, "cloud\nhaze\n")
    assert window.form.series.table.rows() == (("cloud", ""), ("haze", ""))
    assert window.form.series.mean.text() == "No mean: no row can be read"
    assert window.form.result["Ho"].text() == "—"


def test_a_list_pasted_into_a_row_pushes_the_others_down(window: MainWindow) -> None:
    form = window.form
    paste(window, PASTED)
    time = form.series.table.fields[1][0]
    QGuiApplication.clipboard().setText("21:58:10 29 32.0\n21:58:20 29 32.5\n")
    time.setFocus()
    time.selectAll()
    QTest.keySequence(time, "Ctrl+V")
    rows = form.series.table.rows()
    assert rows[1:3] == (("21:58:10", "29 32.0"), ("21:58:20", "29 32.5"))
    assert rows[3] == ("", "29 33.5") and rows[4] == ("21:59:00", "29 34.0") and len(rows) == 7


def test_more_rows_than_there_is_room_for_are_told(window: MainWindow) -> None:
    lines = [f"21:{58 + number // 60}:{number % 60:02d} 29 31.0" for number in range(MOST_ROWS)]
    paste(window, "\n".join([*lines, "22:00:00 29 31.0", "22:00:01 29 31.0"]))
    assert len(window.form.series.table.rows()) == MOST_ROWS
    assert "2 at its end found no room" in window.form.series.said.text()


def test_a_row_that_is_half_there_is_not_filed_away(window: MainWindow) -> None:
    form = window.form
    paste(window, PASTED)
    QTest.keyClicks(form.series.table.fields[5][0], "220030")
    assert form.series.mean.text().startswith("5 of 6 rows") and not form.series.said.isVisible()
    form.file()
    assert form.series.table.fields[5][1].hasFocus() and form.series.table.rows()[5] == ("220030", "")


def test_an_outlier_is_named_by_its_row(window: MainWindow) -> None:
    paste(window, "cloud\n" + PASTED.replace("29 34.5", "29 54.5"))
    assert "reading 5 at 2159:30" in window.form.series.said.text()


def test_a_row_that_is_only_begun_does_not_throw_the_mean_away(window: MainWindow) -> None:
    form = window.form
    paste(window, PASTED)
    before = window.session.typed.hs_deg
    QTest.keyClicks(form.series.table.fields[5][0], "220030")
    for sign in "2":
        QTest.keyClicks(form.series.table.fields[5][1], sign)
        assert window.session.typed.hs_deg == before
    QTest.keyClicks(form.series.table.fields[5][1], "9 36.0")
    assert len(window.session.typed.readings) == 6


def test_the_first_row_of_a_series_that_is_only_begun_does_not_throw_the_fix_away(window: MainWindow) -> None:
    QTest.keySequence(window, "Ctrl+R")
    time, altitude = window.form.series.table.fields[0]
    QTest.keyClicks(time, "215800")
    QTest.keyClicks(altitude, "2")
    assert window.session.worked.typed_id is None
    QTest.keyClicks(altitude, "9 31.0")
    assert window.session.worked.typed_id is not None


def in_sight(window: MainWindow, row: int) -> bool:
    """Whether all of a row can be seen."""
    table = window.form.series.table
    port, field = table._area.viewport(), table.fields[row][0]
    top = field.mapTo(port, QPoint(0, 0)).y()
    return top >= 0 and top + field.height() <= port.height()


def test_the_row_to_go_on_with_is_in_sight(qtbot: QtBot, window: MainWindow) -> None:
    paste(window, PASTED)
    table = window.form.series.table
    assert table.fields[5][0].hasFocus()
    qtbot.waitUntil(lambda: in_sight(window, 5), timeout=5000)
    QTest.keyClicks(table.fields[5][0], "220030")
    qtbot.waitUntil(lambda: in_sight(window, 5) and in_sight(window, 6), timeout=5000)


def test_the_scale_of_the_picture_has_room_for_its_figures(window: MainWindow) -> None:
    picture = window.form.series.picture
    paste(window, PASTED)
    window.form.series.table.fields[1][1].setText("33 33.5")
    assert picture.shown is not None and picture.shown.sigma_arcmin is not None
    figure = write_arcmin(-picture.shown.sigma_arcmin)
    assert len(figure) > len("−10.0′")
    assert picture._field().left() - 6.0 >= QFontMetricsF(picture.font()).horizontalAdvance(figure)


@pytest.mark.parametrize("field", ["time", "reading"])
def test_a_folded_series_says_that_it_counts_and_typing_over_its_mean_opens_it(
    qtbot: QtBot, window: MainWindow, field: str
) -> None:
    form = window.form
    paste(window, PASTED)
    QTest.mouseClick(form.series_button, Qt.MouseButton.LeftButton)
    assert form.series.isHidden() and form.remark.isVisible()
    assert form.remark.text().startswith("Mean of a series") and form.remark.property("kind") == "muted"
    target = form.time if field == "time" else form.reading
    target.setFocus()
    QTest.keyClicks(target, "3")
    assert form.series.isVisible() and form.series.table.fields[5][0].hasFocus()
    assert "Mean of a series" not in form.remark.text()
    assert len(window.session.typed.readings) == 5


def test_a_folded_series_tells_that_a_row_does_not_count(window: MainWindow) -> None:
    paste(window, PASTED.replace("29 34.0", "cloud"))
    QTest.mouseClick(window.form.series_button, Qt.MouseButton.LeftButton)
    assert "do not count" in window.form.remark.text() and window.form.remark.property("kind") == "wrong"


def test_a_series_is_no_wider_than_the_panel_beside_its_scroll_bar(qtbot: QtBot, window: MainWindow) -> None:
    lines = "".join(f"21:{50 + number // 6}:{number % 6}0 29 31.0\n" for number in range(14))
    paste(window, lines + "cloud\n")
    qtbot.waitUntil(window.side.verticalScrollBar().isVisible, timeout=5000)
    assert window.form.series.mean.text().startswith("14 of 15 rows, mean ")
    assert window.fix.suspects.button.isVisible()
    assert window.side.horizontalScrollBar().maximum() == 0
