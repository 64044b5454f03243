"""The settings that make the tests strict are in force."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

HOME = Path(__file__).resolve().parents[2]

WARNS = """
from PySide6.QtCore import qWarning

def test_of_a_window(qtbot):
    qWarning("something is wrong with this window")
"""
UNKNOWN_MARK = """
import pytest

@pytest.mark.slwo
def test_of_a_mark():
    pass
"""
WAITS = """
import time

def test_of_patience():
    time.sleep(30.0)
"""


@pytest.mark.parametrize(
    ("test", "options", "said"),
    [
        (WARNS, (), "something is wrong with this window"),
        (UNKNOWN_MARK, (), "'slwo' not found in `markers`"),
        (WAITS, ("-o", "timeout=1"), "Timeout"),
    ],
    ids=["Qt warning", "unknown mark", "time limit"],
)
def test_it_fails(test: str, options: tuple[str, ...], said: str, tmp_path: Path) -> None:
    file = tmp_path / "test_strict.py"
    file.write_text(test)
    call = [sys.executable, "-m", "pytest", "-c", str(HOME / "pyproject.toml"), f"--rootdir={tmp_path}", *options]
    answer = subprocess.run([*call, str(file)], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert answer.returncode != 0
    assert said in answer.stdout + answer.stderr
