"""A log over midnight tells the date that begins."""

from __future__ import annotations

from datetime import timedelta

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from nightleg.flight.read import parse_flight
from nightleg.flight.solve import solve
from nightleg.window.log.entries import COLUMNS, entries, ordered
from nightleg.window.log.full import FULL, full_cells
from nightleg.window.worked import last_entry

from .conftest import shown

FLIGHT = """format = "nightleg-flight-1"
[start]
time = 2026-12-31T22:00:00Z
position = "40 N 030 W"
[[leg]]
time = 2026-12-31T22:00:00Z
heading_deg = 262.0
tas_kt = 430
wind = "310/45"
altitude_ft = 31000
[[leg]]
time = 2027-01-01T00:30:00Z
heading_deg = 250
[[log]]
time = 2026-12-31T23:59:59Z
text = "the last of the year"
[[log]]
time = 2027-01-01T00:00:00Z
text = "the first of it"
"""


def test_a_day_begins_with_a_row_of_its_own() -> None:
    flight = parse_flight(FLIGHT).flight
    rows = entries(flight, solve(flight, last_entry(flight)))
    assert [row.kind for row in rows] == ["start", "remark", "day", "remark", "now", "leg"]
    day = rows[2]
    assert day.key == ("day", "2027-01-01") and dict(zip(COLUMNS, day.cells, strict=True))["entry"] == "1 January 2027"
    assert ordered(rows) == rows  # once is enough
    cells = dict(zip(FULL, full_cells(flight, solve(flight, last_entry(flight)), day), strict=True))
    assert cells["entry"] == "1 Jan" and not cells["note"]


def test_a_flight_within_a_day_has_none() -> None:
    flight = parse_flight(FLIGHT.replace("2027-01-01T00", "2026-12-31T23").replace("23:59:59", "22:59:59")).flight
    assert "day" not in [row.kind for row in entries(flight, solve(flight, last_entry(flight)))]


def test_it_cannot_be_edited_nor_taken_away(qtbot: QtBot) -> None:
    window = shown(qtbot, parse_flight(FLIGHT))
    before = window.session.document.text
    window.log.setFocus()
    window.log.select_entry("day", "2027-01-01")
    for key in (Qt.Key.Key_Return, Qt.Key.Key_Space, Qt.Key.Key_Delete):
        QTest.keyClick(window.log, key)
    assert window.session.document.text == before
    window.session.set_now(window.session.document.flight.start.time + timedelta(minutes=5))
    assert window.log.log.number_of(("day", "2027-01-01")) is None  # what comes is not known then
