"""The flight clock by itself, the times it jumps to, and what was known at an instant."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightleg.flight.document import Document
from nightleg.flight.known import known_by
from nightleg.flight.model import Flight, Leg
from nightleg.flight.solve import Unsolvable, solve
from nightleg.flight.state import moved
from nightleg.sky.ephemeris import LAST
from nightleg.units.errors import EntryError
from nightleg.window.clock.clock import RATES, FlightClock, clock_words, next_of, previous_of, typed_time
from nightleg.window.clock.moments import Knowing, moments

START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)
SECOND = timedelta(seconds=1)


def clock(now: datetime = START, last: datetime = LAST) -> FlightClock:
    return FlightClock(START, now, last)


@pytest.mark.parametrize("rate", RATES)
def test_flight_time_runs_at_the_rate(rate: int) -> None:
    at = clock()
    while at.rate < rate:
        at.faster()
    assert at.run()
    for _ in range(100):
        at.advance(0.05)
    assert abs(at.now - START - 5 * rate * SECOND) <= SECOND  # 5 s of real time, shown to the whole second


@given(st.lists(st.floats(0.0, 2.0), max_size=60))
def test_no_part_of_a_second_is_lost(steps: list[float]) -> None:
    at = clock()
    at.run()
    for step in steps:
        at.advance(step)
    # Whole seconds are shown; each step is rounded to the microsecond that a datetime holds.
    assert -1e-6 * (len(steps) + 1) <= sum(steps) - (at.now - START).total_seconds() < 1.0 + 1e-6 * (len(steps) + 1)


def test_nothing_is_to_be_shown_within_a_second() -> None:
    at = clock()
    at.run()
    assert not at.advance(0.4)
    assert at.advance(0.7)
    assert at.next_second_s() == pytest.approx(0.9)


def test_standing_it_stays() -> None:
    at = clock(START + timedelta(seconds=1.5))
    assert not at.advance(3600.0)
    assert at.now == START + timedelta(seconds=1.5)


@pytest.mark.parametrize("passed", [0.0, -5.0, float("nan")])
def test_real_time_that_does_not_pass_moves_nothing(passed: float) -> None:
    at = clock()
    at.run()
    assert not at.advance(passed)
    assert at.now == START


def test_a_pause_keeps_the_second_shown() -> None:
    at = clock()
    at.run()
    at.advance(1.6)
    at.pause()
    assert at.now == START + SECOND
    at.run()
    at.advance(0.5)
    assert at.now == START + SECOND


def test_it_is_kept_between_start_and_end() -> None:
    at = clock()
    at.set(START - timedelta(days=1))
    assert at.now == START
    at.set(LAST + timedelta(days=1))
    assert at.now == LAST and not at.run()


def test_it_stops_with_words_where_the_ephemeris_ends() -> None:
    at = clock(LAST - 30 * SECOND)
    while at.rate < 60:
        at.faster()
    at.run()
    assert at.advance(1.0)
    assert (at.now, at.running, at.at_end) == (LAST, False, True)
    assert "2053-10-08T23:58:00Z" in at.ending()
    at.set(START)
    assert at.run()


def test_an_endless_wait_ends_at_the_end() -> None:
    at = clock()
    at.run()
    at.advance(1e30)
    assert at.now == LAST and not at.running


def test_rates_go_up_and_down_by_steps_and_stay_in_their_limits() -> None:
    at = clock()
    assert [at.slower(), *(at.faster() for _ in range(8))] == [1, 2, 5, 10, 20, 30, 60, 60, 60]
    assert [at.slower() for _ in range(7)] == [30, 20, 10, 5, 2, 1, 1]


@pytest.mark.parametrize(
    ("text", "now", "found"),
    [
        ("2210", START + timedelta(hours=1), START + timedelta(minutes=10)),
        ("0115", START + timedelta(minutes=100), START + timedelta(hours=3, minutes=15)),
        ("22:10:30", START + timedelta(hours=10), START + timedelta(minutes=10, seconds=30)),
        ("2159", START, START + timedelta(hours=23, minutes=59)),  # before the start: a day later
        ("0900", START + timedelta(hours=1), START + timedelta(hours=11)),
    ],
)
def test_a_time_typed_is_an_instant_of_the_flight(text: str, now: datetime, found: datetime) -> None:
    assert typed_time(text, START, now) == found


@pytest.mark.parametrize("text", ["", "2260", "25", "nonsense", "２２１０x", "22:10:61"])
def test_what_is_no_time_is_told(text: str) -> None:
    with pytest.raises(EntryError):
        typed_time(text, START, START)


def test_a_time_after_the_end_of_the_ephemeris_is_told() -> None:
    with pytest.raises(EntryError, match="2053-10-08"):
        typed_time("2359", LAST - timedelta(hours=1), LAST)


def test_next_and_previous_skip_the_instant_itself() -> None:
    times = [START, START + SECOND, START + 2 * SECOND]
    assert next_of(times, START) == START + SECOND
    assert previous_of(times, START + 2 * SECOND) == START + SECOND
    assert next_of(times, times[-1]) is None and previous_of(times, START) is None


def test_the_clock_in_words() -> None:
    assert clock_words(START, 10, running=True, every=False) == "2200:00 GMT, running 10 times as fast"
    assert clock_words(START, 1, running=False, every=True) == "2200:00 GMT, standing, all entries shown"


def test_something_comes_to_be_known_at_every_moment_and_at_no_other(demo: Document) -> None:
    flight = demo.flight
    times = moments(flight)
    assert times[0] == flight.start.time and list(times) == sorted(set(times))
    for before, after in zip(times, (*times[1:], times[-1] + timedelta(hours=2)), strict=True):
        late = after - timedelta(microseconds=1)
        assert known_by(flight, before) == known_by(flight, before + (late - before) / 2) == known_by(flight, late)
        assert known_by(flight, before) != known_by(flight, before - timedelta(microseconds=1))


def test_what_is_known_is_the_same_object_between_moments(demo: Document) -> None:
    flight, knowing = demo.flight, Knowing()
    times = moments(flight)
    first = knowing.at(flight, times[3])
    assert knowing.at(flight, times[3] + SECOND) is first == known_by(flight, times[3])
    assert knowing.at(flight, times[4]) is not first


def test_a_solution_brought_to_another_instant_is_that_of_solving_anew(demo: Document) -> None:
    flight = demo.flight
    solution = solve(flight, flight.start.time)
    for minutes in (0, 7, 45, 133, 192, 250, 900):
        now = flight.start.time + timedelta(minutes=minutes)
        assert moved(solution, now) == solve(flight, now)


def test_a_solution_is_not_moved_before_the_start_nor_where_its_warnings_change(demo: Document) -> None:
    flight = demo.flight
    solution = solve(flight, flight.start.time)
    assert moved(solution, flight.start.time - SECOND) is None
    assert moved(solve(flight), flight.start.time) is None  # it has no DR of now
    far = flight.start.time + timedelta(days=3650)
    assert moved(solution, far) is None
    with pytest.raises(Unsolvable, match="over a pole"):
        solve(flight, far)
    round_the_world = Flight(flight.start, (Leg(time=flight.start.time, heading_deg=90.0, tas_kt=200.0),))
    solution = solve(round_the_world, flight.start.time)
    assert moved(solution, far) is None and solve(round_the_world, far).warnings != solution.warnings


def test_a_time_typed_with_its_date() -> None:
    assert typed_time("2026-03-16 0115", START, START) == datetime(2026, 3, 16, 1, 15, tzinfo=UTC)
    with pytest.raises(EntryError, match="before the start"):
        typed_time("2026-03-01 0115", START, START)
