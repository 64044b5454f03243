"""From the text of the fields to a sight: right, wrong, and not finished."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from nightleg.flight.document import Document
from nightleg.flight.read import parse_flight
from nightleg.window.sight.draft import NEW_FIX, Draft, understand
from nightleg.window.sight.filing import candidate, free_id, open_fix, waiting

FLIGHT = """format = "nightleg-flight-1"
[watch]
error_s = 30.0
[start]
time = 2026-03-14T22:00:00Z
position = "41 30.0 N 028 15.0 W"
[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 262.0
tas_kt = 430.0
wind = "310/45"
altitude_ft = 31000
"""
NEAR = datetime(2026, 3, 14, 23, 50, tzinfo=UTC)


@pytest.fixture
def plain() -> Document:
    return parse_flight(FLIGHT)


@pytest.mark.parametrize(
    ("typed", "time"),
    [
        ("2252", datetime(2026, 3, 14, 22, 52, tzinfo=UTC)),
        ("225230", datetime(2026, 3, 14, 22, 52, 30, tzinfo=UTC)),
        ("0003", datetime(2026, 3, 15, 0, 3, tzinfo=UTC)),  # over midnight with the flight, not back a day
    ],
)
def test_watch_times(plain: Document, typed: str, time: datetime) -> None:
    assert understand(Draft(time=typed), plain.flight, NEAR).watch_time == time


@pytest.mark.parametrize(
    ("draft", "field"),
    [
        (Draft(time="2"), "time"),
        (Draft(time="22523"), "time"),
        (Draft(body="Cap"), "body"),
        (Draft(body="hip 6"), "body"),
        (Draft(reading="-"), "reading"),
        (Draft(reading="412"), "reading"),
    ],
)
def test_what_is_only_begun_is_not_called_wrong(plain: Document, draft: Draft, field: str) -> None:
    remarks = understand(draft, plain.flight, NEAR).remarks
    assert list(remarks) == [field]
    assert not next(iter(remarks.values())).wrong


@pytest.mark.parametrize(
    ("draft", "said"),
    [
        (Draft(time="2560"), "hour 25"),
        (Draft(time="22a"), "not a clock time"),
        (Draft(time="2130"), "before the start"),
        (Draft(body="Vegga"), "nearest: Vega"),
        (Draft(reading="41 75"), "below 60"),
        (Draft(reading="95 00"), "from -2° to 90°"),
        (Draft(reading="4x"), "cannot be read"),
    ],
)
def test_what_is_wrong_is_said_in_words(plain: Document, draft: Draft, said: str) -> None:
    (remark,) = understand(draft, plain.flight, NEAR).remarks.values()
    assert remark.wrong
    assert said in remark.text


def test_a_new_fix_stands_at_the_gmt_of_its_shot(plain: Document) -> None:
    draft = Draft("Vega", "2300", "41 23.5")
    made = candidate(plain.flight, draft, understand(draft, plain.flight, NEAR))
    assert made is not None and made.new_fix
    assert made.fix.time == datetime(2026, 3, 14, 22, 59, 30, tzinfo=UTC)  # the watch is 30 s fast
    assert made.fix.sights == (made.sight.id,)
    assert made.flight.sights == (made.sight,)


def test_a_limb_counts_for_sun_and_moon_alone(plain: Document) -> None:
    assert understand(Draft("Sun", "2300", "41", "lower"), plain.flight, NEAR).limb == "lower"
    assert understand(Draft("Vega", "2300", "41", "lower"), plain.flight, NEAR).limb == "centre"


def test_the_fix_is_the_one_chosen_then_the_one_waiting_then_the_last_if_near(demo: Document) -> None:
    flight = demo.flight
    assert flight.next_sight is not None
    near = flight.next_sight.time
    last = max(flight.fixes, key=lambda fix: fix.time)
    chosen = open_fix(flight, Draft(fix="f2"), near)
    assert chosen is not None and chosen.id == "f2"
    waited = open_fix(flight, Draft(), near)
    assert waited is not None and waited.id == flight.next_sight.fix
    assert open_fix(flight, Draft(fix=NEW_FIX), near) is None
    filed = demo.without(("next_sight",)).flight
    assert open_fix(filed, Draft(), last.time + timedelta(minutes=8)) == last
    assert open_fix(filed, Draft(), last.time + timedelta(minutes=31)) is None


def test_ids_are_the_first_free() -> None:
    assert free_id("s", {"s1", "s3"}) == "s2"


def test_nothing_waits_in_a_plain_flight(plain: Document) -> None:
    assert waiting(plain.flight) == (Draft(), "")


def test_a_time_past_the_ephemeris_is_told_at_its_field() -> None:
    """DE421 ends on 2053-10-09 at 0 h; the last shot is a minute before, as its motion needs places around it."""
    text = FLIGHT.replace("2026-03-14T22:00", "2053-10-08T22:00")
    near = datetime(2053, 10, 8, 23, 50, tzinfo=UTC)
    typed = understand(Draft(body="Vega", time="0012"), parse_flight(text).flight, near)
    assert typed.watch_time is None and typed.remarks["time"].wrong
    assert "after the end of the ephemeris, 2053-10-0" in typed.remarks["time"].text
    assert not understand(Draft(time="2350"), parse_flight(text).flight, near).remarks
