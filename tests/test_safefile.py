"""Files are replaced whole or not at all: on success, on a full disk, without permission, and when killed."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from nightleg import safefile
from nightleg.safefile import why, write_atomically

APP = Path(safefile.__file__).parents[1]
OLD = b"old contents"


@pytest.fixture(params=["nameless", "named"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both ways of writing: with a file that has no name until it is complete, and where a system cannot do that."""
    if request.param == "named":
        monkeypatch.delattr(os, "O_TMPFILE", raising=False)
    return str(request.param)


@pytest.mark.usefixtures("way")
def test_new_file_and_old_file(tmp_path: Path) -> None:
    target = tmp_path / "out.bin"
    for data in (b"\0\xff" * 1000, b"", b"short"):
        write_atomically(target, data)
        assert target.read_bytes() == data
    assert os.listdir(tmp_path) == ["out.bin"]


@pytest.mark.usefixtures("way")
def test_new_file_has_the_permissions_of_any_new_file(tmp_path: Path) -> None:
    (tmp_path / "plain").write_bytes(b"")
    write_atomically(tmp_path / "ours", b"x")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "plain").stat().st_mode


@pytest.mark.usefixtures("way")
@pytest.mark.parametrize("call", ["write", "fsync", "replace"])
def test_failure_at_any_step_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    target = tmp_path / "out.png"
    target.write_bytes(OLD)

    def full(*_: Any) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, call, full)
    with pytest.raises(OSError, match=r"out\.png") as caught:
        write_atomically(target, b"new")
    assert caught.value.errno == errno.ENOSPC
    monkeypatch.undo()
    assert target.read_bytes() == OLD
    assert os.listdir(tmp_path) == ["out.png"]


