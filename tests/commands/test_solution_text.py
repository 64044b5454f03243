"""The log that a navigator reads."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from msgspec.structs import replace

from nightleg.commands.solution_text import log, truth
from nightleg.commands.working_text import working
from nightleg.flight.model import Flight
from nightleg.flight.solution import DrState, FixResult, SightResult, Solution

WIDEST = 100  # columns


def test_entries_stand_in_the_order_of_the_flight(flight: Flight, solution: Solution) -> None:
    lines = log(flight, solution, "night.flight.toml").splitlines()
    entries = [line.split()[:2] for line in lines if line[:4].isdigit() and line[4:5] in " :"]
    assert entries == [
        ["2200", "start"],
        ["2200", "leg"],
        ["2210", "level"],
        ["2252", "s1"],
        ["2256:07", "s2"],
        ["2300", "s3"],
        ["2300", "FIX"],
        ["2300", "from"],
        ["0020", "s9"],
        ["0030", "FIX"],
        ["0100", "DR"],
    ]
    assert lines.index("2026-03-14") < lines.index("2026-03-15")


def test_what_a_dr_line_says(flight: Flight, solution: Solution) -> None:
    lines = log(flight, solution, "night.flight.toml").splitlines()
    head = next(line for line in lines if line.startswith("GMT"))
    start = next(line for line in lines if "start" in line)
    expected = "2200 start 41°30.0′N 028°15.0′W 262.0 430 31000 310/45 257.1 402 4.9 L 2.5"
    assert start.split() == expected.split(" ")
    for name, value in {"TH": "262.0", "TAS": "430", "W/V": "310/45", "TC": "257.1", "GS": "402"}.items():
        near = start.index(value)
        assert near <= head.index(name) <= near + len(value), name


def test_what_a_sight_and_a_fix_say(flight: Flight, solution: Solution) -> None:
    text = log(flight, solution, "night.flight.toml")
    for words in [
        "Capella          Hs 61°08.0′  Ho 61°06.0′  Hc 61°12.0′  Zn 292.1     6.0 A",
        "not used",
        "! low: refraction is not reliable",
        "from the assumed position 41°12.0′N 036°06.0′W, 5 readings, scatter 1.2′",
        "8.2 NM from the DR, bearing 136°",
        "s1 +0.1′, s2 −1.2′, s3 0.0′",
        "ellipse 95 % 7.4 × 4.8 NM, 50 % 3.6 × 2.3 NM, long axis 079°; CEP 2.9 NM",
        "chi-square 0.63, degrees of freedom 1, p 0.43",
        "wind found 300/40 since 2200",
        "three lines agree",
        "no position; DR 41°18.0′N 036°12.0′W",
        "one shot: a line, no position",
        "! after the last published Earth rotation: its last value is held",
    ]:
        assert words in text


def test_no_ground_speed_leaves_dashes(flight: Flight, solution: Solution, make_dr: Callable[..., DrState]) -> None:
    still = replace(solution, dr=(make_dr("start", 0, track_deg=None, drift_deg=None, gs_kt=0.0),))
    line = next(line for line in log(flight, still, "x").splitlines() if "start" in line)
    assert line.split()[7:] == ["310/45", "—", "0", "—", "2.5"]


def test_lines_fit_and_no_control_character_passes(
    flight: Flight,
    solution: Solution,
    make_sight: Callable[..., SightResult],
    make_fix: Callable[..., FixResult],
) -> None:
    long = "an \x1b[31mid\r\n that goes on and on " * 20
    hostile: dict[str, Any] = {"warnings": (long,), "body": long}
    sights = tuple(make_sight(f"{long}{n}", n, **hostile) for n in range(3))
    fix = make_fix(
        long, 60, sights=tuple(s.id for s in sights), trust=(long,), residuals_arcmin={}, common_error_arcmin=-1.23,
        common_error_sigma_arcmin=0.5, mpp_rule=solution.fixes[0].dr, adopted=False, prior=True,
    )  # fmt: skip
    wild = replace(solution, title=long, sights=sights, fixes=(fix,), warnings=(long,))
    text = log(flight, wild, long) + working(wild)
    assert "common error −1.2′ ± 0.5′" in text
    for line in text.splitlines():
        assert len(line) <= WIDEST
        assert line.isprintable(), line
        assert line == line.rstrip()


def test_a_time_just_before_midnight_stands_under_the_date_it_shows(
    flight: Flight, solution: Solution, make_sight: Callable[..., SightResult]
) -> None:
    text = log(flight, replace(solution, dr=(), fixes=(), sights=(make_sight("s1", 120 - 1e-7),)), "x")
    lines = text.splitlines()
    assert next(line for line in lines if " s1 " in line).startswith("0000 ")
    assert lines.index("2026-03-15") < next(n for n, line in enumerate(lines) if " s1 " in line)


def test_the_working_follows_the_order_of_the_work(solution: Solution) -> None:
    first = working(solution).strip().split("\n\n")[0].splitlines()
    assert first[0] == "Working of s1: Capella"
    assert [line.split("  ")[1] for line in first[1:13]] == [
        "GMT", "GHA Aries", "SHA", "GHA", "Longitude", "LHA", "Dec", "Latitude", "Hc", "Zn", "Motion of the body",
        "Motion of the aircraft",
    ]  # fmt: skip
    assert [line.split()[:2] for line in first[13:]] == [
        ["Hs", "61°08.0′"], ["sextant", "+0.30′"], ["Coriolis", "+9.02′"], ["refraction", "−0.20′"],
        ["Ho", "61°06.0′"], ["Intercept", "6.0"],
    ]  # fmt: skip


def test_the_truth_as_text(flight: Flight) -> None:
    assert flight.truth is not None
    shown = truth(flight.truth)
    assert "2200" in shown
    assert "41°24.0′N 028°18.0′W" in shown
    assert "31000 ft" in shown
