"""What `tests/run.py` does with its arguments."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

HOME = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        ([], True),
        (["-m", ""], True),
        (["-q", "-k", "wind"], True),
        (["tests/air"], False),
        (["tests/setup/test_run.py::test_all_tests_are_run_several_at_a_time", "-x"], False),
        (["tests/bench", "-m", "", "--hold-budgets"], False),
        (["-n", "0"], False),
        (["-p", "no:xdist"], False),
        (["--pdb"], False),
    ],
)
def test_all_tests_are_run_several_at_a_time(arguments: list[str], expected: bool) -> None:
    code = f"import run; print(run.for_all({arguments!r}), run.processes() >= 1)"
    call = [sys.executable, "-c", code]
    answer = subprocess.run(call, cwd=HOME / "tests", capture_output=True, text=True, check=True)
    assert answer.stdout.split() == [str(expected), "True"]
