"""Nightleg's own environment: made beside the checkout on the first start, reused afterwards.

Standard library only. `python3 app/setup_environment.py --extra dev` sets it up and prints the path of its Python.
Once it is set up nothing here needs a network; set-up is begun anew where it was interrupted.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import system_libraries
from system_libraries import say

HOME = Path(__file__).resolve().parents[1]
OLDEST_PYTHON = (3, 11)
STAMP = "nightleg-environment.json"
LOCK = "nightleg-environment.lock"
UNFINISHED = {"state": "unfinished"}


class SetupError(Exception):
    """The environment cannot be made; the message says why and what to do."""


def environment_python(extras: tuple[str, ...] = (), home: Path = HOME) -> Path:
    """The Python of the environment, which is set up first where it is missing or out of date.

    `extras` are those of pyproject.toml that must be there too. Raises SetupError.
    """
    if sys.version_info < OLDEST_PYTHON:
        found = ".".join(map(str, sys.version_info[:3]))
        raise SetupError(f"this is Python {found}; Nightleg needs 3.11 or newer: start it with a newer Python")
    wanted = _wanted(home)
    sibling = home.parent / (home.name + "-environment")
    if _ready(sibling, wanted, extras):
        return _python(sibling)
    folder = sibling if _ours_to_write(sibling) else _cache_folder(home)
    if _ready(folder, wanted, extras):
        return _python(folder)
    try:
        with _alone_in(folder):
            if not _ready(folder, wanted, extras):
                _set_up(folder, wanted, extras, home)
    except OSError as error:
        raise SetupError(f"cannot write the environment {folder}: {error.strerror or error}") from error
    return _python(folder)


def provided(*extras: str) -> Path:
    """The same for the scripts: what keeps it from being made is told to the person and ends the process."""
    try:
        return environment_python(extras)
    except SetupError as error:
        say(str(error))
        sys.exit(1)
    except KeyboardInterrupt:
        say("interrupted; the next start begins the set-up anew")
        sys.exit(130)


def start(python: Path, *arguments: str, folder: Path | None = None) -> int:
    """Hand over to the environment's Python, in `folder` or where we are; its exit code where the system cannot."""
    if folder is not None:
        os.chdir(folder)
    if os.name == "posix":
        call = [str(python), "-P", *arguments]
        os.execve(call[0], call, _surroundings())
    return run(python, *arguments)


def run(python: Path, *arguments: str, folder: Path | None = None) -> int:
    """The same and wait for it, to go on afterwards: its exit code."""
    call = [str(python), "-P", *arguments]
    try:
        return subprocess.run(call, cwd=folder, env=_surroundings(), check=False).returncode
    except KeyboardInterrupt:  # which it has had too, and has said so
        return 130


def _wanted(home: Path) -> dict[str, str]:
    """What an environment must have been made for. Settings of the checks are no part of it."""
    import tomllib  # only from 3.11 on

    with open(home / "pyproject.toml", "rb") as file:
        project = tomllib.load(file)
    installed = [project["build-system"], project["project"], project["tool"]["hatch"]]
    digest = hashlib.sha256(json.dumps(installed, sort_keys=True).encode()).hexdigest()
    return {"project": digest, "python": "{}.{}".format(*sys.version_info), "home": str(home)}


def _ready(folder: Path, wanted: dict[str, str], extras: tuple[str, ...]) -> bool:
    stamp = _stamp(folder)
    there = set(stamp.pop("extras", ()))
    return stamp == wanted and there.issuperset(extras) and _python(folder).exists()


def _set_up(folder: Path, wanted: dict[str, str], extras: tuple[str, ...], home: Path) -> None:
    """Make or renew the environment. The stamp says "unfinished" until all is there."""
    before = _stamp(folder)
    reuse = before != UNFINISHED and _version(folder) == wanted["python"]
    _write_stamp(folder, UNFINISHED)
    if not reuse:
        say(f"making its environment in {folder}; this takes some minutes, once")
        _clear(folder)
        _make(folder)
    else:
        say(f"bringing its environment in {folder} up to date")
        extras = tuple(sorted({*extras, *before.get("extras", ())}))
    if not _install(folder, extras, home):
        if reuse:
            # Packages are fetched before any is replaced: without a network the environment is what it was.
            _write_stamp(folder, before)
        raise SetupError(
            f"the packages could not be installed (see above); with a network, start again; "
            f"if that does not help, delete {folder} first"
        )
    _compile(folder, home)
    _write_stamp(folder, {**wanted, "extras": list(extras)})


