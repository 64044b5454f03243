"""The environment beside the checkout: made once, reused, renewed, begun anew, never made twice at once.

Tried on a small project with a build backend of its own, so that nothing is fetched.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

APP = Path(__file__).resolve().parents[2] / "app"

PROJECT = """
[build-system]
requires = []
build-backend = "backend"
backend-path = ["."]

[project]
name = "small"
version = "1"

[tool.hatch]
"""

BACKEND = """
import zipfile

def build_editable(wheel_directory, config_settings=None, metadata_directory=None):
    name = "small-1-py3-none-any.whl"
    with zipfile.ZipFile(f"{wheel_directory}/{name}", "w") as wheel:
        wheel.writestr("small.py", "here = True")
        info = "small-1.dist-info/"
        wheel.writestr(info + "METADATA", "Metadata-Version: 2.1\\nName: small\\nVersion: 1\\nProvides-Extra: test\\n")
        wheel.writestr(info + "WHEEL", "Wheel-Version: 1.0\\nRoot-Is-Purelib: true\\nTag: py3-none-any\\n")
        wheel.writestr(info + "RECORD", "")
    return name

build_wheel = build_editable
"""

CALL = """
import sys
from pathlib import Path
import setup_environment
try:
    print(setup_environment.environment_python(tuple(sys.argv[2:]), Path(sys.argv[1])))
except setup_environment.SetupError as error:
    sys.exit(f"refused: {error}")
"""


def begin(home: Path, *extras: str) -> subprocess.Popen[str]:
    """Ask for the environment of that project, in a process of its own."""
    surroundings = dict(os.environ, XDG_CACHE_HOME=str(home.parent / "caches"), PIP_NO_INDEX="1")
    return subprocess.Popen(
        [sys.executable, "-c", CALL, str(home), *extras],
        cwd=APP,
        env=surroundings,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def ask(home: Path, *extras: str) -> tuple[str, str]:
    """The path printed, and what was said on the way."""
    process = begin(home, *extras)
    out, said = process.communicate()
    assert process.returncode == 0, said
    return out.strip(), said


def works(python: str) -> bool:
    code = "import small; print(small.here)"
    return subprocess.run([python, "-c", code], capture_output=True, text=True, check=True).stdout == "True\n"


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A checkout of a small project, in a folder whose name is not an easy one."""
    folder = tmp_path / "a check-out [ä]"
    folder.mkdir()
    (folder / "pyproject.toml").write_text(PROJECT)
    (folder / "backend.py").write_text(BACKEND)
    return folder


def test_it_is_made_once_beside_the_checkout_and_reused(home: Path) -> None:
    began = time.perf_counter()
    python, said = ask(home)
    first_s = time.perf_counter() - began
    environment = home.parent / "a check-out [ä]-environment"
    assert Path(python) == environment / "bin/python"
    assert works(python)
    assert "making its environment" in said

    stamped = (environment / "nightleg-environment.json").stat().st_mtime_ns
    began = time.perf_counter()
    assert ask(home) == (python, "")
    # Starting Python and reading two files takes 0.1 s; making an environment or only starting pip, some seconds. As a
    # ratio of one run, so that a busy machine slows both.
    assert time.perf_counter() - began < first_s / 5.0
    assert (environment / "nightleg-environment.json").stat().st_mtime_ns == stamped

    # What only the checks read is no reason to renew it; a new extra is, and what was there before stays.
    (home / "pyproject.toml").write_text(PROJECT + "\n[tool.ruff]\nline-length = 99\n")
    assert ask(home) == (python, "")
    assert "up to date" in ask(home, "test")[1]
    assert ask(home, "test") == ask(home) == (python, "")
    assert sorted(path.name for path in home.parent.iterdir()) == [home.name, environment.name]


@pytest.mark.slow
def test_a_renewal_that_fails_leaves_what_was_there(home: Path) -> None:
    python, _ = ask(home)
    good = (home / "pyproject.toml").read_text()
    (home / "pyproject.toml").write_text(good.replace("requires = []", 'requires = ["nothing-of-this-name-is-here"]'))
    process = begin(home)
    out, said = process.communicate()
    assert process.returncode == 1
    assert out == ""
    assert "refused: the packages could not be installed (see above); with a network, start again" in said
    (home / "pyproject.toml").write_text(good)
    assert ask(home) == (python, "")
    assert works(python)


def test_modules_are_compiled_once_and_for_all(home: Path) -> None:
    module = home / "app" / "nightleg" / "inner" / "one.py"
    module.parent.mkdir(parents=True)
    module.write_text("one = 1\n")
    python, said = ask(home)
    code = "import importlib.util, sys; print(importlib.util.cache_from_source(sys.argv[1]))"
    answer = subprocess.run([python, "-c", code, str(module)], capture_output=True, text=True, check=True)
    assert Path(answer.stdout.strip()).is_file()
    assert str(module.parent) not in said


def test_two_starts_at_once_make_it_once(home: Path) -> None:
    processes = [begin(home), begin(home)]
    answers = [process.communicate() for process in processes]
    assert [process.returncode for process in processes] == [0, 0]
    paths = {out.strip() for out, _ in answers}
    assert len(paths) == 1
    assert works(paths.pop())
    said = "".join(said for _, said in answers)
    assert said.count("making its environment") == 1
    assert said.count("waiting for it") == 1


@pytest.mark.slow
def test_an_interrupted_set_up_is_begun_anew(home: Path) -> None:
    environment = home.parent / (home.name + "-environment")
    process = begin(home)
    try:
        deadline = time.monotonic() + 60.0
        while not (environment / "bin/python").exists() and time.monotonic() < deadline:
            time.sleep(0.01)
    finally:
        process.kill()
        process.communicate()
    assert json.loads((environment / "nightleg-environment.json").read_text()) == {"state": "unfinished"}
    (environment / "left-over").write_text("half a package")
    python, said = ask(home)
    assert "making its environment" in said
    assert works(python)
    assert not (environment / "left-over").exists()


@pytest.mark.slow
def test_a_folder_that_is_something_else_is_left_alone(home: Path) -> None:
    taken = home.parent / (home.name + "-environment")
    taken.mkdir()
    (taken / "letters.txt").write_text("mine")
    python, _ = ask(home)
    assert Path(python).is_relative_to(home.parent / "caches" / "nightleg")
    assert works(python)
    assert [path.name for path in taken.iterdir()] == ["letters.txt"]
    assert ask(home) == (python, "")
