"""The README tells what is there: its files exist, its commands are the program's."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

HOME = Path(__file__).resolve().parents[2]
README = (HOME / "README.md").read_text(encoding="utf-8")
CALLS = re.findall(r"^    python3 (app/run\.py|tests/run\.py)(?: +([a-z]+))?\b", README, re.MULTILINE)


def test_the_files_it_names_are_there() -> None:
    named = set(re.findall(r"\]\(([^)]+)\)", README)) | set(re.findall(r"`([\w./]+/[\w./]*|[A-Z]+(?:\.md)?)`", README))
    assert {"resources/pictures/demo.png", "scenarios/demo.flight.toml", "LICENSE"} <= named
    assert [name for name in sorted(named) if not name.startswith("http") and not (HOME / name).exists()] == []


def test_it_says_what_must_be_seen() -> None:
    """The cautions that the trade owes its users."""
    plain = " ".join(README.split())
    for words in (
        "practice, teaching and review",
        "not approved equipment and no means of navigation in flight",
        "Never look at the Sun through optics",
        "1899-07-29 to 2053-10-09",
        "1900 to 2030",
    ):
        assert words in plain


def test_the_two_commands_come_first() -> None:
    assert CALLS[:2] == [("app/run.py", ""), ("tests/run.py", "")]


@pytest.mark.parametrize("command", sorted({word for script, word in CALLS if script == "app/run.py"} - {"", "night"}))
def test_the_commands_it_shows_are_the_programs(command: str) -> None:
    call = [sys.executable, "-m", "nightleg", command, "--help"]
    answer = subprocess.run(call, cwd=HOME / "app", capture_output=True, text=True, check=False)
    assert answer.returncode == 0
    assert f"nightleg {command} " in answer.stdout
    assert "Example" in answer.stdout
