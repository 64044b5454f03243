"""What to do next, and what to steer, from the flight alone."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from nightleg.air.wind import ground
from nightleg.flight.document import Document
from nightleg.flight.model import Flight
from nightleg.flight.read import parse_flight
from nightleg.flight.solution import DrState
from nightleg.flight.solve import solve
from nightleg.units.times import gmt_s
from nightleg.window.agenda import Agenda, countdown, next_words
from nightleg.window.ahead import Ahead, ahead

START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)
FLIGHT = """format = "nightleg-flight-1"
[start]
time = 2026-03-14T22:00:00Z
position = "40 N 030 W"
[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 262.0
tas_kt = 430
wind = "310/45"
altitude_ft = 31000
[[leg]]
time = 2026-03-14T22:40:00Z
heading_deg = 250
[[leg]]
time = 2026-03-14T22:41:00Z
altitude_ft = 33000
[[sight]]
id = "s1"
body = "Capella"
time = 2026-03-14T22:10:00Z
hs = "40 00"
[[sight]]
id = "s2"
body = "Vega"
readings = [["22:20:00", "20 00"], ["22:21:00", "20 01"]]
[[sight]]
id = "s3"
body = "Deneb"
time = 2026-03-14T22:23:00Z
hs = "20 00"
use = false
[[fix]]
id = "f1"
time = 2026-03-14T22:25:00Z
sights = ["s1", "s2", "s3"]
"""
WAITING = '[next_sight]\nbody = "Polaris"\ntime = 2026-03-14T22:30:00Z\nhs = "41 00"\nfix = "f1"\n'


def flight(extra: str = "") -> Flight:
    return parse_flight(FLIGHT + extra).flight


def at(clock: str) -> datetime:
    return START.replace(hour=int(clock[:2]), minute=int(clock[2:4]), second=int(clock[4:] or 0))


@pytest.mark.parametrize(
    ("now", "caption", "words"),
    [
        ("220000", "to do", "shoot Capella in 9:00"),
        ("220859", "to do", "shoot Capella in 0:01"),
        ("220900", "now", "shoot Capella, 2:00 left"),
        ("221059", "now", "shoot Capella, 0:01 left"),
        ("221100", "to do", "shoot Vega in 9:00"),
        ("222030", "now", "shoot Vega, 0:30 left"),  # a series, from its first reading to its last
        ("222100", "to do", "fix f1 in 4:00"),  # Deneb is set aside
        ("222500", "to do", "heading 250° in 15 min"),
        ("224000", "", ""),  # the leg that only climbs is no turn
    ],
)
def test_what_to_do_next(now: str, caption: str, words: str) -> None:
    assert next_words(Agenda(flight()), at(now)) == (caption, words)


@pytest.mark.parametrize(
    ("now", "words"),
    [
        ("222500", "shoot Polaris in 4:00"),
        ("222900", "shoot Polaris, 1:00 left"),
        ("223000", "enter Polaris"),
        ("223700", "enter Polaris"),
        ("223800", "heading 250° in 2:00"),  # what is to be done at once comes first
        ("233000", "enter Polaris"),
    ],
)
def test_a_reading_that_waits_is_not_forgotten(now: str, words: str) -> None:
    assert next_words(Agenda(flight(WAITING)), at(now))[1] == words


def point(minutes: float, after: str | None) -> Ahead:
    return Ahead("KILO", 50.0, 250.0, 255.0, at("220000") + timedelta(minutes=minutes), after)


def test_the_turn_at_a_waypoint_takes_its_place_among_them() -> None:
    agenda = Agenda(flight())
    assert next_words(agenda, at("221100"), point(13.0, "LANTERN"))[1] == "turn for LANTERN in 2:00"
    assert next_words(agenda, at("221100"), point(13.0, None))[1] == "over KILO in 2:00"
    assert next_words(agenda, at("221100"), point(90.0, "LANTERN"))[1] == "shoot Vega in 9:00"
    assert next_words(agenda, at("224000"), point(60.0, "LANTERN"))[1] == "turn for LANTERN in 20 min"


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0.0, "0:00"),
        (0.2, "0:01"),
        (42.0, "0:42"),
        (269.0, "4:29"),
        (599.0, "9:59"),
        (600.0, "10 min"),
        (7199.0, "119 min"),
        (7500.0, "2 h 05 min"),
        (-3.0, "0:00"),
    ],
)
def test_time_left(seconds: float, words: str) -> None:
    assert countdown(timedelta(seconds=seconds)) == words


def state(text: str) -> tuple[Document, DrState]:
    document = parse_flight(text)
    return document, solve(document.flight, START).dr[-1]


def test_the_heading_to_steer_makes_the_course_to_the_waypoint_good() -> None:
    text = FLIGHT + '[[waypoint]]\nname = "KILO"\nposition = "38 N 036 W"\n'
    document, here = state(text)
    found = ahead(document.flight, here)
    assert found is not None and found.heading_deg is not None and found.eta is not None
    # The wind triangle put together again from the heading: the track made is the course, the ground speed the ETA's.
    track, gs_kt, _ = ground(found.heading_deg, here.tas_kt, here.wind_from_deg, here.wind_kt)
    assert float(track) == pytest.approx(found.bearing_deg, abs=1e-9)
    hours = (gmt_s(found.eta) - gmt_s(here.time)) / 3600.0
    assert hours * float(gs_kt) == pytest.approx(found.distance_nm, abs=1e-3)  # an ETA to the microsecond


def test_a_wind_too_strong_for_the_course_leaves_no_heading_and_no_time() -> None:
    text = FLIGHT.replace("tas_kt = 430", "tas_kt = 60").replace("310/45", "250/90")
    document, here = state(text + '[[waypoint]]\nname = "KILO"\nposition = "38 N 036 W"\n')
    found = ahead(document.flight, here)
    assert found is not None and found.heading_deg is None and found.eta is None
    assert found.distance_nm > 200.0


def test_the_point_behind_the_next_is_known() -> None:
    points = "".join(
        f'[[waypoint]]\nname = "{name}"\nposition = "{lat} N 036 W"\n' for name, lat in (("KILO", 38), ("LIMA", 36))
    )
    document, here = state(FLIGHT + points)
    found = ahead(document.flight, here)
    assert found is not None and (found.name, found.after) == ("KILO", "LIMA")


def test_an_empty_flight_asks_for_its_first_sight_and_one_that_is_over_for_nothing() -> None:
    empty = parse_flight(FLIGHT[: FLIGHT.index("[[sight]]")]).flight
    assert next_words(Agenda(empty), START + timedelta(hours=2)) == ("to do", "enter the first sight")
    full = parse_flight(FLIGHT).flight
    assert next_words(Agenda(full), START + timedelta(hours=9)) == ("", "")


def test_past_the_end_of_the_route_there_is_no_turn_to_make() -> None:
    route = '[[waypoint]]\nname = "K"\nposition = "40 N 034 W"\n'
    flight = parse_flight(FLIGHT[: FLIGHT.index("[[sight]]")] + route).flight
    now = START + timedelta(hours=2)
    point = ahead(flight, solve(flight, now).dr[-1])
    assert point is not None and point.passed
    assert next_words(Agenda(flight), now, point) == ("to do", "no waypoint left")
