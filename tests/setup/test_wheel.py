"""The wheel: what is in it, and that it solves the demo flight in an environment where nothing else is."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

HOME = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    call = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(HOME)]
    subprocess.run(call, check=True, capture_output=True)
    (built,) = folder.glob("nightleg-*.whl")
    return built


def shipped(folder: str) -> set[str]:
    """What is to be found of a top folder in the wheel: all but the README's pictures and Python's leavings."""
    files = (path for path in (HOME / folder).rglob("*") if path.is_file())
    wanted = (path for path in files if not {"__pycache__", "pictures"}.intersection(path.parts))
    return {f"nightleg/_shipped/{path.relative_to(HOME).as_posix()}" for path in wanted}


def test_it_holds_the_program_its_resources_and_its_scenarios(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
        (entry_points,) = (name for name in names if name.endswith("entry_points.txt"))
        assert "nightleg = nightleg.commands.main:process" in archive.read(entry_points).decode()
    sources = {path.relative_to(HOME / "app").as_posix() for path in (HOME / "app" / "nightleg").rglob("*.py")}
    assert sources | {"nightleg/py.typed"} <= names
    assert "nightleg/_shipped/scenarios/demo.flight.toml" in names
    assert shipped("resources") | shipped("scenarios") <= names
    for licence in ("LICENSE", "resources/fonts/OFL.txt", "resources/land/ISC.txt"):
        assert any(name.endswith(f"licenses/{licence}") for name in names)
    assert not [name for name in names if "__pycache__" in name or not name.startswith("nightleg")]


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_it_solves_the_demo_in_an_empty_environment(wheel: Path, tmp_path: Path) -> None:
    environment = tmp_path / "environment"
    venv.create(environment, with_pip=True)
    surroundings = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    python = environment / "bin" / "python"
    pip = [str(python), "-m", "pip", "install", "--quiet", "--no-input", "--disable-pip-version-check", str(wheel)]
    subprocess.run(pip, cwd=tmp_path, env=surroundings, check=True)

    def run(*call: str) -> str:
        return subprocess.run(call, cwd=tmp_path, env=surroundings, check=True, capture_output=True, text=True).stdout

    demo = run(str(python), "-c", "from nightleg.resources import scenario; print(scenario('demo'))").strip()
    assert Path(demo).is_relative_to(environment)
    solution = json.loads(run(str(environment / "bin" / "nightleg"), "solve", demo, "--json"))
    assert solution["format"] == "nightleg-solution-1"
    assert len(solution["fixes"]) >= 2
    here = json.loads(run(sys.executable, "-m", "nightleg", "solve", demo, "--json"))
    for there, fix in zip(solution["fixes"], here["fixes"], strict=True):
        # 1e-6° is 0.1 m: another release of numpy may round its last digits otherwise.
        assert (there["lat"], there["lon"]) == pytest.approx((fix["lat"], fix["lon"]), rel=0.0, abs=1e-6)
