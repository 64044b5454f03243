"""Adopting an explanation: what is filed changes in the flight's text, what is being typed in the form."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from nightleg.flight.adopting import Adoption, adopting_edits
from nightleg.flight.edits import Edit, Put
from nightleg.flight.model import Sight
from nightleg.flight.solution import Problem
from nightleg.units.times import write_clock
from nightleg.window.session import Session
from nightleg.window.sight.draft import NO_FIX, Draft, in_series
from nightleg.window.sight.filing import angle_text
from nightleg.window.sight.series import clock_text


def adopt(session: Session, taken: Adoption) -> tuple[Problem, ...]:
    """One step that can be undone; what keeps it from being made, if anything does."""
    flight, worked, draft = session.document.flight, session.worked, session.draft
    edits: list[Edit] = []
    typed = next((sight for sight in taken.sights if sight.id == worked.typed_id), None)
    if typed is not None:
        before = next(sight for sight in worked.flight.sights if sight.id == typed.id)
        draft = _draft(draft, before, typed)
        if draft.sight is not None and typed.use != before.use:
            edits.append(Put(("sight", typed.id), "use", None if typed.use else False))
    filed = tuple(sight for sight in taken.sights if sight is not typed)
    unfiled = next((line.id for line in taken.lines if all(one.id != line.id for one in flight.lines)), None)
    if unfiled is not None:
        return (Problem(f"line {unfiled}", "it is still being typed: put it right in the form, or file it first"),)
    edits += adopting_edits(flight, Adoption(taken.step, filed, taken.watch, taken.sextant, taken.lines))
    return session.attempt(taken.step, *edits, draft=draft)


def _draft(draft: Draft, before: Sight, after: Sight) -> Draft:
    """The form's text for a sight that is another; what stays the same keeps the text it was typed as."""
    new: dict[str, Any] = {}
    if after.body != before.body:
        new["body"] = after.body
    if after.limb != before.limb:
        new["limb"] = after.limb
    if in_series(draft):
        if after.readings != before.readings:
            new["series"] = tuple((clock_text(one.time), angle_text(one.hs)) for one in after.readings)
    else:
        if after.time is not None and after.time != before.time:
            new["time"] = write_clock(after.time, seconds=after.time.second != 0).replace(":", "")
        if after.hs is not None and after.hs != before.hs:
            new["reading"] = angle_text(after.hs)
    if not after.use and before.use and draft.sight is None:
        new["fix"] = NO_FIX
    return replace(draft, **new)
