"""The scripts that set everything up need nothing but Python itself."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

HOME = Path(__file__).resolve().parents[2]
SCRIPTS = ("app/run.py", "app/setup_environment.py", "app/system_libraries.py", "tests/run.py")
EACH_OTHER = {"setup_environment", "system_libraries"}


@pytest.mark.parametrize("script", SCRIPTS)
def test_imports_the_standard_library_only(script: str) -> None:
    imported = set()
    for node in ast.walk(ast.parse((HOME / script).read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            imported |= {name.name.split(".")[0] for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0
            imported.add(str(node.module).split(".")[0])
    assert "sys" in imported
    assert imported - set(sys.stdlib_module_names) <= EACH_OTHER


@pytest.mark.parametrize("script", SCRIPTS)
def test_an_older_python_can_read_it_and_say_that_it_is_too_old(script: str) -> None:
    ast.parse((HOME / script).read_text(encoding="utf-8"), feature_version=(3, 8))


def test_an_older_python_is_told_what_is_needed() -> None:
    code = (
        "import sys; sys.version_info = (3, 9, 1); sys.argv = ['run.py', 'solve']; import run; sys.exit(run.main([]))"
    )
    call = [sys.executable, "-c", code]
    answer = subprocess.run(call, cwd=HOME / "app", capture_output=True, text=True, check=False)
    assert (answer.returncode, answer.stdout) == (1, "")
    assert (
        answer.stderr == "nightleg: this is Python 3.9.1; Nightleg needs 3.11 or newer: start it with a newer Python\n"
    )


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        ([], True),
        (["night.flight.toml"], True),
        (["draw", "night.flight.toml", "-o", "chart.png"], True),
        (["solve", "night.flight.toml"], False),
        (["almanac", "2026-03-14T22:00:00Z"], False),
        (["draw", "--help"], False),
        (["-h"], False),
        (["--version"], False),
    ],
)
def test_only_what_may_draw_waits_for_the_libraries_of_qt(arguments: list[str], expected: bool) -> None:
    code = f"import run; print(run.draws({arguments!r}))"
    call = [sys.executable, "-c", code]
    answer = subprocess.run(call, cwd=HOME / "app", capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == str(expected)