@pytest.mark.usefixtures("way")
def test_interrupt_leaves_the_old_file_and_nothing_else(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "out.png"
    target.write_bytes(OLD)

    def interrupted(*_: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_atomically(target, b"new")
    assert target.read_bytes() == OLD
    assert os.listdir(tmp_path) == ["out.png"]


def test_data_that_go_to_disk_in_parts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = os.write
    monkeypatch.setattr(os, "write", lambda fd, data: whole(fd, bytes(data[:7])))
    write_atomically(tmp_path / "x", b"0123456789" * 10)
    assert (tmp_path / "x").read_bytes() == b"0123456789" * 10


def test_places_that_cannot_be_written(tmp_path: Path) -> None:
    for path, kind in (
        (tmp_path, IsADirectoryError),
        (tmp_path / "no" / "folder", FileNotFoundError),
        (tmp_path / ("x" * 300), OSError),
        (tmp_path / "a\0b", OSError),
    ):
        with pytest.raises(kind) as caught:
            write_atomically(path, b"x")
        assert caught.value.filename == str(path)
    assert os.listdir(tmp_path) == []


def test_file_that_may_not_be_written_is_not_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "kept"
    target.write_bytes(OLD)
    target.chmod(0o444)
    if os.geteuid() == 0:  # to this user everything is open, so the system's answer is made up
        monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(PermissionError, match="kept"):
        write_atomically(target, b"new")
    assert target.read_bytes() == OLD


def test_folder_that_may_not_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "closed"
    folder.mkdir()
    folder.chmod(0o555)
    if os.geteuid() == 0:
        opened = os.open

        def refuse(path: Any, flags: int, *rest: Any) -> int:
            if flags & os.O_WRONLY:
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
            return opened(path, flags, *rest)

        monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(PermissionError, match="out"):
        write_atomically(folder / "out", b"new")
    assert os.listdir(folder) == []


def test_link_is_followed_also_to_a_file_that_is_not_there_yet(tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to("real")
    for data in (b"first", b"second"):
        write_atomically(tmp_path / "link", data)
        assert (tmp_path / "link").is_symlink()
        assert (tmp_path / "real").read_bytes() == data


def test_device_is_written_to_directly() -> None:
    write_atomically("/dev/null", b"x")
    with pytest.raises(OSError, match="/dev/full"):
        write_atomically("/dev/full", b"x")


KILLED = """
import os, sys, time
from nightleg.safefile import why, write_atomically
step, target = sys.argv[1:]
whole = getattr(os, step)
def waiting(*a, **k):
    if step == "write":
        whole(a[0], bytes(a[1][:1000]))
    print("there", flush=True)
    time.sleep(60)
setattr(os, step, waiting)
write_atomically(target, b"n" * 1000000)
"""


@pytest.mark.parametrize("step", ["write", "fsync"])
def test_killed_in_the_middle_leaves_the_old_file_and_nothing_else(tmp_path: Path, step: str) -> None:
    target = tmp_path / "out"
    target.write_bytes(OLD)
    command = [sys.executable, "-c", KILLED, step, str(target)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(APP)}) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"there\n"
        process.send_signal(signal.SIGKILL)
    assert target.read_bytes() == OLD
    assert os.listdir(tmp_path) == ["out"]


def test_killed_at_any_moment_the_file_is_old_or_new(tmp_path: Path) -> None:
    target = tmp_path / "out"
    code = (
        "import sys\nfrom nightleg.safefile import write_atomically\nprint('there', flush=True)\n"
        "while True:\n    for c in b'ab': write_atomically(sys.argv[1], bytes([c]) * 300000)\n"
    )
    for wait_s in (0.01, 0.05, 0.11):
        command = [sys.executable, "-c", code, str(target)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(APP)}) as process:
            assert process.stdout is not None
            process.stdout.readline()
            while not target.exists():
                time.sleep(0.005)
            time.sleep(wait_s)
            process.kill()
        assert target.read_bytes() in (b"a" * 300000, b"b" * 300000)


def left_behind(folder: Path, process: int, age_s: float) -> Path:
    path = folder / f".nightleg-{process}-{os.urandom(8).hex()}.tmp"
    path.write_bytes(b"part")
    os.utime(path, (time.time() - age_s,) * 2)
    return path


@pytest.mark.usefixtures("way")
def test_next_write_clears_what_a_killed_process_left_behind(tmp_path: Path) -> None:
    with subprocess.Popen([sys.executable, "-c", ""]) as ended:
        ended.wait()
    with subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE) as running:
        gone, young = left_behind(tmp_path, ended.pid, 100_000.0), left_behind(tmp_path, ended.pid, 10.0)
        alive = left_behind(tmp_path, running.pid, 300.0)
        own = left_behind(tmp_path, os.getpid(), 300.0)
        other = tmp_path / ".nightleg-notes.tmp"
        other.write_bytes(b"x")
        os.utime(other, (0.0, 0.0))
        write_atomically(tmp_path / "out", b"new")
        assert not gone.exists()
        assert all(path.exists() for path in (young, alive, own, other))
        assert running.stdin is not None
        running.stdin.close()


def test_a_file_left_between_its_name_and_its_place_is_known_as_ours(tmp_path: Path) -> None:
    """What stays when a process is killed at the one moment in which a temporary file has a name."""
    command = [sys.executable, "-c", KILLED, "replace", str(tmp_path / "out")]
    with subprocess.Popen(command, stdout=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(APP)}) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"there\n"
        process.kill()
    (left,) = tmp_path.iterdir()
    assert left.name.startswith(f".nightleg-{process.pid}-")
    os.utime(left, (time.time() - 61.0,) * 2)
    write_atomically(tmp_path / "out", b"new")
    assert os.listdir(tmp_path) == ["out"]


def test_a_fault_is_told_without_its_number() -> None:
    full = OSError(errno.ENOSPC, "No space left on device", "night.flight.toml")
    assert why(full) == "No space left on device (night.flight.toml)"
    assert why(OSError(errno.ENOSPC, "No space left on device")) == "No space left on device"
    assert why(OSError("no lock can be set")) == "no lock can be set"
    assert why(ValueError("embedded null byte")) == "embedded null byte" and why(MemoryError()) == ""