def _make(folder: Path) -> None:
    # Debian keeps this module in a package of its own.
    if importlib.util.find_spec("ensurepip") is None:
        package = "python{}.{}-venv".format(*sys.version_info)
        if not system_libraries.install([package]):
            raise SetupError(f"this Python cannot make an environment; install the package {package}, then start again")
    # The Python below an environment that we may have been started from, which may be the very one to be replaced.
    base = getattr(sys, "_base_executable", None) or sys.executable
    if not _call([base, "-I", "-m", "venv", str(folder)]):
        raise SetupError(f"Python's venv could not make the environment {folder} (see above)")


def _install(folder: Path, extras: tuple[str, ...], home: Path) -> bool:
    what = f".[{','.join(extras)}]" if extras else "."
    quiet = [] if sys.stderr.isatty() else ["--quiet"]
    pip = [str(_python(folder)), "-P", "-m", "pip", "install", "--no-input", "--disable-pip-version-check"]
    return _call([*pip, *quiet, "--editable", what], home)


def _compile(folder: Path, home: Path) -> None:
    """Keep the program's modules compiled, as pip does with what it copies: the first start is as fast as any other.

    Where the checkout cannot be written each start compiles them for itself.
    """
    package = home / "app" / "nightleg"
    if package.is_dir() and os.access(package, os.W_OK):
        _call([str(_python(folder)), "-P", "-m", "compileall", "-qq", str(package)])


def _call(call: list[str], folder: Path | None = None) -> bool:
    """Run, with all output on standard error; whether it went well."""
    result = subprocess.run(
        call, cwd=folder, env=_surroundings(), check=False, stdin=subprocess.DEVNULL, stdout=sys.stderr
    )
    return result.returncode == 0


def _surroundings() -> dict[str, str]:
    """Our environment variables without those that would mix another Python's packages in."""
    return {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "PYTHONHOME")}


def _python(folder: Path) -> Path:
    return folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def _version(folder: Path) -> str | None:
    """Version of the Python that stands in the folder, as "3.11"; None when none there works."""
    code = "import sys, pip; print('{}.{}'.format(*sys.version_info))"
    with contextlib.suppress(OSError, subprocess.CalledProcessError):
        call = [str(_python(folder)), "-I", "-c", code]
        return subprocess.run(call, capture_output=True, text=True, check=True).stdout.strip()
    return None


def _ours_to_write(folder: Path) -> bool:
    """Whether the environment may be made there: never over a folder that is something else."""
    if not folder.exists():
        return os.access(folder.parent, os.W_OK)
    if not folder.is_dir() or not os.access(folder, os.W_OK):
        return False
    names = {path.name for path in folder.iterdir()}
    return not names or bool(names & {"pyvenv.cfg", STAMP, LOCK})


def _cache_folder(home: Path) -> Path:
    """Where the environment goes when there is no room beside the checkout: the platform's folder for caches."""
    if os.name == "nt":
        caches = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData/Local")
    elif sys.platform == "darwin":
        caches = Path.home() / "Library/Caches"
    else:
        caches = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    return caches / "nightleg" / f"{home.name}-{hashlib.sha256(str(home).encode()).hexdigest()[:8]}-environment"


def _stamp(folder: Path) -> dict[str, Any]:
    with contextlib.suppress(OSError, ValueError):
        stamp = json.loads((folder / STAMP).read_text(encoding="utf-8"))
        return stamp if isinstance(stamp, dict) else UNFINISHED
    return {}


def _write_stamp(folder: Path, stamp: dict[str, Any]) -> None:
    new = folder / (STAMP + ".new")
    new.write_text(json.dumps(stamp), encoding="utf-8")
    os.replace(new, folder / STAMP)


def _clear(folder: Path) -> None:
    for path in folder.iterdir():
        if path.name in (STAMP, LOCK):
            continue
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        else:
            path.unlink()


@contextlib.contextmanager
def _alone_in(folder: Path) -> Iterator[None]:
    """Hold the folder's lock: of two that start at once, one sets up and the other waits for it."""
    folder.mkdir(parents=True, exist_ok=True)
    with open(folder / LOCK, "a", encoding="utf-8") as file:
        told = False
        while not _locked(file.fileno()):
            if not told:
                say("another start is setting up; waiting for it")
            told = True
            time.sleep(0.2)
        yield  # closing the file, or the end of the process however it comes, gives the lock back


def _locked(descriptor: int) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return False
    return True


def main() -> None:
    """Set up with the extras named and print the path of the environment's Python."""
    parser = argparse.ArgumentParser(description="Set up Nightleg's environment and print the path of its Python.")
    parser.add_argument("--extra", action="append", default=[], help="an extra of pyproject.toml, such as test or dev")
    print(provided(*parser.parse_args().extra))


if __name__ == "__main__":
    main()
