"""Two hundred edits of every kind in a row, all undone, all done again: the text comes back byte for byte."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import timedelta
from typing import get_args

import pytest
from PySide6.QtCore import QCoreApplication

from nightleg.flight.document import Document
from nightleg.flight.legs import Direction, Speed
from nightleg.flight.parse import flight_of
from nightleg.flight.schema import keys, tables
from nightleg.window.flight.edits import direction_value, enter, speed_value
from nightleg.window.flight.text import tables_of, text_of
from nightleg.window.log.desk import _INSERTS
from nightleg.window.log.entries import entries
from nightleg.window.log.fields import DIRECTION_KEYS, SPEED_KEYS
from nightleg.window.log.insert import inserted, without
from nightleg.window.session import Session

EDITS = 200
SMALL = """# A flight by night.
format = "nightleg-flight-1"
title = "Night"   # for now

# ---- Kit ----
[sextant]
correction_arcmin = -1.5    # by the last check
[watch]
error_s = 3.0

[start]
time = 2026-10-18T17:50:00Z
position = "39 42.0 N 031 00.0 W"   # off the island

# ---- Legs ----
[[leg]]
time = 2026-10-18T17:50:00Z
heading_compass_deg = 162.0
deviation_deg = 1.5
tas_kt = 200.0
wind = "300/25"             # forecast

[[leg]]                     # the turn
time = 2026-10-18T20:23:00Z
heading_compass_deg = 129.0

# ---- Route ----
[[waypoint]]
name = "GANNET"
position = "31 48.0 N 025 36.0 W"

# ---- Stars ----
[[sight]]
id = "s1"
body = "Arcturus"           # low
time = 2026-10-18T19:52:00Z
hs = "14 25.5"

[[sight]]
id = "s2"
body = "Schedar"
readings = [["19:55:00", "37 58.0"], ["19:57:00", "38 03.0"]]

[[fix]]
id = "f1"
time = 2026-10-18T20:00:00Z
sights = ["s1", "s2"]

# ---- Log ----
[[log]]
time = 2026-10-18T17:50:00Z
text = "On course"          # level
"""
_TEXTS = {
    "wind": ["250/38", "300/25", "fix f2", "x", "", "90/12.5"],
    "hs": ["46 37.0", "4123.5", "95", "12°30.5′", ""],
    "position": ["39 42.0 N 031 00.0 W", "28.5 -17.9", "91 N 3 W"],
    "body": ["vega", "Altair", "Nothing"],
    "text": ["level", 'a "quoted" word', "two\nlines", "# no comment", ""],
    "name": ["GULL", "É ✓", ""],
    "title": ["Night", "= [ ] #"],
    "use": ["yes", "no", "perhaps"],
    "adopt": ["yes", "no"],
    "limb": ["lower", "centre", "u"],
    "path": ["great circle", "rhumb"],
    "table": ["10 0.6; 45 0.1", "45 1; 10 2", ""],
    "readings": ["18:09:00 12 09.0; 18:10:00 12 00", "18:09", "1809 12 08.5"],
    "sights": ["s1 s2", "s10, s11", "s99", ""],
    "time": ["1751", "2110", "2200:30", "2501", ""],
}


def typed(chance: random.Random, key: str) -> str:
    """Something a person might type into a field, right or wrong."""
    if key in _TEXTS:
        return chance.choice(_TEXTS[key])
    return chance.choice(["", "12", "−3.5", "128", "15 000", "0.4", "200 kt", "word", "1e3"])


def edit_field(chance: random.Random, session: Session) -> None:
    """Any key of any table, the ones left out too."""
    name = chance.choice(["sight", "leg", "leg", "fix", "log", "waypoint", "start", "watch", "sextant", ""])
    held = tables_of(session.document.text).get(name) if name else None
    place = () if not name else (name, chance.randrange(len(held))) if isinstance(held, list) else (name,)
    known = [key for key in keys(tables()[name].struct) if key != "id"] if name else ["title", "notes"]
    key = chance.choice(known)
    text = typed(chance, key)
    merge = chance.choice([-1, -1, 5])
    enter(session, place, key, text, merge=merge)
    assert text_of(session.document, place, key) is not None


def insert(chance: random.Random, session: Session) -> None:
    flight = session.document.flight
    session.set_now(flight.start.time + timedelta(minutes=chance.randrange(1, 260)))
    made = inserted(chance.choice(_INSERTS)[0], session.document, session.base, session.now)
    session.edit(made.label, *made.edits)
    session.set_now(None)


def take_away(chance: random.Random, session: Session) -> None:
    rows = entries(session.document.flight, session.whole.solution)
    places = [row.place for row in rows if row.place is not None]
    made = without(session.document, chance.sample(places, chance.choice([1, 1, 2])))
    if not isinstance(made, str):
        session.edit(made.label, *made.edits)


def other_form(chance: random.Random, session: Session) -> None:
    number = chance.randrange(len(session.document.flight.legs))
    if chance.random() < 0.5:
        form: Direction = chance.choice(get_args(Direction))
        key, value = DIRECTION_KEYS[form], direction_value(session, number, form)
    else:
        by: Speed = chance.choice(get_args(Speed))
        key, value = SPEED_KEYS[by], speed_value(session, number, by)
    if value is not None:
        enter(session, ("leg", number), key, f"{value:g}")


def type_and_let_go(chance: random.Random, session: Session) -> None:
    before = session.document.text
    enter(session, ("leg", 0), "wind", f"{chance.randrange(360)}/9", merge=77)
    session.withdraw(77)
    assert session.document.text == before


@pytest.mark.parametrize(("seed", "line_end"), [(1, "\n"), (2, "\r\n")])
def test_all_undone_and_all_done_again(qapp: QCoreApplication, seed: int, line_end: str) -> None:
    run(SMALL.replace("\n", line_end), seed)


@pytest.mark.slow
@pytest.mark.timeout(600)
@pytest.mark.parametrize("seed", [3, 4])
def test_all_of_the_demo_undone_and_done_again(qapp: QCoreApplication, demo: Document, seed: int) -> None:
    run(demo.text, seed)


def run(text: str, seed: int) -> None:
    """Edit until so many edits have changed the text, then go back to the beginning and on to the end."""
    chance = random.Random(seed)
    session = Session(Document(flight_of(text), text))
    acts: list[Callable[[random.Random, Session], None]] = [edit_field] * 12
    acts += [insert, insert, take_away, other_form, type_and_let_go]
    made, tries, before = 0, 0, text
    while made < EDITS:
        chance.choice(acts)(chance, session)
        tries += 1
        assert tries < 40 * EDITS
        made += session.document.text != before
        before = session.document.text
    last = session.document
    count = session.undo_stack.count()
    assert 50 < count <= EDITS
    assert all(session.undo_stack.text(i) for i in range(count))
    session.undo_stack.setIndex(0)
    assert session.document.text == text
    assert session.document.flight == flight_of(text)
    session.undo_stack.setIndex(count)
    assert session.document.text == last.text
    assert session.document.flight == last.flight
    for line in text.splitlines():
        if line.startswith("#"):
            assert line in last.text  # what stands between the tables outlives all of it
