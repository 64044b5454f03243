"""Work plotted by hand as the command line tells it: `plotted` of the JSON document, and the block after the log."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from nightleg.commands.solve import run

RECORDS = """
[grading]
fix_nm = 12.0

[[plotted]]
of = "f1"
by = "Ada"
entered = 2026-03-14T23:07:00Z
position = "40 00 N 036 45 W"
wind = "300/40"

[[plotted]]
of = "s1"
by = "somebody with a very long name \\u001b[31m"
entered = 2026-03-14T23:07:00Z
intercept_nm = 8.0
hc = "60 25.6"
zn_deg = 292.0

[[plotted]]
of = "f1"
by = "Bo"
hc = "60 25.0"

[[plotted]]
of = "dr"
time = 2026-03-14T23:30:00Z
position = "39 55 N 041 15 W"
"""
KEYS = {"of", "by", "error_nm", "error_bearing_deg", "against", "minutes", "within"}  # the contract; more may follow


@pytest.fixture
def file(tmp_path: Path, night: str) -> str:
    path = tmp_path / "plotted.flight.toml"
    path.write_text(night.replace("\n[truth]", RECORDS + "\n[truth]"), encoding="utf-8")
    return str(path)


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert run(arguments) == 0
    return capsys.readouterr().out


def entries(capsys: pytest.CaptureFixture[str], *arguments: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(told(capsys, *arguments, "--json"))["plotted"]
    return found


def test_one_entry_for_each_record_with_the_keys_of_the_contract(file: str, capsys: pytest.CaptureFixture[str]) -> None:
    found = entries(capsys, file)
    assert [entry["of"] for entry in found] == ["f1", "s1", "f1", "dr"]
    assert all(set(entry) >= KEYS for entry in found)
    fix, sight, other, dr = found
    assert (fix["by"], fix["kind"], fix["against"]) == ("Ada", "fix", "solution")
    assert (fix["time"], fix["entered"], fix["minutes"]) == ("2026-03-14T23:00:00Z", "2026-03-14T23:07:00Z", 7.0)
    assert 0.0 < fix["error_nm"] < 12.0 and 0.0 <= fix["error_bearing_deg"] < 360.0 and fix["within"] is True
    assert [part["name"] for part in fix["parts"]] == ["position", "wind"]
    assert fix["parts"][0] == {
        "name": "position",
        "error": fix["error_nm"],
        "unit": "nm",
        "limit": 12.0,
        "within": True,
    }
    assert fix["parts"][1]["limit"] is None and fix["parts"][1]["within"] is None
    assert sight["minutes"] == 15.0 and sight["within"] is False
    assert {part["unit"] for part in sight["parts"]} == {"arcmin", "deg", "nm", "min"}
    assert (other["error_nm"], other["error_bearing_deg"], other["minutes"], other["within"]) == (None,) * 4
    assert other["warnings"] == ["not graded for a fix: hc"]
    assert dr["by"] is None and dr["minutes"] is None


def test_the_truth_is_used_only_with_reveal(file: str, capsys: pytest.CaptureFixture[str]) -> None:
    hidden, revealed = entries(capsys, file), entries(capsys, file, "--reveal")
    assert [entry["against"] for entry in hidden] == ["solution"] * 4
    assert [entry["against"] for entry in revealed] == ["truth", "truth", "solution", "solution"]  # it ends at 2300
    assert revealed[0]["error_nm"] != hidden[0]["error_nm"]
    assert revealed[2:] == hidden[2:]


def test_a_flight_without_such_work(night_file: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert entries(capsys, night_file) == []
    assert "Plotted by hand" not in told(capsys, night_file)


def test_the_block_after_the_log(file: str, capsys: pytest.CaptureFixture[str]) -> None:
    fix, sight, _, dr = entries(capsys, file)
    text = told(capsys, file)
    assert "\x1b" not in text and max(map(len, text.splitlines())) <= 100
    block = text[text.index("Plotted by hand") :].splitlines()
    rows = [" ".join(line.split()) for line in block]
    assert rows[1] == "GMT of by off minutes within limits"
    bearing = f"{round(fix['error_bearing_deg']):03d}°"
    assert rows[2] == f"2300 f1 Ada {fix['error_nm']:.1f} NM, {bearing} from the solution 7.0 yes"
    assert rows[3] == f"wind {fix['parts'][1]['error']:.0f} kt off"
    assert rows[4].startswith("2252 s1 somebody wi…") and rows[4].endswith("15.0 no")
    assert rows[5].startswith("Hc +") or rows[5].startswith("Hc −")
    assert rows[6] == "over: working time (limit 8 min)"
    assert rows[7:9] == ["2300 f1 Bo — —", "! not graded for a fix: hc"]
    assert rows[9].startswith(f"2330 dr — {dr['error_nm']:.1f} NM")
    assert "from the truth" in told(capsys, file, "--reveal") and "from the truth" not in text
    assert sight["error_nm"] <= 8.0


def test_an_unknown_id_is_named(tmp_path: Path, night: str, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "unknown.flight.toml"
    path.write_text(night + '\n[[plotted]]\nof = "x7"\n', encoding="utf-8")
    assert run([str(path)]) == 1
    assert 'nothing has the id "x7"' in capsys.readouterr().err
