"""The flight as it was known at an instant."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from nightleg.flight.known import known_by, over
from nightleg.flight.model import Flight
from nightleg.flight.read import parse_flight, read_flight
from nightleg.flight.solve import solve
from nightleg.flight.write import write_flight
from nightleg.resources import scenario


@pytest.fixture(scope="module")
def flight() -> Flight:
    return read_flight(scenario("demo")).flight


def clock(hour: int, minute: int, second: int = 0) -> datetime:
    return datetime(2026, 10, 18, hour, minute, second, tzinfo=UTC)


def test_what_lies_ahead_is_left_out(flight: Flight) -> None:
    known = known_by(flight, clock(20, 30))
    assert [fix.id for fix in known.fixes] == ["f1", "f2"]
    assert all(over(flight, sight) <= clock(20, 30) for sight in known.sights)
    assert len(known.sights) == 6
    assert max(leg.time for leg in known.legs) <= clock(20, 30)
    assert max(remark.time for remark in known.log) <= clock(20, 30)


def test_a_shot_is_known_when_it_is_over(flight: Flight) -> None:
    """Two minutes about the middle: known one minute after it."""
    sight = next(one for one in flight.sights if one.id == "s4")
    end = over(flight, sight)
    assert sight.id not in [one.id for one in known_by(flight, end - timedelta(seconds=1)).sights]
    assert sight.id in [one.id for one in known_by(flight, end).sights]


def test_a_series_is_over_with_its_last_reading(flight: Flight) -> None:
    sight = next(one for one in flight.sights if one.readings)
    last = max(reading.time for reading in sight.readings)
    assert timedelta(0) < last - over(flight, sight) < timedelta(seconds=10)  # the watch is some seconds fast


def test_a_fix_has_the_shots_that_are_over(flight: Flight) -> None:
    """At 2100 the shot planned for four minutes later is not there yet."""
    at_the_fix = known_by(flight, clock(21, 1))
    assert at_the_fix.fixes[-1].id == "f3" and len(at_the_fix.fixes[-1].sights) == 2
    assert len(known_by(flight, clock(21, 6)).fixes[-1].sights) == 3


@pytest.mark.parametrize("minutes", range(0, 260, 20))
def test_every_instant_is_a_flight_that_checks_and_solves(flight: Flight, minutes: int) -> None:
    known = known_by(flight, flight.start.time + timedelta(minutes=minutes))
    assert parse_flight(write_flight(known)).flight.fixes == known.fixes
    assert solve(known).problems == ()


def test_the_past_does_not_change(flight: Flight) -> None:
    """A fix that is complete is the same whatever came after it."""
    whole, then = solve(flight), solve(known_by(flight, clock(20, 30)))
    assert whole.fix("f2") == then.fix("f2")
