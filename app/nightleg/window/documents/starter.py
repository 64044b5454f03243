"""A new flight: the smallest that can be worked, ready to be typed into. No Qt here."""

from __future__ import annotations

from datetime import datetime

from nightleg.flight.document import Document
from nightleg.flight.model import FORMAT
from nightleg.flight.read import parse_flight
from nightleg.units.positions import Position, write_position

_SOMEWHERE = Position(40.0, -30.0)


def new_flight(now: datetime, position: Position = _SOMEWHERE) -> Document:
    """A flight that starts at the last full minute before `now` (UTC), with one leg in still air; in no file yet."""
    start = f"{now:%Y-%m-%dT%H:%M}:00Z"
    where = write_position(position).replace("°", " ").replace("′", " ")
    return parse_flight(f"""\
format = "{FORMAT}"
title = "New flight"

[sextant]
horizon = "bubble"
correction_arcmin = 0.0
sigma_arcmin = 2.5

[watch]
error_s = 0.0                           # positive where it is fast

[start]
time = {start}
position = "{where.strip()}"
sigma_nm = 2.0

[[leg]]
time = {start}
heading_deg = 90.0                      # true
tas_kt = 200.0
wind = "000/00"                         # from, knots
altitude_ft = 10000
temperature_c = -5.0
""")
