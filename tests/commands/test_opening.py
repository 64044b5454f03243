"""A call without a command."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from types import ModuleType

import pytest

from nightleg import resources
from nightleg.commands import display
from nightleg.commands.flights import base_name
from nightleg.commands.main import main

Capture = pytest.CaptureFixture[str]


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[Path | None]:
    """What the window was opened with; the window itself is replaced."""
    seen: list[Path | None] = []

    def run(path: Path | None, writers: Mapping[str, object]) -> int:
        assert set(writers) == {".json", ".txt"}
        seen.append(path)
        return 0

    window = ModuleType("nightleg.window.app")
    vars(window)["run"] = run
    monkeypatch.setitem(sys.modules, "nightleg.window.app", window)
    monkeypatch.setattr(display, "missing_display", lambda: None)
    return seen


def test_with_a_display_the_window_opens(opened: list[Path | None], night_file: str) -> None:
    assert main([]) == 0
    assert main([night_file]) == 0
    assert main(["--", night_file]) == 0
    assert main(["not-there-yet.toml"]) == 0  # the window says what is wrong with it
    assert opened == [None, Path(night_file), Path(night_file), Path("not-there-yet.toml")]


def test_without_a_display_the_demo_is_drawn(
    night_file: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    monkeypatch.setattr(display, "missing_display", lambda: "No display here")
    monkeypatch.setattr(resources, "scenario", lambda name: Path(night_file))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    assert main([]) == 0
    said = capsys.readouterr().out
    assert said.startswith("No display here: drew the demo flight to ")
    assert (tmp_path / "cache" / "nightleg" / "demo.png").exists() or sys.platform in ("darwin", "win32")


def test_the_demo_flight_is_solved(capsys: Capture) -> None:
    assert main(["solve", str(resources.scenario("demo")), "--worked"]) == 0
    shown = capsys.readouterr()
    assert shown.err == ""
    assert "FIX" in shown.out
    assert all(len(line) <= 100 for line in shown.out.splitlines())


def test_a_demo_that_did_not_come_along_is_told(monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> None:
    def missing(name: str) -> Path:
        raise FileNotFoundError(f"no scenario {name!r} is shipped")

    monkeypatch.setattr(display, "missing_display", lambda: "No display here")
    monkeypatch.setattr(resources, "scenario", missing)
    assert main([]) == 1
    assert "no scenario 'demo' is shipped" in capsys.readouterr().err


def test_qt_that_cannot_be_loaded_is_told(
    night_file: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    monkeypatch.setitem(sys.modules, "nightleg.chart.export", None)
    assert main(["draw", night_file, "-o", str(tmp_path / "chart.png")]) == 1
    assert "Qt cannot be loaded" in capsys.readouterr().err
    assert main(["solve", night_file]) == 0


def test_qt_that_is_missing_when_the_window_opens_is_told(monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> None:
    monkeypatch.setattr(display, "missing_display", lambda: None)
    monkeypatch.setitem(sys.modules, "PySide6.QtWidgets", None)
    assert main([]) == 1
    told = capsys.readouterr().err
    assert "Qt cannot be loaded" in told and "fault of the program" not in told


@pytest.mark.parametrize(
    ("path", "name"),
    [
        ("a/night.flight.toml", "night"),
        ("x.toml", "x"),
        ("plain", "plain"),
        (".flight.toml", "flight"),
        ("a.b.txt", "a.b"),
    ],
)
def test_pictures_are_called_after_their_file(path: str, name: str) -> None:
    assert base_name(path) == name
