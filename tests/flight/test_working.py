"""Every number explains itself: steps that end in the numbers shown, every correction with formula and source."""

from __future__ import annotations

import math
import re
from datetime import timedelta

import pytest

from nightleg.flight.model import Fix, Flight
from nightleg.flight.read import read_flight
from nightleg.flight.solution import Solution
from nightleg.flight.solve import solve
from nightleg.flight.working import UnknownError, explain
from nightleg.flight.working_chain import CORRECTIONS
from nightleg.flight.working_step import Step, Working
from nightleg.resources import scenario
from nightleg.units.angles import read_angle, write_angle, write_arcmin
from nightleg.units.positions import Position, write_latitude, write_position


@pytest.fixture(scope="module")
def flight() -> Flight:
    return read_flight(scenario("demo")).flight


@pytest.fixture(scope="module")
def solution(flight: Flight) -> Solution:
    return solve(flight)


def named(working: Working, name: str) -> Step:
    return next(step for step in working.steps if step.name == name)


def test_every_sight_ends_in_its_own_numbers(flight: Flight, solution: Solution) -> None:
    for sight in solution.sights:
        working = explain(flight, solution, sight.id)
        assert named(working, "Hc").value == write_angle(sight.hc)
        assert sight.ho is not None and named(working, "Ho").value == write_angle(sight.ho)
        assert named(working, "intercept").value.startswith(f"{abs(sight.intercept_nm or 0.0):.1f} NM")
        for correction in sight.corrections:
            step = named(working, correction.name)
            assert step.value == write_arcmin(correction.arcmin, 2)
            assert step.formula and step.source


def test_a_star_goes_by_its_sidereal_hour_angle(flight: Flight, solution: Solution) -> None:
    """GHA = GHA Aries + SHA of a star; of Sun, Moon and planets GHA Aries less right ascension. Both to 0.1′ each."""
    moving = ("Sun", "Moon", "Venus", "Mars", "Jupiter", "Saturn")
    for sight in solution.sights:
        gha = named(explain(flight, solution, sight.id), "GHA")
        inputs = {name: read_angle(value) for name, value in gha.inputs if name != "Dec"}
        if sight.body in moving:
            assert gha.formula == "GHA Aries − right ascension"
            found = inputs["GHA Aries"] - inputs["right ascension"]
        else:
            assert gha.formula.startswith("GHA Aries + SHA")
            assert dict(gha.inputs)["Dec"] == write_latitude(sight.dec)
            assert named(explain(flight, solution, sight.id), "SHA").value == dict(gha.inputs)["SHA"]
            found = inputs["GHA Aries"] + inputs["SHA"]
        assert abs((found - sight.gha + 180.0) % 360.0 - 180.0) < 0.11 / 60.0  # two values to 0.05′
    assert {sight.body in moving for sight in solution.sights} == {True, False}


def test_every_correction_that_can_come_up_is_explained() -> None:
    """The names that the chain gives are those that have a formula here."""
    from pathlib import Path

    from nightleg.flight import reduce

    source = Path(reduce.__file__).read_text(encoding="utf-8")
    given = set(re.findall(r'\("([\w\s-]+)", steps\.', source))
    assert given == set(CORRECTIONS)


def figures(step: Step) -> dict[str, float]:
    """The inputs of a step as they are shown, in degrees, knots, hPa and °C; a latitude south is negative."""
    read = {}
    for name, text in step.inputs:
        plain = text.replace("−", "-")
        if match := re.fullmatch(r"(-?\d+)°([\d.]+)′([NSEW]?)", plain):
            degrees, minutes, letter = match.groups()
            read[name] = (float(degrees) + float(minutes) / 60.0) * (-1.0 if letter in ("S", "W") else 1.0)
        else:
            number = re.match(r"[+-]?[\d.]+", plain)
            assert number is not None, text
            read[name] = float(number[0])
    return read


