"""What the tests of the demo flight share: the flight, its truth, and the sky as PyEphem gives it."""

from __future__ import annotations

import importlib.util
import math
from datetime import datetime
from functools import cache
from types import ModuleType

import ephem
import msgspec

from nightleg.flight.model import Flight, Sight
from nightleg.flight.parse import contents, decoded, flight_of
from nightleg.resources import scenario
from nightleg.units.positions import Position

SCRIPT = scenario("demo").parent / "make_demo.py"
JOINING = "s12"  # the id that the waiting sight is given here


@cache
def demo_flight() -> Flight:
    """The demo flight as shipped."""
    return flight_of(decoded(contents(scenario("demo"))))


@cache
def closed_flight() -> Flight:
    """The demo flight with its waiting sight entered and taken into its fix."""
    flight = demo_flight()
    waiting = flight.next_sight
    assert waiting is not None
    sight = Sight(id=JOINING, body=waiting.body, time=waiting.time, hs=waiting.hs)
    fixes = tuple(
        msgspec.structs.replace(fix, sights=(*fix.sights, JOINING)) if fix.id == waiting.fix else fix
        for fix in flight.fixes
    )
    return msgspec.structs.replace(flight, sights=(*flight.sights, sight), fixes=fixes)


@cache
def script() -> ModuleType:
    """The script that made the demo flight, as a module."""
    spec = importlib.util.spec_from_file_location("make_demo", SCRIPT)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def true_place(when: datetime) -> Position:
    """Where the aircraft really was, on a straight line between two rows of the truth, ten minutes apart."""
    truth = demo_flight().truth
    assert truth is not None
    for before, after in zip(truth.track[:-1], truth.track[1:], strict=True):
        if before.time <= when <= after.time:
            part = (when - before.time) / (after.time - before.time)
            lat = before.position.lat + part * (after.position.lat - before.position.lat)
            return Position(lat, before.position.lon + part * (after.position.lon - before.position.lon))
    raise ValueError(f"{when} is not in the truth")


def altitude_azimuth(body: str, place: Position, when: datetime) -> tuple[float, float]:
    """Geocentric altitude and azimuth in degrees: apparent geocentric place and sidereal time by PyEphem."""
    moment = ephem.Date(when.replace(tzinfo=None))
    found = getattr(ephem, body)() if hasattr(ephem, body) else ephem.star(body)
    found.compute(moment, epoch=moment)
    greenwich = ephem.Observer()
    greenwich.lat, greenwich.lon, greenwich.date = "0", "0", moment
    hour_angle = float(greenwich.sidereal_time()) + math.radians(place.lon) - float(found.g_ra)
    lat, dec = math.radians(place.lat), float(found.g_dec)
    north = math.cos(lat) * math.sin(dec) - math.sin(lat) * math.cos(dec) * math.cos(hour_angle)
    east = -math.cos(dec) * math.sin(hour_angle)
    up = math.sin(lat) * math.sin(dec) + math.cos(lat) * math.cos(dec) * math.cos(hour_angle)
    return math.degrees(math.asin(up)), math.degrees(math.atan2(east, north)) % 360.0
