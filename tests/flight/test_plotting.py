"""What goes on the chart: circles of equal altitude near the DR, advanced lines, the DR track in runs."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from nightleg.earth.local import between
from nightleg.flight.model import Fix, Flight, Leg, Sight, Start, Wind
from nightleg.flight.plotting import HALF_LENGTH_NM, circle_about, lines_of_position, track_runs
from nightleg.flight.solve import solve
from nightleg.sight.reduction import altitude
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

START = datetime(2026, 3, 14, 22, 3, tzinfo=UTC)


def at(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


def flight(**more) -> Flight:
    sights = (
        Sight(id="s1", body="Capella", time=at(52), hs=59.7),
        Sight(id="s2", body="Sirius", time=at(56), hs=30.5),
        Sight(id="s3", body="Regulus", time=at(75), hs=53.0, use=False),
        Sight(id="s4", body="Dubhe", time=at(60), hs=55.2),
    )
    base = {
        "start": Start(time=START, position=Position(41.5, -28.25)),
        "legs": (
            Leg(time=START, heading_deg=262.0, tas_kt=430.0, wind=Wind(from_deg=310.0, kt=45.0), altitude_ft=31000.0),
            Leg(time=at(58), heading_deg=230.0),
        ),
        "sights": sights,
        "fixes": (Fix(id="f1", time=at(60), sights=("s1", "s2", "s4")),),
    }
    return Flight(**{**base, **more})


def test_points_lie_on_the_circle_and_the_foot_toward_the_body() -> None:
    solution = solve(flight())
    for line in lines_of_position(flight(), solution):
        sight = solution.sight(line.id)
        lat, lon = np.array(line.observed).T
        assert np.allclose(altitude(lat, lon, sight.gha, sight.dec), sight.ho, atol=1e-9)
        start, foot = line.stub
        assert start == sight.reduced_from
        north, east = between(*start, *foot)
        assert math.hypot(north, east) == pytest.approx(abs(sight.intercept_nm or 0.0), rel=0.006)
        ends = [math.hypot(*between(*foot, *line.observed[k])) for k in (0, -1)]
        assert ends == [pytest.approx(HALF_LENGTH_NM, rel=0.02)] * 2


def test_an_advanced_line_is_every_point_carried() -> None:
    solution = solve(flight())
    line = next(line for line in lines_of_position(flight(), solution) if line.id == "s1")
    plot = solution.plot_of_fix["f1"]
    for k in (0, 20, 48):
        there = plot.carry(*line.observed[k], gmt_s(line.time), gmt_s(at(60)))
        assert np.allclose(there, line.advanced[k], atol=1e-9)
    assert line.advanced_to == at(60)


def test_a_shot_at_the_fix_time_is_not_moved_and_a_loose_one_has_no_fix() -> None:
    solution = solve(flight())
    lines = {line.id: line for line in lines_of_position(flight(), solution)}
    assert lines["s4"].observed == lines["s4"].advanced
    assert lines["s3"].fix is None and lines["s3"].advanced_to is None and not lines["s3"].used
    assert lines["s1"].used


def test_a_sight_in_two_fixes_has_a_line_in_each() -> None:
    twice = flight(
        fixes=(
            Fix(id="f1", time=at(60), sights=("s1", "s2", "s4")),
            Fix(id="f2", time=at(80), sights=("s4", "s1"), prior=True),
        )
    )
    lines = lines_of_position(twice, solve(twice))
    assert [line.fix for line in lines if line.id == "s1"] == ["f1", "f2"]


def test_near_the_zenith_the_circle_closes() -> None:
    overhead = flight(sights=(Sight(id="s1", body="Capella", time=at(52), hs=89.9),), fixes=())
    sight = solve(overhead).sight("s1")
    lat, lon = circle_about(sight, HALF_LENGTH_NM)
    assert lat[0] == pytest.approx(lat[-1], abs=1e-9)
    assert lon[0] == pytest.approx(lon[-1], abs=1e-9)


def test_runs_of_the_track_break_at_the_fix() -> None:
    solution = solve(flight(), now=at(90))
    runs = track_runs(flight(), solution)
    assert len(runs) == 2
    before, after = runs
    assert before.points[-1].time == at(60) and after.points[0].time == at(60)
    assert before.points[-1].position != after.points[0].position
    assert after.points[-1].time == at(90)
    assert at(58) in [point.time for point in before.points], "a corner of the track is a point of it"
    assert [tick.time.minute % 10 for tick in before.ticks] == [0] * len(before.ticks)
    assert len(track_runs(flight(), solution, until=at(30))) == 1
