"""The JSON of a solution: its keys are a contract, its numbers plain and finite."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
from msgspec.structs import replace

from nightleg.commands.json_values import azimuth, iso, longitude, number, significant, wind_text
from nightleg.commands.solution_json import document, dumps
from nightleg.flight.model import Flight
from nightleg.flight.solution import DrState, Solution
from nightleg.units.positions import Position

# The contract of the command line: the keys that a reader of the JSON may count on, and what each may hold.
NUMBER, TEXT, LIST, TRUTH_VALUE, TABLE = (int, float), str, list, bool, dict
NONE = type(None)
DR = {"time": TEXT, "lat": NUMBER, "lon": NUMBER, "track_deg": (*NUMBER, NONE), "gs_kt": NUMBER,
      "drift_deg": (*NUMBER, NONE), "sigma_nm": NUMBER, "cov_nm2": LIST, "heading_deg": NUMBER,
      "tas_kt": NUMBER}  # fmt: skip
SIGHT = {"id": TEXT, "body": TEXT, "time": TEXT, "hs": NUMBER, "ho": (*NUMBER, NONE), "hc": NUMBER, "zn": NUMBER,
         "intercept_nm": (*NUMBER, NONE), "gha": NUMBER, "dec": NUMBER, "lha": NUMBER, "dr_lat": NUMBER,
         "dr_lon": NUMBER, "corrections": LIST, "body_motion_arcmin_per_min": NUMBER,
         "observer_motion_arcmin_per_min": NUMBER, "sigma_arcmin": NUMBER, "fix": (TEXT, NONE),
         "warnings": LIST}  # fmt: skip
FIX = {"id": TEXT, "time": TEXT, "lat": (*NUMBER, NONE), "lon": (*NUMBER, NONE), "cov_nm2": (LIST, NONE),
       "ellipse95": (TABLE, NONE), "ellipse50": (TABLE, NONE), "residuals_arcmin": TABLE, "chi2": NUMBER, "dof": int,
       "p_value": (*NUMBER, NONE), "common_error_arcmin": (*NUMBER, NONE), "wind": (TEXT, NONE), "warnings": LIST,
       "prior": TRUTH_VALUE, "cep_nm": (*NUMBER, NONE), "intercepts_nm": TABLE, "redundancy": TABLE,
       "mpp_rule": (TABLE, NONE)}  # fmt: skip
ELLIPSE = {"semi_major_nm", "semi_minor_nm", "azimuth_deg"}


def check(entry: dict[str, Any], contract: dict[str, Any]) -> None:
    for key, kind in contract.items():
        assert key in entry, f"{key} is missing"
        assert isinstance(entry[key], kind), f"{key} is {entry[key]!r}"


def test_the_keys_are_the_contract(solution: Solution) -> None:
    shown = json.loads(dumps(document(solution)))
    assert shown["format"] == "nightleg-solution-1"
    assert shown["title"] == "Night crossing"
    for entry in shown["dr"]:
        check(entry, DR)
    for entry in shown["sights"]:
        check(entry, SIGHT)
        assert all(set(step) == {"name", "arcmin"} for step in entry["corrections"])
    for entry in shown["fixes"]:
        check(entry, FIX)
    assert set(shown["fixes"][0]["ellipse95"]) == set(shown["fixes"][0]["ellipse50"]) == ELLIPSE
    assert shown["warnings"] == list(solution.warnings)


def test_values_are_those_of_the_solution(solution: Solution) -> None:
    shown = json.loads(dumps(document(solution)))
    assert shown["dr"][0]["time"] == "2026-03-14T22:00:00Z"
    assert shown["dr"][0]["cov_nm2"] == [[4.0, 1.0], [1.0, 9.0]]
    assert shown["sights"][0]["hs"] == pytest.approx(61.0 + 8.0 / 60.0, abs=1e-9)  # degrees: rounding of the output
    assert shown["sights"][1]["time"] == "2026-03-14T22:56:07.380Z"
    fix = shown["fixes"][0]
    assert (fix["lat"], fix["lon"], fix["wind"]) == (41.2, -36.08, "300/40")
    assert (fix["wind_from_deg"], fix["wind_kt"]) == (300.2, 39.8)
    assert fix["residuals_arcmin"] == {"s1": 0.1, "s2": -1.2, "s3": 0.0}
    assert fix["ellipse95"]["semi_major_nm"] ** 2 == pytest.approx(
        -2.0 * math.log(0.05) * (6.5 + math.hypot(2.5, 1.0)), rel=1e-8
    )  # closed form of the larger eigenvalue; the output is rounded at 1e-9 NM
    assert shown["fixes"][1]["lat"] is None
    assert shown["fixes"][1]["lon"] is None
    assert shown["fixes"][1]["ellipse95"] is None


def test_the_truth_is_only_there_when_asked_for(solution: Solution, flight: Flight) -> None:
    assert "truth" not in document(solution)
    truth = document(solution, flight.truth)["truth"]
    assert truth == {
        "track": [{"time": "2026-03-14T22:00:00Z", "lat": 41.4, "lon": -28.3, "altitude_ft": 31000.0}],
        "seed": 7,
    }


def test_nothing_that_json_does_not_know_is_written(solution: Solution, make_dr: Callable[..., DrState]) -> None:
    broken = replace(solution, dr=(make_dr("start", 0, track_deg=math.nan, gs_kt=math.inf, drift_deg=-math.inf),))
    line = dumps(document(broken))
    state = json.loads(line, parse_constant=lambda name: pytest.fail(f"{name} in the JSON"))["dr"][0]
    assert (state["track_deg"], state["gs_kt"], state["drift_deg"]) == (None, None, None)


def test_one_line_of_ascii(solution: Solution) -> None:
    line = dumps(document(replace(solution, title="Nørth ″\n\x1b[31m")))
    assert line.isascii()
    assert "\n" not in line
    assert json.loads(line)["title"] == "Nørth ″\n\x1b[31m"


@pytest.mark.parametrize(
    ("given", "shown"),
    [(180.0, 180.0), (-180.0, -180.0), (190.0, -170.0), (-181.5, 178.5), (540.0, -180.0), (-0.0, 0.0)],
)
def test_longitudes_stay_within_180(given: float, shown: float) -> None:
    assert longitude(given) == shown


def test_longitudes_of_positions_are_brought_home(solution: Solution, make_dr: Callable[..., DrState]) -> None:
    crossing = replace(solution, dr=(make_dr("start", 0, position=Position(10.0, 181.0)),))
    assert document(crossing)["dr"][0]["lon"] == -179.0


def test_directions_stay_below_a_full_turn() -> None:
    assert azimuth(359.9999999999) == 0.0
    assert azimuth(360.0) == 0.0
    assert azimuth(-90.0) == 270.0
    assert azimuth(179.9999999999, 180.0) == 0.0
    assert azimuth(None) is None


def test_small_probabilities_keep_their_digits() -> None:
    assert significant(1.23456e-15) == 1.23456e-15
    assert number(1.23456e-15) == 0.0
    assert math.copysign(1.0, number(-1e-15) or 0.0) == 1.0  # no negative zero


@pytest.mark.parametrize(
    ("given", "shown"),
    [
        (datetime(2026, 3, 14, 22, tzinfo=UTC), "2026-03-14T22:00:00Z"),
        (datetime(2026, 3, 14, 22, 0, 0, 250_000, UTC), "2026-03-14T22:00:00.250Z"),
        (datetime(2026, 3, 14, 23, 59, 59, 999_999, UTC), "2026-03-15T00:00:00Z"),
        (datetime(2026, 3, 14, 22, tzinfo=timezone(timedelta(hours=-3))), "2026-03-15T01:00:00Z"),
    ],
)
def test_times_carry_z(given: datetime, shown: str) -> None:
    assert iso(given) == shown


@pytest.mark.parametrize(
    ("from_deg", "kt", "shown"),
    [(310.0, 45.0, "310/45"), (5.0, 0.0, "000/0"), (359.9999, 12.5, "360/13"), (42.125, 100.0, "042/100"),
     (None, None, None), (math.nan, 1.0, None)],
)  # fmt: skip
def test_a_wind_reads_as_in_the_file(from_deg: float | None, kt: float | None, shown: str | None) -> None:
    assert wind_text(from_deg, kt) == shown