def test_corrections_follow_from_the_figures_shown_with_them(flight: Flight, solution: Solution) -> None:
    """By the printed formula, to what the rounding of the figures leaves.

    Sources: the air-navigation handbooks for the bubble (FAA-H-8083-18, AFPAM 11-216), Nautical Almanac for refraction.
    """
    worked = 0
    for sight in solution.sights:
        working = explain(flight, solution, sight.id)
        arcmin = {correction.name: correction.arcmin for correction in sight.corrections}
        if "Coriolis" in arcmin:
            at = figures(named(working, "Coriolis"))
            lean = 0.02630 * at["GS"] * math.sin(math.radians(at["latitude"]))
            assert math.isclose(lean * math.sin(math.radians(at["Zn − TC"])), arcmin["Coriolis"], abs_tol=0.02)
        if "rhumb-line" in arcmin:
            at = figures(named(working, "rhumb-line"))
            lean = 1.456e-5 * at["GS"] ** 2 * math.sin(math.radians(at["TC"])) * math.tan(math.radians(at["latitude"]))
            assert math.isclose(lean * math.sin(math.radians(at["Zn − TC"])), arcmin["rhumb-line"], abs_tol=0.01)
        at = figures(named(working, "refraction"))
        bent = 0.0167 / math.tan(math.radians(at["H"] + 7.32 / (at["H"] + 4.32))) * 0.28 * at["P"] / (at["T"] + 273.0)
        assert math.isclose(-60.0 * bent, arcmin["refraction"], abs_tol=0.005)
        worked += 1
    assert worked > 5


def test_formulae_carry_the_constants_that_are_used() -> None:
    """Coriolis 0.02630, rhumb line 1.456e-5, wander 0.05246, speed 3.006 (derived from g, Ω, R; see the chain)."""
    text = " ".join(formula for formula, _ in CORRECTIONS.values())
    for constant in ("0.02630", "1.456e-05", "0.05246", "3.006"):
        assert constant in text


def test_a_fix(flight: Flight, solution: Solution) -> None:
    fix = solution.fix("f3")
    working = explain(flight, solution, "f3")
    assert fix.position is not None
    assert named(working, "position").value == write_position(fix.position)
    assert named(working, "agreement").value == f"p {fix.p_value:.3f}"
    assert sum(step.name.startswith("line ") for step in working.steps) == 3
    assert named(working, "wind found").inputs[0][1] == "2000"
    assert dict(named(working, "DR at the fix time").inputs)["hours since"] == "1.00"


def test_a_fix_without_a_position_says_why(flight: Flight) -> None:
    lone = Flight(
        start=flight.start,
        legs=flight.legs,
        sextant=flight.sextant,
        watch=flight.watch,
        sights=flight.sights,
        fixes=(Fix(id="lone", time=flight.fixes[0].time, sights=("s2",)),),
    )
    working = explain(lone, solve(lone), "lone")
    assert named(working, "position").value == "none"
    assert "one line" in named(working, "position").source
    assert "t·p/(t + p)" in named(working, "most probable position by rule").formula


def test_the_dead_reckoning(flight: Flight, solution: Solution) -> None:
    when = solution.fix("f3").time + timedelta(minutes=30)
    working = explain(flight, solution, "dr", when)
    assert working.steps[0].name == "from fix f3"
    runs = [step for step in working.steps if step.name.startswith("run ")]
    assert [step.name for step in runs] == ["run 2100 to 2110", "run 2110 to 2130"]
    lat, lon = solution.plot_at(when).position(solution.plot_at(when).time_s + 1800.0)
    assert named(working, "position").value == write_position(Position(float(lat), float(lon)))


def test_an_unknown_name_says_what_there_is(flight: Flight, solution: Solution) -> None:
    with pytest.raises(UnknownError, match="what can be explained is dr, ahead, s1"):
        explain(flight, solution, "x9")


def test_on_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    from nightleg.commands.main import main

    assert main(["solve", str(scenario("demo")), "--explain", "s1", "--explain", "dr"]) == 0
    out = capsys.readouterr().out
    assert "sin Hc = sin L" in out and "wind triangle" in out
    assert max(map(len, out.splitlines())) <= 100
    assert main(["solve", str(scenario("demo")), "--explain", "nobody"]) == 1
    assert "nobody" in capsys.readouterr().err
