"""The table [next_sight]: read, checked, edited and written like every other."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from nightleg.flight.document import Document
from nightleg.flight.edits import Put, Remove
from nightleg.flight.errors import FlightError
from nightleg.flight.model import NextSight
from nightleg.flight.parse import flight_of
from nightleg.flight.write import write_flight

FLIGHT = """format = "nightleg-flight-1"
[start]
time = 2026-03-14T22:00:00Z
position = "41 30.0 N 028 15.0 W"
[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 262.0
tas_kt = 430.0
[[fix]]
id = "f1"
time = 2026-03-14T23:00:00Z
sights = []
"""
WAITING = """
[next_sight]
body = "vega"
time = 2026-03-14T22:52:00Z
hs = "61 08.5"
"""


def test_it_is_read() -> None:
    flight = flight_of(FLIGHT + WAITING + 'fix = "f1"\ntext = "Vega next"\n')
    when = datetime(2026, 3, 14, 22, 52, tzinfo=UTC)
    assert flight.next_sight == NextSight(body="Vega", time=when, hs=61.0 + 8.5 / 60.0, fix="f1", text="Vega next")


def test_it_may_be_left_out() -> None:
    assert flight_of(FLIGHT).next_sight is None
    assert "next_sight" not in write_flight(flight_of(FLIGHT))


@pytest.mark.parametrize("more", ["", 'fix = "f1"\n', 'text = "Vega next"\n'])
def test_written_and_read_it_is_the_same(more: str) -> None:
    flight = flight_of(FLIGHT + WAITING + more)
    assert flight_of(write_flight(flight)) == flight


@pytest.mark.parametrize(
    ("change", "to", "said"),
    [
        ('"vega"', '"Wega"', "nearest: Vega"),
        ('"61 08.5"', '"61 68.5"', "hs"),
        ("22:52", "21:52", "before the start of the flight"),
        ('hs = "61 08.5"', 'hs = "61 08.5"\nfix = "f9"', 'there is no fix "f9"; there are "f1"'),
        ('hs = "61 08.5"', "", "hs is missing"),
        ("hs =", "reading =", "nearest is hs"),
    ],
)
def test_what_is_wrong_is_told(change: str, to: str, said: str) -> None:
    with pytest.raises(FlightError) as told:
        flight_of(FLIGHT + WAITING.replace(change, to))
    assert said in str(told.value)
    assert "[next_sight]" in str(told.value)


def test_it_is_edited_in_place() -> None:
    text = FLIGHT + WAITING
    document = Document(flight_of(text), text).with_edits(Put(("next_sight",), "hs", "60 59.0"))
    assert document.flight.next_sight is not None
    assert document.flight.next_sight.hs == pytest.approx(60.0 + 59.0 / 60.0, abs=1e-12)  # degrees: rounding of a float
    assert document.text == text.replace("61 08.5", "60 59.0")
    assert document.with_edits(Remove(("next_sight",))).flight.next_sight is None
