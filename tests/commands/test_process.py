"""The program as a process: its streams, its surroundings, and how it ends."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

import nightleg

Program = Callable[..., "subprocess.CompletedProcess[bytes]"]
READER_GONE = 128 + 13  # SIGPIPE, as a shell reports it
TIME = "2026-03-14T22:52:00Z"

# Zone, language, encoding and hash seed, far from each other.
SURROUNDINGS: list[dict[str, str | None]] = [
    {"TZ": "UTC", "LANG": "C.UTF-8", "PYTHONHASHSEED": "0"},
    {"TZ": "Asia/Kathmandu", "LC_ALL": "de_DE.UTF-8", "LANGUAGE": "de", "PYTHONHASHSEED": "1"},
    {"TZ": "America/St_Johns", "LC_ALL": "C", "PYTHONHASHSEED": "7", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
]


def closed_pipe() -> int:
    """The writing end of a pipe whose reader has gone."""
    reading, writing = os.pipe()
    os.close(reading)
    return writing


def test_numbers_do_not_depend_on_surroundings(program: Program, night_file: str) -> None:
    answers = [program("solve", night_file, "--json", "--at", "2315", **around) for around in SURROUNDINGS]
    assert [answer.returncode for answer in answers] == [0, 0, 0]
    assert answers[0].stdout.isascii()
    assert len({answer.stdout for answer in answers}) == 1
    assert {answer.stderr for answer in answers} == {b""}


def test_the_picture_does_not_depend_on_surroundings(program: Program, night_file: str, tmp_path: Path) -> None:
    pictures = set()
    for number, around in enumerate(SURROUNDINGS):
        target = tmp_path / f"{number}.png"
        answer = program("draw", night_file, "--at", "2315", "--size", "640x400", "-o", str(target), **around)
        assert (answer.returncode, answer.stdout, answer.stderr) == (0, b"", b"")
        pictures.add(target.read_bytes())
    assert len(pictures) == 1


@pytest.mark.slow
def test_the_drawing_does_not_depend_on_surroundings(program: Program, night_file: str, tmp_path: Path) -> None:
    pictures = set()
    for number, around in enumerate(SURROUNDINGS):
        target = tmp_path / f"{number}.svg"
        assert program("draw", night_file, "--at", "2315", "-o", str(target), **around).returncode == 0
        pictures.add(target.read_bytes())
    assert len(pictures) == 1


def test_an_output_without_typographic_signs_gets_plain_ones(program: Program, night_file: str) -> None:
    answer = program("solve", night_file, "--worked", **SURROUNDINGS[2], PYTHONIOENCODING="ascii")
    assert (answer.returncode, answer.stderr) == (0, b"")
    assert answer.stdout.isascii()
    assert b"41 30.0'N 028 15.0'W" in answer.stdout


@pytest.mark.parametrize(
    "words",
    [["solve", "FILE"], ["solve", "FILE", "FILE", "--json"], ["almanac", TIME], ["--help"], ["solve", "--help"]],
)
def test_a_closed_pipe_ends_quietly(program: Program, night_file: str, words: list[str]) -> None:
    if sys.platform == "win32":
        return
    pipe = closed_pipe()
    try:
        answer = program(*(night_file if word == "FILE" else word for word in words), stdout=pipe)
    finally:
        os.close(pipe)
    assert (answer.returncode, answer.stderr) == (READER_GONE, b"")


@pytest.mark.parametrize("words", [["solve", "FILE", "--json"], ["almanac", TIME], ["--version"]])
def test_a_full_disk_under_standard_output(program: Program, night_file: str, words: list[str]) -> None:
    if not os.path.exists("/dev/full"):
        return
    with open("/dev/full", "wb") as full:
        answer = program(*(night_file if word == "FILE" else word for word in words), stdout=full)
    assert answer.returncode == 1
    assert answer.stderr == b"nightleg: standard output cannot be written: No space left on device\n"


def shell(line: str, *words: str) -> subprocess.CompletedProcess[bytes]:
    """Runs a shell line in which "$@" is the program with its words."""
    environment = os.environ | {"PYTHONPATH": str(Path(nightleg.__file__).parents[1])}
    command = ["sh", "-c", line, "sh", sys.executable, "-m", "nightleg", *words]
    return subprocess.run(command, capture_output=True, env=environment, timeout=60, check=False)


def test_closed_standard_streams(night_file: str, tmp_path: Path) -> None:
    if sys.platform == "win32":
        return
    answer = shell('"$@" <&-', "solve", night_file)
    assert (answer.returncode, answer.stderr) == (0, b"")
    assert answer.stdout.startswith(b"Night crossing")
    answer = shell('"$@" >&-', "solve", night_file)
    assert (answer.returncode, answer.stderr) == (1, b"nightleg: standard output is closed\n")
    pictures = []
    for number, line in enumerate(['"$@"', '"$@" <&- >&- 2>&-']):
        target = tmp_path / f"{number}.png"
        assert shell(line, "draw", night_file, "--size", "640x400", "-o", str(target)).returncode == 0
        pictures.append(target.read_bytes())
    assert pictures[0] == pictures[1]
    assert shell('"$@" 2>&-', "solve", "missing.toml").returncode == 1


@pytest.fixture
def interruptible() -> Iterator[None]:
    """Interrupts reach what is started here, also where a shell has started the tests beside itself, without any."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.usefixtures("interruptible")
