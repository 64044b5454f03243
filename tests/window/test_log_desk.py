"""What is put into the log, taken out, filtered, and worked out for its columns."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu, QToolButton

from nightleg.flight.document import Document
from nightleg.flight.edits import Put
from nightleg.flight.legs import held_legs
from nightleg.flight.read import parse_flight
from nightleg.flight.solve import solve
from nightleg.window.log.entries import COLUMNS, FILTERS, SPANS, entries
from nightleg.window.log.full import FULL, full_cells
from nightleg.window.log.insert import references, without
from nightleg.window.log.text import aligned
from nightleg.window.main import MainWindow
from nightleg.window.parts import Entry
from nightleg.window.session import last_entry


def at_2115(window: MainWindow) -> None:
    window.session.set_now(window.session.document.flight.legs[-1].time.replace(minute=15))


def cell(window: MainWindow) -> Entry:
    found = [one for one in window.log.findChildren(Entry) if one.property("cell") and one.isVisible()]
    assert len(found) == 1
    return found[0]


def select(window: MainWindow, kind: str, id: str) -> None:
    window.log.setFocus()
    window.log.select_entry(kind, id)


def test_a_remark_is_put_in_at_flight_time_and_typed_at_once(window: MainWindow) -> None:
    at_2115(window)
    before = window.session.document.text
    QTest.keySequence(window, "Ctrl+Shift+R")
    field = cell(window)
    QTest.keyClicks(field, "Lights ahead")
    QTest.keyClick(field, Qt.Key.Key_Return)
    remark = window.session.document.flight.log[-1]
    assert (remark.text, remark.time) == ("Lights ahead", window.session.now)
    QTest.keySequence(window, "Ctrl+Z")
    QTest.keySequence(window, "Ctrl+Z")
    assert window.session.document.text == before


def test_a_leg_from_flight_time_on_stands_in_its_place_and_holds_what_was_held(window: MainWindow) -> None:
    window.session.set_now(window.session.document.flight.legs[1].time.replace(hour=19, minute=30))
    before = held_legs(window.session.document.flight)[1]
    QTest.keySequence(window, "Ctrl+Shift+L")
    flight = window.session.document.flight
    assert flight.legs[2].time == window.session.now and len(flight.legs) == 6
    held = held_legs(flight)[2]  # the compass heading too; the variation is that of the new leg's beginning
    assert replace(held, start_s=before.start_s) == before
    QTest.keyClicks(cell(window), "280/30")
    QTest.keyClick(cell(window), Qt.Key.Key_Return)
    wind = window.session.document.flight.legs[2].wind
    assert wind is not None and 'wind = "280/30"' in window.session.document.text
    assert window.session.undo_stack.undoText() == "wind of leg 3"


def test_a_fix_takes_the_shots_about_it_that_are_in_none(window: MainWindow) -> None:
    window.session.edit("x", Put(("fix", "f3"), "sights", ["s7"]))
    at_2115(window)
    QTest.keySequence(window, "Ctrl+Shift+F")
    fix = window.session.document.flight.fixes[-1]
    assert fix.id == "f5" and set(fix.sights) == {"s8", "s9"}
    QTest.keyClick(cell(window), Qt.Key.Key_Escape)
    QTest.keySequence(window, "Ctrl+Shift+K")
    known = window.session.document.flight.fixes[-1]
    assert known.kind == "known" and known.position is not None and known.time == window.session.now


def test_a_waypoint_is_put_in_before_the_next_one_and_shown_in_the_flight_form(window: MainWindow) -> None:
    at_2115(window)
    QTest.keySequence(window, "Ctrl+Shift+W")
    names = [point.name for point in window.session.document.flight.waypoints]
    assert names == ["ISLES", "GANNET", "W1", "LANTERN"]
    assert window.fold.open and window.flight.route.lines[2].name.hasFocus()
    assert window.flight.route.lines[2].name.text() == "W1"


def test_a_sight_is_begun_in_the_form_at_flight_time_by_the_watch(window: MainWindow) -> None:
    at_2115(window)
    window.to_flight()
    QTest.keySequence(window, "Ctrl+Shift+N")
    assert not window.fold.open
    assert window.form.time.text() == "2115" and window.form.body.text() == ""
    assert window.form.isAncestorOf(QApplication.focusWidget() or window)


def test_delete_takes_a_shot_out_of_the_flight_and_its_fix_in_one_step(window: MainWindow) -> None:
    before = window.session.document.text
    select(window, "sight", "s9")
    QTest.keyClick(window.log, Qt.Key.Key_Delete)
    flight = window.session.document.flight
    assert "s9" not in {sight.id for sight in flight.sights}
    assert flight.fixes[2].sights == ("s7", "s8")
    assert window.session.undo_stack.undoText() == "taking away s9, out of f3"
    QTest.keySequence(window.log, "Ctrl+Z")
    assert window.session.document.text == before


def test_several_rows_go_together(window: MainWindow) -> None:
    select(window, "remark", "0")
    QTest.keyClick(window.log, Qt.Key.Key_Delete)
    flight = window.session.document.flight
    assert flight.log[0].text.startswith("Sun next")
    made = without(window.session.document, [("log", 0), ("log", 2), ("leg", 3), ("sight", "s3")])
    assert not isinstance(made, str)
    assert window.session.edit(made.label, *made.edits)
    after = window.session.document.flight
    assert after.log == tuple(one for i, one in enumerate(flight.log) if i not in (0, 2))
    assert after.legs == flight.legs[:3] + flight.legs[4:]


def test_what_refers_to_an_entry_is_named_and_keeps_it(window: MainWindow) -> None:
    before = window.session.document
    select(window, "fix", "f2")
    QTest.keyClick(window.log, Qt.Key.Key_Delete)
    assert window.session.document is before
    assert window.told.text() == "f2 cannot go: the wind of leg 3 refers to it."
    select(window, "fix", "f4")
    QTest.keyClick(window.log, Qt.Key.Key_Delete)
    assert "the sight that waits" in window.told.text()
    select(window, "start", "start")
    QTest.keyClick(window.log, Qt.Key.Key_Delete)
    assert "start" in window.told.text()
    assert references(before.flight, "f1") == []


def test_filters_by_key_and_by_mouse(window: MainWindow) -> None:
    every = window.log.log.rows
    for number, (name, kinds) in enumerate(FILTERS.items()):
        QTest.keySequence(window, f"Alt+{number}")
        assert window.log.log.filter == name
        rows = window.log.log.rows
        assert all(not kinds or row.kind in kinds for row in rows)
        assert rows or not any(row.kind in kinds for row in every)
        assert window.desk.filters.checkedAction().iconText() == name
    QTest.keySequence(window, "Alt+4")
    assert not window.log.none.isVisible()
    for number, row in enumerate(window.log.log.rows):  # remarks: the wide cells came along
        assert window.log.columnSpan(number, 2) == dict(SPANS[row.kind])[2]
    button = next(one for one in window.desk.strip.findChildren(QToolButton) if one.text() == "fixes")
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert {row.kind for row in window.log.log.rows} == {"fix"}
    window.log.select_entry("sight", "s9")  # what the chart asks for is shown
    assert window.log.log.filter == "all" and window.desk.filters.checkedAction().iconText() == "all"
    QTest.keySequence(window, "Alt+4")
    window.log.select_entry("waypoint", "GANNET")  # which has no row
    window.log.select_entry("", "")
    assert window.log.log.filter == "remarks"


def test_a_filter_that_finds_nothing_says_so_and_leads_back(window: MainWindow) -> None:
    none = window.log.none
    QTest.keySequence(window.log, "Alt+5")
    assert none.isVisible() and none.words.text() == "No other lines in the log."
    assert window.log.rect().contains(none.geometry())
    at_first = window.session.document.flight.start.time
    window.session.set_now(at_first)
    QTest.keySequence(window.log, "Alt+2")
    assert none.words.text() == "No fixes in the log by 1750 GMT."
    window.log.setFocus()
    QTest.keyClick(window.log, Qt.Key.Key_Tab)
    assert none.back.hasFocus()
    QTest.keyClick(none.back, Qt.Key.Key_Space)
    assert window.log.log.filter == "all" and not none.isVisible() and window.log.hasFocus()
    assert window.desk.filters.checkedAction().iconText() == "all"


def test_the_log_tells_those_who_do_not_see_it_what_it_holds(window: MainWindow) -> None:
    table = window.log
    assert table.accessibleName() == "Log"
    assert table.accessibleDescription().startswith(f"{len(table.log.rows)} entries, all kinds. Enter edits")
    QTest.keySequence(window, "Alt+2")
    assert table.accessibleDescription().startswith("4 entries, fixes only.")
    QTest.keySequence(window, "Alt+5")
    assert table.accessibleDescription() == "No other lines in the log. Alt+0 shows all entries."
    QTest.keySequence(window, "Alt+0")
    number = table.log.number_of(("leg", "5"))
    assert number is not None
    said = Qt.ItemDataRole.AccessibleDescriptionRole
    wind = table.log.index(number, COLUMNS.index("intercept"))
    assert wind.data(said) == "wind of leg 5, can be edited"
    assert table.log.index(number, COLUMNS.index("note")).data(said) is None
    words = table.log.enter(wind, "250-38")
    assert wind.data(said) == f"wind of leg 5, not applied: {words}"
    table.log.forget(wind)
    assert window.desk.strip.accessibleName() == "Kinds of entry shown in the log"
    for button in window.desk.strip.findChildren(QToolButton):
        assert button.accessibleName() and not button.accessibleName().islower(), button.text()


def test_every_command_of_the_log_is_in_the_menu(window: MainWindow) -> None:
    menus = [one.menu() for one in window.menuBar().actions() if one.text() == "&Log"]
    assert len(menus) == 1 and isinstance(menus[0], QMenu)
    texts = {one.text() for one in menus[0].actions()}
    for action in (*window.desk.inserts, window.desk.full, window.desk.delete, window.desk.copy, window.desk.copy_all):
        assert action.text() in texts


def test_a_double_click_on_a_leg_that_is_no_field_opens_the_flight_form(window: MainWindow) -> None:
    number = window.log.log.number_of(("leg", "4"))
    assert number is not None
    index = window.log.log.index(number, len(COLUMNS) - 1)
    window.log.scrollTo(index)
    place: QPoint = window.log.visualRect(index).center()
    QTest.mouseClick(window.log.viewport(), Qt.MouseButton.LeftButton, pos=place)
    QTest.mouseDClick(window.log.viewport(), Qt.MouseButton.LeftButton, pos=place)
    assert window.fold.open and window.flight.legs.number == 3


def test_the_full_log_holds_what_the_solution_says(demo: Document) -> None:
    flight = demo.flight
    solution = solve(flight, last_entry(flight))
    rows = entries(flight, solution)
    leg = next(row for row in rows if row.key == ("leg", "5"))
    texts = dict(zip(FULL, full_cells(flight, solution, leg), strict=True))
    state = next(one for one in solution.dr if one.kind == "leg" and one.time == leg.time)
    assert state.track_deg is not None and state.drift_deg is not None
    assert texts["CH"] == "133°" and texts["altitude"] == "15000" and texts["temp"] == "−11"
    assert texts["TH"] == f"{round(state.heading_deg):03d}°" and texts["TC"] == f"{round(state.track_deg):03d}°"
    # Compass to true by definition: true = compass + deviation + variation, east positive.
    variation = float(texts["var"].rstrip("°").replace("−", "-"))
    assert abs(133.0 + 0.5 + variation - state.heading_deg) < 0.06  # half a unit of the shown tenth, rounded up
    assert (texts["next"], texts["ETA"]) == ("LANTERN", "2224")
    hours, minutes = texts["to run"].split(":")
    assert abs((int(hours) + int(minutes) / 60.0) * state.gs_kt - float(texts["distance"])) < state.gs_kt / 60.0


def test_other_entries_are_in_the_log_too() -> None:
    text = """format = "nightleg-flight-1"
