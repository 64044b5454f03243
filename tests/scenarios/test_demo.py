"""The demo flight: solved without a fault, near its truth, made again byte for byte, and closed by its last sight."""

from __future__ import annotations

import math

import numpy as np
import pytest

from nightleg.earth.local import between
from nightleg.flight.model import Flight, Wind, WindOfFix
from nightleg.flight.solution import FixResult
from nightleg.flight.solve import solve
from nightleg.resources import scenario

from .demo import closed_flight, demo_flight, script, true_place

CHI2_99 = -2.0 * math.log(0.01)  # two degrees of freedom: 9.21


def test_it_solves_without_a_problem_or_warning() -> None:
    solution = solve(demo_flight())
    assert solution.problems == ()
    assert solution.warnings == ()
    assert [fix.id for fix in solution.fixes if fix.adopted] == ["f1", "f2", "f3", "f4"]


def test_made_again_it_is_the_same_byte_for_byte() -> None:
    assert script().made().encode() == scenario("demo").read_bytes()


@pytest.mark.parametrize("flight", [demo_flight(), closed_flight()], ids=["as shipped", "with the last sight"])
def test_every_fix_holds_the_truth_in_its_99_percent_ellipse(flight: Flight) -> None:
    for fix in solve(flight).fixes:
        assert fix.position is not None and fix.cov_nm2 is not None
        off_nm = np.array(between(*fix.position, *true_place(fix.time)), dtype=float)
        assert off_nm @ np.linalg.solve(np.array(fix.cov_nm2), off_nm) < CHI2_99, fix.id


def test_the_fixes_agree_within_themselves() -> None:
    for fix in solve(closed_flight()).fixes:
        assert fix.p_value is not None and fix.p_value > 0.05, fix.id


def _last(flight: Flight) -> FixResult:
    assert demo_flight().next_sight is not None
    return solve(flight).fix(str(demo_flight().next_sight.fix))


def test_the_waiting_sight_closes_the_last_fix() -> None:
    before, after = _last(demo_flight()), _last(closed_flight())
    assert before.trust[0] == "two lines: no check"
    assert before.p_value is None
    assert after.p_value is not None
    assert before.ellipse95 is not None and after.ellipse95 is not None
    assert before.ellipse95.semi_major_nm > 1.5 * after.ellipse95.semi_major_nm


def test_the_waiting_sight_is_the_last_of_the_flight() -> None:
    flight = demo_flight()
    waiting = flight.next_sight
    assert waiting is not None
    assert waiting.text
    assert all(sight.time is None or sight.time < waiting.time for sight in flight.sights)
    fix = next(fix for fix in flight.fixes if fix.id == waiting.fix)
    assert fix.time == max(fix.time for fix in flight.fixes) == waiting.time


def test_the_first_stars_find_another_wind_than_the_forecast() -> None:
    flight, solution = demo_flight(), solve(demo_flight())
    forecast, found = flight.legs[0].wind, solution.fix("f2")
    assert isinstance(forecast, Wind) and found.wind_from_deg is not None and found.wind_kt is not None
    changed_kt = abs(
        found.wind_kt * np.exp(1j * math.radians(found.wind_from_deg))
        - forecast.kt * np.exp(1j * math.radians(forecast.from_deg))
    )
    assert changed_kt > flight.wind_uncertainty.sigma_kt
    assert any(leg.wind == WindOfFix(fix="f2") for leg in flight.legs)
    named = f"{found.wind_from_deg:03.0f}/{found.wind_kt:.0f}"
    assert any(named in remark.text for remark in flight.log)


def test_a_wind_entered_by_hand_is_near_the_one_found() -> None:
    flight, found = demo_flight(), solve(demo_flight()).fix("f3")
    held = flight.legs[-1].wind
    assert isinstance(held, Wind)
    assert held.from_deg == pytest.approx(found.wind_from_deg, abs=5.0)  # degrees: rounded by hand
    assert held.kt == pytest.approx(found.wind_kt, abs=5.0)  # kt


def test_the_flight_turns_at_its_waypoint() -> None:
    flight = demo_flight()
    turn = flight.waypoints[1].position
    states = [state for state in solve(flight).dr if state.kind == "leg"]
    near = [state for state in states if np.hypot(*between(*state.position, *turn)) < 5.0]  # NM: within sight of it
    assert len(near) == 1
    before = states[states.index(near[0]) - 1]
    assert abs(near[0].heading_deg - before.heading_deg) > 30.0


def test_what_was_set_aside_is_off_and_told_in_the_log() -> None:
    flight, solution = demo_flight(), solve(demo_flight())
    aside = [sight for sight in flight.sights if not sight.use]
    assert len(aside) == 1
    assert any(f"{aside[0].id} set aside" in remark.text for remark in flight.log)
    fix = solution.fix("f2")
    assert aside[0].id not in fix.sights
    reduced = solution.sight(aside[0].id)
    assert fix.from_dr_nm is not None and fix.from_dr_deg is not None and reduced.intercept_nm is not None
    # the intercept that a good shot had given: the way from the DR to the fix, along its azimuth
    expected_nm = fix.from_dr_nm * math.cos(math.radians(fix.from_dr_deg - reduced.zn))
    assert abs(reduced.intercept_nm - expected_nm) > 3.0 * flight.sextant.sigma_arcmin


def test_it_shows_most_of_what_a_log_can_hold() -> None:
    flight = demo_flight()
    assert any(sight.readings for sight in flight.sights)
    assert any(leg.heading_compass_deg is not None for leg in flight.legs)
    assert flight.watch.error_s and flight.watch.rate_s_per_day
    assert flight.sextant.correction_arcmin and flight.sextant.table
    assert {waypoint.path for waypoint in flight.waypoints} == {"rhumb", "great_circle"}
