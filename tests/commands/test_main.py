"""Which command a call means, and what a wrong call is told."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from nightleg import __version__
from nightleg.commands import solve
from nightleg.commands.main import COMMANDS, main
from nightleg.commands.terminal import OutputClosed, OutputFailed

Capture = pytest.CaptureFixture[str]


@pytest.mark.parametrize("command", COMMANDS)
def test_help_has_an_example_of_a_whole_call(command: str, capsys: Capture) -> None:
    assert main([command, "--help"]) == 0
    shown = capsys.readouterr()
    assert "Example:" in shown.out
    assert f"\n  nightleg {command} " in shown.out.split("Example:")[1]
    assert shown.err == ""


def test_help_lists_what_there_is(capsys: Capture) -> None:
    assert main(["--help"]) == 0
    shown = capsys.readouterr().out
    assert "Example" in shown
    assert all(f"  {command} " in shown for command in COMMANDS)
    assert not any(word in shown for word in ("plan ", "simulate", "review "))


def test_version(capsys: Capture) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"nightleg {__version__}\n"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["sovle"], "nearest command is solve"),
        (["almanack", "2026-03-14T22:52:00Z"], "nearest command is almanac"),
        (["drw"], "nearest command is draw"),
        (["plan", "x.toml"], "'plan' is no command and no file\ncommands:"),  # none is near
        (["xyz"], "'xyz' is no command and no file\ncommands:"),
        (["simulate"], "'simulate' is no command"),
        (["review"], "'review' is no command"),
        (["no-such-file.txt"], "'no-such-file.txt' is no command and no file"),
        ([""], "an empty name"),
        ([" "], "an empty name"),
        (["\x1b[31m"], "'\\x1b[31m'"),
        (["--no-such"], "'--no-such'"),
        (["--json"], "'--json'"),
        (["a.toml", "b.toml"], "'b.toml' is one word too many"),
        (["solve"], "FILE"),
        (["solve", "x.toml", "--jsn"], '"--jsn"; did you mean --json?'),
        (["solve", "x.toml", "--at"], "--at"),
        (["solve", "x.toml", "--at", "2560"], '--at: "2560"'),
        (["solve", "x.toml", "--at=yesterday"], '--at: "yesterday"'),
        (["solve", "x.toml", "--at", "2026-03-14T22:52:00"], "--at"),
        (["solve", "x.toml", "--at", "\x1b[31m"], "--at"),
        (["almanac"], "TIME"),
        (["almanac", "2252"], 'TIME: "2252"'),
        (["almanac", "2026-13-01T00:00:00Z"], "TIME"),
        (["almanac", "2026-03-14T22:52:00Z", "more"], '"more" is one word too many'),
        (["draw", "x.toml"], "-o"),
        (["draw", "-o", "x.png"], "FILE"),
        (["draw", "x.toml", "-o", "x.jpeg"], ".png, .svg or .pdf"),
        (["draw", "x.toml", "-o", "chart"], ".png, .svg or .pdf"),
        (["draw", "x.toml", "-o", "x.png", "--theme", "blue"], "--theme"),
        (["draw", "x.toml", "-o", "x.png", "--size", "12by9"], '--size: "12by9"'),
        (["draw", "x.toml", "-o", "x.png", "--size", "1x1"], "--size"),
        (["draw", "x.toml", "-o", "x.png", "--size", "-5x5"], '--size: "-5x5"'),
        (["draw", "x.toml", "-o", "x.png", "--at", "-2252"], '--at: "-2252"'),
        (["draw", "x.toml", "-o", "x.png", "--at", "99"], '--at: "99"'),
        (["draw", "x.toml", "y.toml", "-o", "x.png"], '"y.toml" is one word too many'),
    ],
)
def test_wrong_usage_is_named(words: list[str], told: str, capsys: Capture) -> None:
    assert main(words) == 2
    shown = capsys.readouterr()
    assert told in shown.err
    assert shown.out == ""
    assert "Traceback" not in shown.err
    assert "\x1b" not in shown.err


def test_a_folder_is_no_flight_file(tmp_path: Path, capsys: Capture) -> None:
    assert main([str(tmp_path)]) == 2
    assert "is a folder" in capsys.readouterr().err


def test_options_may_stand_anywhere(night_file: str, capsys: Capture) -> None:
    for words in (["--json", night_file], [night_file, "--json"], [night_file, "--json", night_file]):
        assert main(["solve", *words]) == 0
        assert len(capsys.readouterr().out.splitlines()) == words.count(night_file)


@pytest.mark.parametrize(
    ("fault", "code", "told"),
    [
        (OutputClosed(), 141, ""),
        (OutputFailed("standard output cannot be written: No space left on device"), 1, "No space left on device"),
        (KeyboardInterrupt(), 130, "interrupted"),
        (MemoryError(), 1, "memory"),
        (ZeroDivisionError("division by zero"), 1, "fault of the program"),
    ],
)
def test_every_end_is_told(
    fault: BaseException, code: int, told: str, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    def fail(words: object) -> int:
        raise fault

    monkeypatch.setattr(solve, "run", fail)
    monkeypatch.setattr("nightleg.commands.main.silence", lambda stream: None)  # the streams here are the test's own
    assert main(["solve", "x.toml"]) == code
    shown = capsys.readouterr().err
    assert told in shown
    assert bool(shown) == bool(told)


def test_almanac_has_the_keys_of_the_contract(capsys: Capture) -> None:
    assert main(["almanac", "2026-03-14T22:52:00Z", "--json"]) == 0
    page = json.loads(capsys.readouterr().out)
    assert page["format"] == "nightleg-almanac-1"
    assert page["time"] == "2026-03-14T22:52:00Z"
    assert 0.0 <= page["gha_aries"] < 360.0
    names = [row["name"] for row in page["bodies"]]
    assert names[:6] == ["Sun", "Moon", "Venus", "Mars", "Jupiter", "Saturn"]
    assert len(names) == 6 + 57 + 1  # Sun, Moon, four planets, the navigational stars and Polaris
    for row in page["bodies"]:
        assert set(row) >= {"name", "gha", "dec", "hp_arcmin", "sd_arcmin", "magnitude"}
        assert 0.0 <= row["gha"] < 360.0
        assert -90.0 <= row["dec"] <= 90.0


def test_almanac_as_text(capsys: Capture) -> None:
    assert main(["almanac", "2026-03-14 22:52:00Z"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("2026-03-14 22:52:00 GMT")
    moon = next(line for line in lines if line.startswith("Moon"))
    end = lines[2].index("GHA") + len("GHA")
    assert moon[:end].endswith("′")
    assert len({line.index("°", 18) for line in lines[3:]}) == 1  # the columns are aligned


def test_almanac_outside_the_ephemeris(capsys: Capture) -> None:
    for time in ("1890-01-01T00:00:00Z", "2060-01-01T00:00:00Z", "9999-12-31T23:59:59Z", "0001-01-01T00:00:00Z"):
        assert main(["almanac", time]) == 1
        assert "outside the ephemeris" in capsys.readouterr().err