def test_an_interrupted_call_says_so_shortly(tmp_path: Path) -> None:
    if sys.platform == "win32":
        return
    fifo = str(tmp_path / "slow.flight.toml")
    os.mkfifo(fifo)
    environment = os.environ | {"PYTHONPATH": str(Path(nightleg.__file__).parents[1])}
    command = [sys.executable, "-m", "nightleg", "solve", fifo]
    with (
        subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process,
        open(fifo, "wb"),  # opens when the program does: from here on it waits for the file
    ):
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=30)
    assert (process.returncode, out, err) == (130, b"", b"nightleg: interrupted\n")


@pytest.mark.usefixtures("interruptible")
@pytest.mark.parametrize("words", [["draw", "FILE", "-o", "chart.png"], ["FILE"]])
def test_an_interrupt_while_qt_is_at_work_says_so_shortly(night_file: str, tmp_path: Path, words: list[str]) -> None:
    """The signal arrives while Qt is loading, painting or waiting, as soon as its first library is there and later."""
    if not sys.platform.startswith("linux"):
        return
    changes = {"PYTHONPATH": str(Path(nightleg.__file__).parents[1]), "QT_QPA_PLATFORM": "offscreen"}
    homes = {name: str(tmp_path) for name in ("XDG_CACHE_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "HOME")}
    for wait_s in (0.0, 0.05, 0.1):
        command = [sys.executable, "-m", "nightleg", *(night_file if word == "FILE" else word for word in words)]
        with subprocess.Popen(
            command, env=os.environ | changes | homes, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        ) as process:
            maps = Path(f"/proc/{process.pid}/maps")
            while process.poll() is None and "libQt6Core" not in maps.read_text():
                time.sleep(0.002)
            time.sleep(wait_s)
            process.send_signal(signal.SIGINT)
            out, err = process.communicate(timeout=30)
        assert (process.returncode, out, err) == (130, b"", b"nightleg: interrupted\n")
    assert not [path for path in tmp_path.rglob("*.tmp")]


@pytest.mark.parametrize(
    "changes",
    [{"WAYLAND_DISPLAY": "foo"}, {"DISPLAY": "garbage"}, {"DISPLAY": "localhost:77"}, {"QT_QPA_PLATFORM": "foo"}],
)
def test_a_display_that_does_not_answer(program: Program, night_file: str, changes: dict[str, str]) -> None:
    if not sys.platform.startswith("linux"):
        return
    nowhere: dict[str, Any] = {"DISPLAY": None, "WAYLAND_DISPLAY": None, "QT_QPA_PLATFORM": None}
    answer = program(night_file, **(nowhere | changes))
    assert (answer.returncode, answer.stderr) == (0, b"")
    first = answer.stdout.decode().splitlines()[0]
    assert "display" in first
    assert "night.png" in first
    assert b"FIX f1" in answer.stdout


def test_without_a_display_a_picture_and_the_solution(program: Program, night_file: str, tmp_path: Path) -> None:
    nowhere: dict[str, Any] = {"DISPLAY": None, "WAYLAND_DISPLAY": None, "QT_QPA_PLATFORM": None}
    if not sys.platform.startswith("linux"):
        return
    answer = program(night_file, **nowhere)
    assert (answer.returncode, answer.stderr) == (0, b"")
    said = answer.stdout.decode()
    picture = tmp_path / "cache" / "nightleg" / "night.png"
    assert "display" in said.splitlines()[0]
    assert str(picture) in said.splitlines()[0]
    assert picture.read_bytes().startswith(b"\x89PNG")
    assert program("solve", night_file).stdout.decode() == said.split("\n\n", 1)[1]

    (tmp_path / "file").write_bytes(b"")
    answer = program(night_file, **nowhere, XDG_CACHE_HOME=str(tmp_path / "file"))
    assert answer.returncode == 1
    assert b"night.png: cannot be written" in answer.stderr
    assert "display" in answer.stdout.decode().splitlines()[0]
    assert b"FIX f1" in answer.stdout

    answer = program("missing.toml", **nowhere)
    assert answer.returncode == 1
    assert answer.stderr == b"nightleg: missing.toml: there is no such file\n"


def test_only_the_target_is_written(program: Program, night_file: str, tmp_path: Path) -> None:
    work = tmp_path / "work"
    work.mkdir()
    before = os.getcwd()
    os.chdir(work)
    try:
        assert program("solve", night_file, "--json").returncode == 0
        assert program("almanac", TIME).returncode == 0
        assert program("draw", night_file, "-o", "chart.svg").returncode == 0
    finally:
        os.chdir(before)
    assert [path.name for path in work.iterdir()] == ["chart.svg"]
    assert {path.name for path in tmp_path.iterdir()} <= {"work", "night.flight.toml", "cache", "state"}


def test_help_needs_no_numbers_and_no_drawing() -> None:
    script = (
        "import sys; from nightleg.commands.main import main\n"
        "code = [main(w) for w in (['--help'], ['solve', '--help'], ['draw', 'x', '-o', 'y'], ['sovle'])]\n"
        "heavy = {'numpy', 'skyfield', 'PySide6', 'pyqtgraph', 'msgspec', 'platformdirs'} & set(sys.modules)\n"
        "assert code == [0, 0, 2, 2], code\n"
        "assert not heavy, heavy"
    )
    environment = os.environ | {"PYTHONPATH": str(Path(nightleg.__file__).parents[1])}
    answer = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, env=environment, check=False, timeout=60
    )
    assert answer.returncode == 0, answer.stderr.decode()