[start]
time = 2026-03-14T22:00:00Z
position = "41 30 N 028 15 W"
[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 262
mach = 0.78
altitude_ft = 31000
[[line]]
id = "p1"
kind = "latitude"
time = 2026-03-14T22:30:00Z
latitude = "41 20 N"
sigma_nm = 3
[[heading_check]]
id = "h1"
body = "Capella"
time = 2026-03-14T22:40:00Z
relative_bearing_deg = 31
shown_deg = 261
[[drift]]
id = "d1"
time = 2026-03-14T22:20:00Z
heading_deg = 262
drift_deg = -5
"""
    flight = parse_flight(text).flight
    solution = solve(flight, last_entry(flight))
    rows = {row.key: row for row in entries(flight, solution)}
    assert rows["line", "p1"].cells[2] == "41°20.0′N"
    assert "Capella 031° relative" in rows["check", "h1"].cells[2]
    assert rows["drift", "d1"].cells[2] == "drift 5° L on heading 262°"
    assert "M 0.78" in rows["start", "start"].cells
    full = dict(zip(FULL, full_cells(flight, solution, rows["start", "start"]), strict=True))
    assert full["CAS/Mach"] == "M 0.78" and full["temp"] == "(−46)" and full["next"] == ""


@pytest.mark.parametrize(
    ("columns", "rows", "spans", "text"),
    [
        (("a", "b"), [("1", "22"), ("333", "4")], [(), ()], "a    b\n1    22\n333  4\n"),
        (("a", "b", "c"), [("1", "", "2")], [()], "a  c\n1  2\n"),
        (("a", "b"), [("long words", ""), ("1", "2")], [((0, 2),), ()], "a  b\nlong words\n1  2\n"),
        (("a", "b"), [], [], ""),
    ],
)
def test_text_in_aligned_columns(
    columns: tuple[str, ...], rows: list[tuple[str, ...]], spans: list[tuple[tuple[int, int], ...]], text: str
) -> None:
    assert aligned(columns, rows, spans) == text


@pytest.mark.parametrize("act", [lambda w: w.desk.take_away(), lambda w: w.log.switch_use(), lambda w: w.log.copy()])
def test_without_a_row_nothing_breaks(window: MainWindow, act: Callable[[MainWindow], None]) -> None:
    before = window.session.document
    act(window)
    assert window.session.document is before
