"""The computing rooms work where Qt cannot be imported."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

HOME = Path(__file__).resolve().parents[2]

BLOCKED = """
import importlib, pkgutil, sys


class Blocker:
    "Refuses Qt, as on a machine that does not have it."

    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in ("PySide6", "shiboken6", "pyqtgraph"):
            raise ModuleNotFoundError(f"{name} is blocked", name=name)


sys.meta_path.insert(0, Blocker())
"""

SOLVE = """
from nightleg.flight.read import read_flight
from nightleg.flight.solve import solve
from nightleg.resources import scenario

solution = solve(read_flight(scenario("demo")).flight)
assert not solution.problems, solution.problems
print(sum(fix.position is not None for fix in solution.fixes), "fixes")
"""

IMPORT_ALL = """
import nightleg

names = [module.name for module in pkgutil.walk_packages(nightleg.__path__, "nightleg.")]
drawing = ("nightleg.chart", "nightleg.window")
without = [name for name in names if not name.startswith(drawing) and name != "nightleg.__main__"]
for name in without:
    importlib.import_module(name)
print(len(without), "modules")
try:
    importlib.import_module("PySide6.QtCore")
except ModuleNotFoundError as error:
    print(error)
"""


def blocked(code: str) -> str:
    call = [sys.executable, "-c", BLOCKED + code]
    answer = subprocess.run(call, cwd=HOME / "app", capture_output=True, text=True, check=False)
    assert answer.returncode == 0, answer.stderr
    return answer.stdout


def test_the_demo_flight_is_solved() -> None:
    number, word = blocked(SOLVE).split()
    assert word == "fixes"
    assert int(number) >= 2


def test_every_module_outside_window_and_chart_can_be_imported() -> None:
    counted, refused = blocked(IMPORT_ALL).splitlines()
    assert int(counted.split()[0]) > 50
    assert refused == "PySide6 is blocked"


def test_the_command_solves_and_says_so() -> None:
    code = """
from nightleg.commands.main import main
from nightleg.resources import scenario

sys.exit(main(["solve", str(scenario("demo")), "--json"]))
"""
    assert json.loads(blocked(code))["format"] == "nightleg-solution-1"
