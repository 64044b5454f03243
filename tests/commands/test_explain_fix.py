"""`solve --explain` of a fix lists what may have gone wrong, and says where nothing asks for it."""

from __future__ import annotations

from pathlib import Path

import pytest

from nightleg.commands.solve import run
from nightleg.flight.read import read_flight
from nightleg.resources import scenario


@pytest.fixture
def misread(tmp_path: Path) -> Path:
    """The demo with a degree misread in one shot of f3."""
    document = read_flight(scenario("demo"))
    hs = next(sight.hs for sight in document.flight.sights if sight.id == "s9")
    assert hs is not None
    path = tmp_path / "misread.flight.toml"
    path.write_text(document.with_value(("sight", "s9"), "hs", hs + 1.0).text, encoding="utf-8")
    return path


def asked(capsys: pytest.CaptureFixture[str], path: Path, of: str) -> str:
    assert run([str(path), "--explain", of]) == 0
    return capsys.readouterr().out


def test_a_fix_that_disagrees_lists_its_mistakes(misread: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = asked(capsys, misread, "f3").split("What may have gone wrong\n")[1].splitlines()
    assert said[0].strip() == "? most likely s9: read one degree too high"
    assert said[1].strip().startswith("s9: read one degree too high, odds ")
    assert len(said) >= 8


def test_a_fix_that_agrees_says_so(misread: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = asked(capsys, misread, "f2").split("What may have gone wrong\n")[1]
    assert "nothing asks for an explanation" in said and "most likely" not in said and "odds 0.0" in said


def test_a_sight_has_no_such_list(misread: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "gone wrong" not in asked(capsys, misread, "s9")
