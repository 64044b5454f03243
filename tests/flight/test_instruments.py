"""Heading instruments between their checks: the rate, what it comes to later, and how sure that is."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from msgspec.structs import replace

from nightleg.flight.instruments import UNKNOWN_RATE_DEG_PER_H, fitted, instruments
from nightleg.flight.model import Flight, HeadingCheck, Leg, Start, Wind
from nightleg.flight.solve import solve
from nightleg.units.positions import Position

START = datetime(2026, 3, 14, 22, 0, tzinfo=UTC)
FLIGHT = Flight(
    start=Start(time=START, position=Position(41.5, -28.25)),
    legs=(
        Leg(time=START, heading_deg=262.0, tas_kt=430.0, wind=Wind(from_deg=310.0, kt=45.0), altitude_ft=31000.0),
        Leg(time=START + timedelta(minutes=90), heading_deg=200.0),
    ),
)


def at(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


def flown(*errors: tuple[float, float], shown: str = "true", resets: tuple[int, ...] = ()) -> Flight:
    """A flight whose instrument was found off by those errors, (minutes, degrees)."""
    checks = tuple(
        HeadingCheck(
            id=f"h{n}",
            body="Venus",
            time=at(m),
            relative_bearing_deg=10.0,
            shown_deg=0.0,
            shown=shown,
            reset=n in resets,
        )
        for n, (m, _) in enumerate(errors)
    )
    found = solve(replace(FLIGHT, heading_checks=checks)).heading_checks
    shows = [(one.should_show_deg + error) % 360.0 for one, (_, error) in zip(found, errors, strict=True)]
    return replace(FLIGHT, heading_checks=tuple(replace(c, shown_deg=s) for c, s in zip(checks, shows, strict=True)))


def of(flight: Flight, minutes: float):
    (one,) = instruments(flight, solve(flight, at(minutes)))
    return one


def test_two_checks_give_the_rate_and_carry_it_on() -> None:
    one = of(flown((0.0, 1.0), (30.0, 2.0)), 60.0)
    assert one.rate_deg_per_h == pytest.approx(2.0, abs=1e-9)
    assert one.rate_sigma_deg_per_h == pytest.approx(0.5 * np.sqrt(2.0) / 0.5)
    assert one.error_deg == pytest.approx(3.0, abs=1e-9)
    # e = e₂ + (e₂ − e₁): variance 4 + 1 times that of a check
    assert one.sigma_deg == pytest.approx(0.5 * np.sqrt(5.0))
    assert one.reads_deg == pytest.approx(265.0, abs=1e-9)


def test_a_later_leg_means_another_true_heading() -> None:
    flight = flown((0.0, 1.0), (30.0, 2.0))
    (meant,) = of(flight, 95.0).headings
    assert meant.leg == 2
    assert meant.true_deg == pytest.approx(200.0 - 4.0, abs=1e-9)
    assert meant.dr_true_deg == pytest.approx(200.0)


def test_one_check_holds_the_error_with_growing_doubt() -> None:
    one = of(flown((0.0, 1.5)), 60.0)
    assert one.rate_deg_per_h is None
    assert one.error_deg == pytest.approx(1.5, abs=1e-9)
    assert one.sigma_deg == pytest.approx(np.hypot(0.5, UNKNOWN_RATE_DEG_PER_H))


def test_after_a_reset_the_error_starts_anew_from_nothing() -> None:
    one = of(flown((0.0, 1.0), (30.0, 4.0), (60.0, 1.0), resets=(1,)), 90.0)
    assert one.checks == ("h2",) and one.reset_by == "h1"
    assert one.rate_deg_per_h == pytest.approx(2.0, abs=1e-9)
    assert one.error_deg == pytest.approx(2.0, abs=1e-9)
    before = of(flown((0.0, 1.0), (30.0, 4.0), (60.0, 1.0), resets=(1,)), 29.0)
    assert before.error_deg == pytest.approx(1.0, abs=1e-9)  # only the first check was known


def test_an_error_that_runs_through_half_a_turn_is_one_line() -> None:
    one = of(flown((0.0, 179.0), (30.0, -179.0)), 60.0)
    assert one.rate_deg_per_h == pytest.approx(4.0, abs=1e-9)
    assert one.error_deg == pytest.approx(-177.0, abs=1e-9)


def test_a_compass_is_held_to_the_mean_of_its_checks() -> None:
    one = of(flown((0.0, 1.0), (30.0, 2.0), shown="compass"), 60.0)
    assert one.rate_deg_per_h is None
    assert one.error_deg == pytest.approx(1.5, abs=1e-9)
    assert one.sigma_deg == pytest.approx(0.5 / np.sqrt(2.0))


def test_the_uncertainty_is_that_of_drawn_checks() -> None:
    """20 000 draws of three checks of unlike quality: a standard deviation of so many is good to 0.5 %."""
    rng = np.random.default_rng(11)
    times, sigmas = np.array([0.0, 900.0, 2700.0]), np.array([0.5, 1.0, 0.4])
    draws = 0.3 + 1.7 * times / 3600.0 + sigmas * rng.standard_normal((20_000, 3))
    lines = [fitted(list(times), list(row), list(sigmas), True) for row in draws]
    carried = np.array([line.error(5400.0) for line in lines])
    assert np.std(carried) == pytest.approx(lines[0].sigma(5400.0), rel=0.02)
    assert np.mean(carried) == pytest.approx(0.3 + 1.7 * 1.5, abs=4.0 * lines[0].sigma(5400.0) / np.sqrt(20_000))
    assert np.std([line.rate_deg_per_h for line in lines]) == pytest.approx(np.sqrt(lines[0].var_rate), rel=0.02)
