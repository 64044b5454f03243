"""The import contract: rooms import downward only, and only the window and the chart know Qt."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

HOME = Path(__file__).resolve().parents[2]
DRAWING = {"chart", "window"}
CHECK = """
import sys
sys.path.insert(0, "app")
from importlinter.cli import lint_imports
sys.exit(lint_imports(no_cache=True, no_logo=True))
"""


def check(folder: Path) -> tuple[int, str]:
    """Check the contract of the checkout in that folder."""
    answer = subprocess.run(
        [sys.executable, "-P", "-c", CHECK], cwd=folder, capture_output=True, text=True, check=False
    )
    return answer.returncode, answer.stdout + answer.stderr


def rooms() -> set[str]:
    package = HOME / "app" / "nightleg"
    folders = {path.parent.name for path in package.glob("*/__init__.py")}
    return folders | {path.stem for path in package.glob("*.py")} - {"__init__"}


def test_the_contract_is_kept() -> None:
    code, said = check(HOME)
    assert code == 0, said
    assert "2 kept, 0 broken" in said


def test_the_contract_speaks_of_every_room() -> None:
    contracts = {
        contract["id"]: contract
        for contract in tomllib.loads((HOME / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    }
    layers = {room for layer in contracts["rooms"]["layers"] for room in re.findall(r"\w+", layer)}
    assert rooms() - {"__main__"} <= layers
    without_qt = {module.removeprefix("nightleg.") for module in contracts["qt"]["source_modules"]}
    assert without_qt == rooms() - DRAWING


@pytest.mark.parametrize(
    ("room", "line", "broken"),
    [
        ("fix", "def late() -> None:\n    import PySide6.QtCore\n", "Only the window and the chart know Qt"),
        ("commands", "import pyqtgraph\n", "Only the window and the chart know Qt"),
        ("sky", "import nightleg.flight.model\n", "Imports point downward only"),
        ("units", "import nightleg.resources\n", None),
    ],
)
def test_it_notices_a_breach_and_nothing_else(room: str, line: str, broken: str | None, tmp_path: Path) -> None:
    shutil.copytree(HOME / "app", tmp_path / "app", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(HOME / "pyproject.toml", tmp_path)
    (tmp_path / "app" / "nightleg" / room / "stray.py").write_text(line)
    code, said = check(tmp_path)
    if broken is None:
        assert code == 0, said
    else:
        assert code == 1
        assert f"{broken} BROKEN" in said
        assert f"nightleg.{room}.stray" in said
