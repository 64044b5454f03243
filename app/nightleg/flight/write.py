"""A fresh flight file from a flight that a program made."""

from __future__ import annotations

from datetime import datetime

from nightleg.flight.check_sights import LATEST_UNDATED
from nightleg.flight.compound import Readings
from nightleg.flight.kinds import declared
from nightleg.flight.model import FORMAT, Flight, Record, Sight
from nightleg.flight.quantities import HsDeg
from nightleg.flight.schema import FORMAT_KEY, keys, tables
from nightleg.flight.valuetext import toml_text

# Of these the reader wants to see that they were meant to be empty.
_ALWAYS = (("fix", "sights"),)
_FIRST = ("sextant", "watch", "start", "wind_uncertainty")


def write_flight(flight: Flight) -> str:
    """The TOML text of `flight`: angles in degrees and minutes where these hold them exactly, defaults left out.

    Reading it gives an equal flight.
    """
    lines = [f"{FORMAT_KEY} = {toml_text(FORMAT)}", *_lines(flight, "", flight)]
    names = [*_FIRST, *(name for name in tables() if name not in _FIRST)]
    for table in (tables()[name] for name in names):
        held = getattr(flight, table.field)
        if held == table.default:
            continue
        for record in held if table.many else (held,):
            lines += ["", table.heading, *_lines(record, table.name, flight)]
    return "\n".join(lines) + "\n"


def _lines(record: Record, name: str, flight: Flight) -> list[str]:
    lines = []
    for key in keys(type(record)).values():
        value = getattr(record, key.field)
        if value is None or (not key.required and value == key.default and (name, key.name) not in _ALWAYS):
            continue
        if isinstance(record, Sight) and isinstance(key.kind, Readings):
            text = _readings(record, flight.start.time)
        else:
            text = key.kind.write(value)
        lines.append(f"{key.name} = {text}")
    return lines


def _readings(sight: Sight, start: datetime) -> str:
    """Clock times where their dates go without saying, else whole dates."""
    rows = [[_clock(one.time), one.hs] for one in sight.readings]
    vouched = sight.time is not None or sight.readings[0].time - start <= LATEST_UNDATED
    if not vouched or Readings.dated(Readings().read(rows), sight.time, start) != sight.readings:
        return Readings().write(sight.readings)
    return "[" + ", ".join(f'["{clock}", {declared(HsDeg).write(hs)}]' for clock, hs in rows) + "]"


def _clock(when: datetime) -> str:
    return f"{when:%H:%M:%S}" + (f".{when.microsecond:06d}".rstrip("0") if when.microsecond else "")
