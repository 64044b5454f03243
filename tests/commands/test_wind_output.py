"""Wind and dead reckoning as the command line tells them: keys of the JSON document, lines of the log, explanations."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from nightleg.commands.solve import run

TEXT = """format = "nightleg-flight-1"
[start]
time = 2026-03-14T22:00:00Z
position = "41 30.0 N 028 15.0 W"
[[leg]]
time = 2026-03-14T22:00:00Z
heading_deg = 262.0
mach = 0.75
wind = "310/45"
altitude_ft = 31000
bank_deg = 25
[[leg]]
time = 2026-03-14T23:00:00Z
heading_deg = 190
[[waypoint]]
name = "KILO"
position = "36 00.0 N 038 00.0 W"
due = 2026-03-14T23:40:00Z
[[fix]]
id = "k1"
time = 2026-03-14T22:30:00Z
kind = "known"
position = "40 50.0 N 032 40.0 W"
sigma_nm = 2.0
[[line]]
id = "l1"
kind = "latitude"
time = 2026-03-14T23:30:00Z
latitude = "36 30.0 N"
sigma_nm = 2.0
[[heading_check]]
id = "h1"
body = "Venus"
time = 2026-03-14T22:05:00Z
relative_bearing_deg = 20.0
shown_deg = 262.0
shown = "true"
[[heading_check]]
id = "h2"
body = "Venus"
time = 2026-03-14T22:35:00Z
relative_bearing_deg = 22.0
shown_deg = 262.0
shown = "true"
"""


@pytest.fixture
def file(tmp_path: Path) -> str:
    path = tmp_path / "wind.flight.toml"
    path.write_text(TEXT, encoding="utf-8")
    return str(path)


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert run(arguments) == 0
    return capsys.readouterr().out


def test_the_json_document(file: str, capsys: pytest.CaptureFixture[str]) -> None:
    found = json.loads(told(capsys, file, "--at", "2300:30", "--json"))
    start, *_, leg, now = found["dr"]
    assert (start["air_lat"], start["air_lon"]) == (41.5, -28.25) and start["turn"] is None
    assert leg["turn"]["by_deg"] == -72.0 and leg["turn"]["radius_nm"] == pytest.approx(6.05, abs=0.01)
    assert now["turn"] == leg["turn"] and 190.0 < now["heading_deg"] < 262.0
    assert found["ahead"]["waypoint"] == "KILO" and found["ahead"]["eta_sigma_min"] > 0.0
    (fix,) = found["fixes"]
    assert fix["ahead"]["wind_of"] == "k1" and fix["ahead"]["time"] == "2026-03-14T23:00:30Z"
    assert fix["air_lat"] is not None
    (due,) = found["arrivals"]
    assert due["reachable"] and due["speed_by"] == "mach" and 0.4 < due["mach"] < 0.95
    (line,) = found["lines"]
    assert line["checks"]["kind"] == "speed" and line["checks"]["gs_kt"] > 300.0
    (gyro,) = found["instruments"]
    assert gyro["checks"] == ["h1", "h2"] and gyro["rate_deg_per_h"] is not None
    assert [(check["sigma_deg"], check["reset"]) for check in found["heading_checks"]] == [(0.5, False)] * 2


def test_the_log(file: str, capsys: pytest.CaptureFixture[str]) -> None:
    words = " ".join(told(capsys, file, "--at", "2300:30").split())
    for part in (
        "turn from TH 262.0 by 72° to the left, bank 25°, radius 6.1 NM, till 2301:02",
        "air position",
        "DR ahead at 2300:30",
        "of k1",
        "due 2340 ±",
        "speed line: GS",
        "heading by Venus: TH",
        "true heading: error",
    ):
        assert part in words, part
    assert max(map(len, told(capsys, file, "--at", "2300:30").splitlines())) <= 100


@pytest.mark.parametrize(
    ("of", "step"),
    [
        ("ahead", "1σ of the ETA"),
        ("h2", "apparent precession"),
        ("l1", "speed line"),
        ("k1", "air position"),
        ("dr", "turn 2300 to 2300:30"),
    ],
)
def test_each_explains_itself(file: str, capsys: pytest.CaptureFixture[str], of: str, step: str) -> None:
    assert step in told(capsys, file, "--at", "2300:30", "--explain", of)
