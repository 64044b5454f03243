"""`nightleg solve`: sound files answered, wrong ones named."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from nightleg.commands.main import main

Capture = pytest.CaptureFixture[str]


def documents(text: str) -> list[dict[str, Any]]:
    return [
        json.loads(line, parse_constant=lambda name: pytest.fail(f"{name} in the JSON")) for line in text.splitlines()
    ]


def test_json_of_a_file(night_file: str, capsys: Capture) -> None:
    assert main(["solve", night_file, "--json"]) == 0
    shown = capsys.readouterr()
    assert shown.err == ""
    (answer,) = documents(shown.out)
    assert answer["format"] == "nightleg-solution-1"
    assert answer["title"] == "Night crossing"
    assert [sight["id"] for sight in answer["sights"]] == ["s1", "s2", "s3"]
    (fix,) = answer["fixes"]
    # The readings were made for a position some 4 NM from the DR; the ellipse must reach that far.
    assert abs(fix["lat"] - 40.09) < 0.1
    assert fix["dof"] == 1
    for sight in answer["sights"]:
        total = sum(step["arcmin"] for step in sight["corrections"])
        # Each step and Hs are written to 1e-9; all steps together make Ho (1e-6 arcmin is far above their rounding).
        assert sight["hs"] * 60.0 + total == pytest.approx(sight["ho"] * 60.0, abs=1e-6)
        assert (sight["ho"] - sight["hc"]) * 60.0 == pytest.approx(sight["intercept_nm"], abs=1e-6)
        assert (sight["lha"] - sight["gha"] - sight["dr_lon"] + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=1e-8)


def test_the_dr_at_a_time_stands_last(night_file: str, capsys: Capture) -> None:
    for at, time in {
        "2315": "2026-03-14T23:15:00Z",
        "0030": "2026-03-15T00:30:00Z",
        "2200": "2026-03-14T22:00:00Z",
        "2026-03-15T01:02:03Z": "2026-03-15T01:02:03Z",
    }.items():
        assert main(["solve", "--at", at, night_file, "--json"]) == 0
        (answer,) = documents(capsys.readouterr().out)
        assert answer["dr"][-1]["time"] == time
        assert answer["dr"][0]["time"] == "2026-03-14T22:00:00Z"


def test_a_time_before_the_flight_is_refused(night_file: str, capsys: Capture) -> None:
    assert main(["solve", night_file, "--at", "2026-03-14T21:59:59Z"]) == 1
    shown = capsys.readouterr()
    assert "night.flight.toml: --at 2026-03-14T21:59:59Z is before the flight" in shown.err
    assert shown.out == ""


def test_good_files_are_answered_in_order_around_bad_ones(
    night: str, night_file: str, tmp_path: Path, capsys: Capture
) -> None:
    second, bad = tmp_path / "second.flight.toml", tmp_path / "bad.flight.toml"
    second.write_text(night.replace("Night crossing", "Second"), encoding="utf-8")
    bad.write_text(night.replace("tas_kt", "tas"), encoding="utf-8")
    assert main(["solve", str(second), str(bad), "missing.toml", night_file, "--json"]) == 1
    shown = capsys.readouterr()
    assert [answer["title"] for answer in documents(shown.out)] == ["Second", "Night crossing"]
    assert f"{bad}: " in shown.err
    assert "tas_kt" in shown.err
    assert "missing.toml: there is no such file" in shown.err


def test_truth_stays_hidden_until_it_is_asked_for(night: str, night_file: str, tmp_path: Path, capsys: Capture) -> None:
    assert main(["solve", night_file, "--worked"]) == 0
    assert "Truth" not in capsys.readouterr().out
    assert main(["solve", night_file, "--reveal"]) == 0
    assert "Truth" in capsys.readouterr().out
    assert main(["solve", night_file, "--json"]) == 0
    hidden = capsys.readouterr().out
    assert main(["solve", night_file, "--json", "--reveal"]) == 0
    revealed = capsys.readouterr().out
    plain, shown = documents(hidden)[0], documents(revealed)[0]
    assert "truth" not in hidden
    assert shown.pop("truth")["track"][0]["lat"] == 41.4
    assert shown == plain
    without = tmp_path / "plain.flight.toml"
    without.write_text(night.split("[truth]")[0], encoding="utf-8")
    assert main(["solve", str(without), "--json", "--reveal"]) == 0
    assert documents(capsys.readouterr().out)[0] == plain  # the truth changes nothing else


def test_the_working_is_added_on_request(night_file: str, capsys: Capture) -> None:
    assert main(["solve", night_file]) == 0
    plain = capsys.readouterr().out
    assert main(["solve", night_file, "--worked"]) == 0
    worked = capsys.readouterr().out
    assert worked.startswith(plain)
    assert worked[len(plain) :].count("Working of ") == 3
    assert all(len(line) <= 100 for line in worked.splitlines())


def test_several_logs_are_parted_by_an_empty_line(night_file: str, capsys: Capture) -> None:
    assert main(["solve", night_file]) == 0
    one = capsys.readouterr().out
    assert main(["solve", night_file, night_file]) == 0
    assert capsys.readouterr().out == one + "\n" + one


BAD = {
    "empty": (b"", "empty"),
    "binary": (bytes(range(256)) * 10, "UTF-8"),
    "utf-16": ("format = 1".encode("utf-16"), "UTF-16"),
    "no toml": (b"format = ", "line 1"),
    "nested": (b"a = " + b"[" * 100_000 + b"]" * 100_000, "nested"),
    "control characters": (b'format = "nightleg-flight-1"\n"\\u001b[31m" = 1\n', "\\x1b"),
    "huge": (b"# " + b"x" * (20 << 20), "16 MB"),
}


@pytest.mark.parametrize("name", BAD)
def test_hostile_files(name: str, tmp_path: Path, capsys: Capture) -> None:
    content, told = BAD[name]
    path = tmp_path / "bad.flight.toml"
    path.write_bytes(content)
    assert main(["solve", str(path), "--json"]) == 1
    check_refused(capsys, told)


CHANGES = {
    "unknown key": ("heading_deg = 262.0", "heading = 262.0", "heading_deg"),
    "wrong type": ("tas_kt = 430.0", 'tas_kt = "fast"', "tas_kt"),
    "range": ("heading_deg = 262.0", "heading_deg = 400.0", "heading_deg"),
    "nan": ("tas_kt = 430.0", "tas_kt = nan", "tas_kt"),
    "inf": ("altitude_ft = 31000", "altitude_ft = inf", "altitude_ft"),
    "body": ('"Capella"', '"Capela"', "Capella"),
    "duplicate": ('id = "s2"', 'id = "s1"', "s1"),
    "minutes": ("60 24.7", "60 64.7", "60 64.7"),
    "no zone": ("time = 2026-03-14T22:52:00Z", "time = 2026-03-14T22:52:00", "time"),
    "unknown id": ('["s1", "s2", "s3"]', '["s1", "s7"]', "s7"),
    "outside the ephemeris": ("2026-03-14T2", "2056-03-14T2", "ephemeris"),
    "wind": ('"310/45"', '"310-45"', "wind"),
    "wind of a later fix": ('"310/45"', '"fix:f1"', "f1"),
    "control characters": ('"Capella"', '"\\u001b[2J"', "\\x1b[2J"),
}


@pytest.mark.parametrize("name", CHANGES)
def test_wrong_values(name: str, night: str, tmp_path: Path, capsys: Capture) -> None:
    old, new, told = CHANGES[name]
    assert old in night
    path = tmp_path / "bad.flight.toml"
    path.write_text(night.replace(old, new), encoding="utf-8")
    assert main(["solve", str(path), "--json"]) == 1
    check_refused(capsys, told)


def check_refused(capsys: Capture, told: str) -> None:
    shown = capsys.readouterr()
    assert shown.out == ""
    assert "bad.flight.toml: " in shown.err.replace(":\n", ": \n")
    assert told in shown.err
    assert "Traceback" not in shown.err
    assert "fault of the program" not in shown.err
    assert len(shown.err) <= 4000
    assert all(line.isprintable() for line in shown.err.splitlines())


def test_a_thousand_faults_stay_one_message(tmp_path: Path, capsys: Capture) -> None:
    path = tmp_path / "bad.flight.toml"
    path.write_text(
        'format = "nightleg-flight-1"\n' + "".join(f"key{n} = {n}\n" for n in range(1000)), encoding="utf-8"
    )
    assert main(["solve", str(path)]) == 1
    check_refused(capsys, "more")


def test_thousands_of_faults_are_all_counted(night: str, tmp_path: Path, capsys: Capture) -> None:
    path = tmp_path / ("long name " * 8 + ".flight.toml")
    path.write_text(night + "\n[[log]]\ntxt = 1\n" * 3000, encoding="utf-8")
    assert main(["solve", str(path)]) == 1
    lines = capsys.readouterr().err.splitlines()
    told, last = lines[1:-1], lines[-1]
    assert len("\n".join(lines)) < 4000
    assert last == f"  … and {6000 - len(told)} more"  # an unknown key and a missing time each


def test_what_solving_refuses_has_its_line(night: str, tmp_path: Path, capsys: Capture) -> None:
    path = tmp_path / "x.flight.toml"
    path.write_text(night.replace('hs = "50 01.1"', 'hs = "-1 50.0"'), encoding="utf-8")
    assert main(["solve", str(path)]) == 1
    line = night.split("\n").index('hs = "50 01.1"') + 1
    assert f": line {line}, [[sight]] 2 (s2), hs: -1.83° puts the body below the horizon" in capsys.readouterr().err


def test_an_empty_name_is_told(capsys: Capture) -> None:
    assert main(["solve", ""]) == 1
    assert capsys.readouterr().err == 'nightleg: "": the name of the file is empty; name a flight file\n'


def test_a_fault_of_one_file_does_not_stop_the_others(
    night_file: str, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    from nightleg.flight import solve as room

    real, calls = room.solve, []

    def sometimes(*arguments: Any) -> Any:
        calls.append(arguments)
        if len(calls) == 1:
            raise ZeroDivisionError("division by zero")
        return real(*arguments)

    monkeypatch.setattr(room, "solve", sometimes)
    assert main(["solve", night_file, night_file, "--json"]) == 1
    shown = capsys.readouterr()
    assert len(documents(shown.out)) == 1
    assert "night.flight.toml: cannot be solved" in shown.err
