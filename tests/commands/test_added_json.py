"""Keys that the JSON document has beside the solution: grid, latitudes, landfalls; and the same in the log."""

from __future__ import annotations

import json
from typing import Any

import pytest

from nightleg.commands.solution_json import document, dumps
from nightleg.commands.solution_text import log
from nightleg.commands.working_text import working
from nightleg.flight.read import parse_flight
from nightleg.flight.solve import solve
from nightleg.flight.working import explain

TEXT = """\
format = "nightleg-flight-1"

[start]
time = 2026-03-14T12:00:00Z
position = "41 30.0 N 010 00 W"

[grid]
chart = "lambert"
cone_latitude_deg = 40
reference_deg = -20

[[leg]]
time = 2026-03-14T12:00:00Z
heading_grid_deg = 214
tas_kt = 330
wind = "grid 310/45"
altitude_ft = 31000
steering = "great_circle"

[[waypoint]]
name = "KILO"
position = "32 20.0 N 017 00 W"

[[sight]]
id = "s1"
body = "Sun"
time = 2026-03-14T12:50:00Z
hs = "49 00"

[[sight]]
id = "s2"
body = "Polaris"
time = 2026-03-14T12:54:00Z
hs = "38 00"

[[sight]]
id = "s3"
body = "Vega"
time = 2026-03-14T12:58:00Z
hs = "30 00"

[[landfall]]
id = "k1"
body = "Sun"
destination = "KILO"
time = 2026-03-14T13:53:00Z
side = "left"
"""


@pytest.fixture(scope="module")
def shown() -> dict[str, Any]:
    flight = parse_flight(TEXT).flight
    made: dict[str, Any] = json.loads(dumps(document(solve(flight), flight=flight)))
    return made


def test_directions_by_the_grid(shown: dict[str, Any]) -> None:
    """grid = true - n·(longitude - reference), n = sin 40°."""
    assert shown["grid"] == {"chart": "lambert", "reference_deg": -20.0}
    state = shown["dr"][0]
    assert state["grid_n"] == pytest.approx(0.6427876097, abs=1e-9)
    assert state["convergence_deg"] == pytest.approx(0.6427876097 * 10.0, abs=1e-8)
    assert state["grid_heading_deg"] == pytest.approx(214.0, abs=1e-8)
    assert state["heading_deg"] == pytest.approx(214.0 + state["convergence_deg"], abs=1e-8)
    assert state["grid_wind_from_deg"] == pytest.approx(310.0, abs=1e-8)
    assert state["grid_track_deg"] == pytest.approx(state["track_deg"] - state["convergence_deg"], abs=1e-8)


def test_without_a_grid_its_keys_are_null() -> None:
    text = TEXT.replace("heading_grid_deg", "heading_deg").replace('"grid 310', '"310')
    text = text[: text.index("[grid]")] + text[text.index("[[leg]]") :]
    flight = parse_flight(text).flight
    made = document(solve(flight), flight=flight)
    assert made["grid"] is None
    names = ("grid_heading_deg", "grid_track_deg", "grid_wind_from_deg", "convergence_deg", "grid_n")
    assert all(made["dr"][0][name] is None for name in names)


def test_latitudes_of_sights(shown: dict[str, Any]) -> None:
    sun, polaris, vega = (sight["latitude"] for sight in shown["sights"])
    assert vega is None
    assert sun["by"] == "meridian" and sun["transit"] == "upper"
    assert sun["transit_time"].startswith("2026-03-14T13:0")
    assert polaris["by"] == "polaris" and polaris["transit"] is None
    for found in (sun, polaris):
        assert abs(found["difference_nm"]) <= found["left_out_arcmin"] + 1e-6
        assert found["exact_lat"] == pytest.approx(found["lat"], abs=0.001)


def test_landfalls(shown: dict[str, Any]) -> None:
    (found,) = shown["landfalls"]
    assert found["destination"] == {"name": "KILO", "lat": pytest.approx(32.0 + 1.0 / 3.0), "lon": -17.0}
    assert found["side"] == "left" and found["turn_deg"] > 0.0
    assert found["aim_off_nm"] > 2.0 * found["sigma_nm"]
    assert len(found["table"]) == 11 and set(found["table"][0]) == {"time", "hc", "zn", "preset"}
    assert found["warnings"][0].startswith("Sun: dark filters")
    assert found["down_line"]["distance_nm"] == pytest.approx(found["aim_off_nm"], rel=0.01)


def test_the_log_tells_the_same() -> None:
    flight = parse_flight(TEXT).flight
    solution = solve(flight)
    text = log(flight, solution, "x.flight.toml")
    assert max(map(len, text.splitlines())) <= 100
    for words in ("GH 214.0", "grid of a Lambert chart, n 0.6428", "latitude by Polaris", "latitude by upper transit"):
        assert words in text
    for words in ("landfall at KILO", "dark filters in place", "turn right", "preset"):
        assert words in text
    worked = working(solution, flight)
    assert "Latitude by Polaris" in worked and "Greatest altitude" in worked
    assert max(map(len, worked.splitlines())) <= 100


def test_the_working_of_a_landfall() -> None:
    flight = parse_flight(TEXT).flight
    solution = solve(flight)
    steps = {step.name: step for step in explain(flight, solution, "k1").steps}
    assert steps["aim-off"].value.endswith("NM left")
    assert steps["turn onto the line"].value.endswith("right")
    assert {"heading to the turn", "line reached", "heading down the line", "preset 1353"} <= set(steps)
    assert "dark filters" in steps["cautions"].value


def test_the_working_of_a_latitude() -> None:
    flight = parse_flight(TEXT).flight
    solution = solve(flight)
    names = [step.name for step in explain(flight, solution, "s1").steps]
    assert names[-5:] == [
        "upper transit",
        "greatest altitude",
        "H on the meridian",
        "latitude by meridian passage",
        "latitude by the exact line",
    ]
    names = [step.name for step in explain(flight, solution, "s2").steps]
    assert names[-2:] == ["latitude by Polaris", "latitude by the exact line"]
    assert not any("latitude by" in step.name for step in explain(flight, solution, "s3").steps)
