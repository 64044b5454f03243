"""Entering a line or another reading that is typed: what keeps it from being filed, and filing it. No widgets here."""

from __future__ import annotations

import dataclasses

from nightleg.window.other.filing import other_candidate, other_filing
from nightleg.window.session import Session


def other_fault(session: Session) -> tuple[str, ...]:
    """Keys of the fields that keep what is typed from being filed."""
    typed = session.other
    if typed is None:
        return ()
    return tuple(dict.fromkeys((*typed.remarks, *typed.missing)))


def file_other(session: Session) -> bool:
    """Put what is typed into the document and ready the next. False, and why is told, if it cannot be."""
    flight, typed = session.document.flight, session.other
    made = None if typed is None else other_candidate(flight, session.draft.other, typed)
    if made is None or made.probe or session.worked.other is None:
        return False
    name = made.kind.title
    done = session.edit(f"{name[0].lower()}{name[1:]} {made.id}", *other_filing(flight, made), anew=True)
    if done and made.kind.row != "landfall" and session.clock_set and session.now < made.gmt:
        session.set_now(made.gmt)  # what has been entered is known
    return done


def choose_kind(session: Session, name: str) -> None:
    """Take another kind in hand; what is typed of the others waits."""
    draft = session.draft
    if draft.other.kind != name:
        session.replace_draft(dataclasses.replace(draft, other=dataclasses.replace(draft.other, kind=name)))
