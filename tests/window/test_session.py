"""The session: one direction from edits to solution, undo, files, and words for what cannot be."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication
from pytestqt.qtbot import QtBot

from nightleg.flight.document import Document
from nightleg.flight.edits import Put
from nightleg.flight.read import read_flight
from nightleg.flight.solve import Unsolvable, solve
from nightleg.resources import scenario
from nightleg.window.session import Session, last_entry
from nightleg.window.sight.draft import Draft


@pytest.fixture
def session(qapp: QCoreApplication, demo: Document) -> Session:
    """A session on the demo flight."""
    return Session(demo)


@pytest.fixture
def told(session: Session) -> list[str]:
    """All that the session says."""
    said: list[str] = []
    session.told.connect(said.append)
    return said


def typed(session: Session, reading: str) -> None:
    draft = session.draft
    session.type(Draft(draft.body, draft.time, reading, draft.limb, draft.fix))


def test_the_answer_is_what_solve_gives(session: Session) -> None:
    typed(session, "29 30.0")
    worked = session.worked
    again = solve(worked.flight, session.now)
    assert worked.solution == again
    assert worked.fix == again.fix(worked.fix.id if worked.fix else "")
    assert session.base == solve(session.document.flight, last_entry(session.document.flight))


def test_typing_leaves_the_document_alone(session: Session, demo: Document) -> None:
    typed(session, "29 30.0")
    assert session.document is demo
    assert not session.modified


def test_the_same_text_is_not_solved_twice(qtbot: QtBot, session: Session) -> None:
    typed(session, "29 30.0")
    with qtbot.assertNotEmitted(session.solved):
        typed(session, "29 30.0")


def test_an_edit_is_solved_and_can_be_undone_and_redone(session: Session) -> None:
    before = session.document
    sight = before.flight.sights[-1]
    assert session.edit("use", Put(("sight", sight.id), "use", False))
    assert sight.id not in session.base.fix("f4").sights
    assert session.modified
    session.undo_stack.undo()
    assert session.document.text == before.text
    assert sight.id in session.base.fix("f4").sights
    assert not session.modified
    session.undo_stack.redo()
    assert not session.document.flight.sights[-1].use


def test_an_edit_that_cannot_be_is_told_and_nothing_changes(session: Session, told: list[str]) -> None:
    before = session.document
    assert not session.edit("wrong", Put(("sight", "s10"), "hs", "95 00"))
    assert session.document is before
    assert "hs" in told[-1] and "90" in told[-1]
    assert not session.edit("nowhere", Put(("sight", "s99"), "hs", "45 00"))
    assert session.document is before


def test_now_follows_the_entries_or_is_set(session: Session) -> None:
    start = session.document.flight.start.time
    assert session.now == last_entry(session.document.flight)
    session.set_now(start + timedelta(minutes=30))
    assert session.now == start + timedelta(minutes=30)
    assert session.worked.solution.dr[-1].time == session.now
    with pytest.raises(Unsolvable):
        session.set_now(start - timedelta(minutes=1))
    assert session.now == start + timedelta(minutes=30)
    session.set_now(None)
    assert session.now == last_entry(session.document.flight)


def test_save_open_and_what_goes_wrong(session: Session, told: list[str], tmp_path: Path) -> None:
    path = tmp_path / "night.flight.toml"
    session.edit("title", Put((), "title", "Another name"))
    assert session.save(path)
    assert not session.modified and session.document.path == path
    assert path.read_text(encoding="utf-8") == session.document.text
    assert session.undo_stack.canUndo()
    session.undo_stack.undo()  # back over the saving: the file is now behind
    assert session.modified and session.document.path == path
    assert not session.save(tmp_path)  # a folder
    assert "Not saved" in told[-1]
    held = session.document
    assert not session.open(tmp_path / "none.flight.toml")
    assert "no such file" in told[-1] and session.document is held
    bad = tmp_path / "bad.flight.toml"
    bad.write_text('format = "nightleg-flight-1"\n', encoding="utf-8")
    assert not session.open(bad)
    assert "start" in told[-1] and session.document is held
    assert session.open(path)
    assert session.document.flight.title == "Another name"
    assert not session.undo_stack.canUndo()


def test_every_shipped_flight_can_be_opened_and_typed_into(qapp: QCoreApplication) -> None:
    session = Session(read_flight(scenario("demo")))
    for text in ("9", "90 00", "89 59.9", "0", "-2", "-2 00", "0.0001", "45"):
        typed(session, text)
    session.type(Draft("Moon", "0003", "45 00", "upper"))
    assert session.worked.typed_id is not None
