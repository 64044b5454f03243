"""Whole processes, from the call to the answer."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from nightleg.resources import scenario

if TYPE_CHECKING:
    from tests.bench.conftest import Bench

PROGRAM = [sys.executable, "-m", "nightleg"]
# What any program on this ephemeris has to do before it can answer.
FLOOR = [
    sys.executable,
    "-c",
    "import numpy, skyfield.api, skyfield_data\n"
    "skyfield.api.Loader(skyfield_data.get_skyfield_data_path())('de421.bsp')\n",
]


@pytest.mark.slow
def test_solving_sixty_sights(bench: Bench, sixty_sights: Path) -> None:
    solve = [*PROGRAM, "solve", str(sixty_sights), "--json"]
    ours_s, floor_s = bench.process_medians_s(solve, FLOOR, rounds=15)
    bench.keep(
        "solve 60 sights, whole process, against loading numpy, skyfield and DE421",
        ours_s / floor_s,
        "×",
        at_most=1.6,
        note=f"{ours_s:.3f} s against {floor_s:.3f} s",
    )


@pytest.mark.slow
def test_the_sixty_sights_are_worth_solving(bench: Bench, sixty_sights: Path) -> None:
    """The flight that is timed is a real one: all fixes found, residuals as large as the errors put in."""
    solved = json.loads(bench.run([*PROGRAM, "solve", str(sixty_sights), "--json"]))
    assert len(solved["sights"]) == 60 and len(solved["fixes"]) == 20
    assert all(fix["lat"] is not None for fix in solved["fixes"])
    assert max(abs(sight["intercept_nm"]) for sight in solved["sights"]) < 30.0


@pytest.mark.slow
def test_drawing_the_demo(bench: Bench, tmp_path: Path) -> None:
    picture = tmp_path / "demo.png"
    (ours_s,) = bench.process_medians_s([*PROGRAM, "draw", str(scenario("demo")), "-o", str(picture)], rounds=5)
    assert picture.read_bytes().startswith(b"\x89PNG")
    bench.keep("draw the demo to PNG, whole process", ours_s, "s")
