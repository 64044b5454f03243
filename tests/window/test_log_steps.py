"""One stack of named steps: undo and redo bring the text back byte for byte, and repeated typing is one step."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QCoreApplication

from nightleg.flight.document import Document
from nightleg.flight.edits import Append, Insert, Put, Remove
from nightleg.flight.errors import FlightError
from nightleg.window.changes import delta
from nightleg.window.flight.edits import enter
from nightleg.window.session import Session


@pytest.fixture
def session(qapp: QCoreApplication, demo: Document) -> Session:
    return Session(demo)


@given(st.text(alphabet="ab\n", max_size=30), st.text(alphabet="ab\n", max_size=30))
@settings(max_examples=300, deadline=None)
def test_a_delta_goes_both_ways(before: str, after: str) -> None:
    made = delta(before, after)
    assert made.forward(before) == after
    assert made.back(after) == before


def test_typing_in_one_field_is_one_step_under_its_last_name(session: Session) -> None:
    before = session.document.text
    for value in (2.0, 26.0, 262.0):
        assert not session.attempt("heading of leg 3", Put(("leg", 2), "heading_compass_deg", value), merge=7)
    assert session.undo_stack.count() == 1
    assert session.undo_stack.undoText() == "heading of leg 3"
    assert not session.attempt("heading of leg 3", Put(("leg", 2), "heading_compass_deg", 100.0), merge=8)
    assert session.undo_stack.count() == 2
    session.undo_stack.undo()
    assert session.document.flight.legs[2].heading_compass_deg == 262.0
    session.undo_stack.undo()
    assert session.document.text == before
    session.undo_stack.redo()
    assert session.document.flight.legs[2].heading_compass_deg == 262.0


def test_typing_a_name_is_one_step_under_the_whole_name(session: Session) -> None:
    before = session.document.text
    for text in ("Z", "ZU", "ZUL", "ZULU"):
        assert not enter(session, ("waypoint", 1), "name", text, merge=7)
    assert session.undo_stack.count() == 1
    assert session.undo_stack.undoText() == "name of waypoint ZULU"
    session.undo_stack.undo()
    assert session.document.text == before


def test_typing_that_comes_back_to_what_was_is_no_step(session: Session) -> None:
    before = session.document.text
    session.attempt("wind of leg 5", Put(("leg", 4), "wind", "250/3"), merge=3)
    assert session.modified
    session.attempt("wind of leg 5", Put(("leg", 4), "wind", "250/38"), merge=3)
    assert session.document.text == before
    assert session.undo_stack.count() == 0
    assert not session.modified
    assert not session.attempt("wind of leg 5", Put(("leg", 4), "wind", "250/38"))
    assert session.undo_stack.count() == 0


def test_a_table_goes_in_where_it_belongs_and_out_again(demo: Document) -> None:
    leg = {"time": demo.flight.legs[1].time.replace(minute=50), "wind": "290/20"}
    between = demo.with_edits(Insert("leg", 2, leg))
    assert len(between.flight.legs) == len(demo.flight.legs) + 1
    assert between.flight.legs[2].time.minute == 50
    assert between.text.index("290/20") < between.text.index("# the wind that the first stars found")
    assert between.with_edits(Remove(("leg", 2))).text == demo.text
    first = demo.with_edits(Insert("waypoint", 0, {"name": "HOME", "position": "40 00 N 031 00 W"}))
    assert [point.name for point in first.flight.waypoints[:2]] == ["HOME", demo.flight.waypoints[0].name]
    last = demo.with_edits(Insert("waypoint", 3, {"name": "END", "position": "28 00 N 017 00 W"}))
    assert last == demo.with_edits(Append("waypoint", {"name": "END", "position": "28 00 N 017 00 W"}))
    with pytest.raises(FlightError):
        demo.with_edits(Insert("leg", 1, {"time": demo.flight.legs[3].time}))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda s: s.attempt("x", Put(("sight", "s10"), "hs", "95 00")), "90"),
        (lambda s: s.attempt("x", Put(("sight", "s99"), "hs", "45 00")), "s99"),
        (lambda s: s.attempt("x", Remove(("fix", "f2"))), "f2"),
    ],
)
def test_what_cannot_be_is_said_and_is_no_step(
    session: Session, change: Callable[[Session], tuple[object, ...]], words: str
) -> None:
    before = session.document
    problems = change(session)
    assert problems and words in str(problems)
    assert session.document is before
    assert session.undo_stack.count() == 0
