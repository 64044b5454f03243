"""A target is replaced whole or not at all."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

import nightleg
from nightleg.commands.output import write_whole
from nightleg.commands.terminal import InputError


def test_new_and_old_files(tmp_path: Path) -> None:
    target = tmp_path / "chart.png"
    write_whole(str(target), b"one")
    assert target.read_bytes() == b"one"
    target.chmod(0o640)
    write_whole(str(target), b"two")
    assert target.read_bytes() == b"two"
    assert stat.S_IMODE(target.stat().st_mode) == 0o640 or os.name == "nt"
    assert [path.name for path in tmp_path.iterdir()] == ["chart.png"]


def test_a_new_file_has_the_permissions_of_the_mask(tmp_path: Path) -> None:
    old = os.umask(0o027)
    try:
        write_whole(str(tmp_path / "chart.svg"), b"x")
    finally:
        os.umask(old)
    assert stat.S_IMODE((tmp_path / "chart.svg").stat().st_mode) == 0o640 or os.name == "nt"


def test_a_link_is_followed(tmp_path: Path) -> None:
    real, link = tmp_path / "real.png", tmp_path / "link.png"
    real.write_bytes(b"old")
    link.symlink_to(real)
    write_whole(str(link), b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"


@pytest.mark.parametrize("name", ["no/such/folder/chart.png", "a\0b.png", "x" * 300 + ".png", ""])
def test_places_that_cannot_be_written_are_named(tmp_path: Path, name: str) -> None:
    target = os.path.join(tmp_path, name)
    with pytest.raises(InputError, match="cannot be written") as caught:
        write_whole(target, b"x")
    assert target.replace("\0", "\\x00") in str(caught.value)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_takes_no_files_is_there_all_the_same() -> None:
    if not os.path.isdir("/proc/self"):
        return
    with pytest.raises(InputError, match=r"^/proc/x\.png: cannot be written: no file can be made in /proc$"):
        write_whole("/proc/x.png", b"x")


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_full_disk_keeps_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str) -> None:
    target = tmp_path / "chart.png"
    target.write_bytes(b"old")

    def full(*arguments: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, call, full)
    with pytest.raises(InputError, match=r"chart\.png: cannot be written: No space left on device"):
        write_whole(str(target), b"new")
    assert target.read_bytes() == b"old"
    assert [path.name for path in tmp_path.iterdir()] == ["chart.png"]


def test_a_real_limit_on_file_size(tmp_path: Path) -> None:
    if sys.platform == "win32":
        return
    import resource

    target = tmp_path / "chart.png"
    target.write_bytes(b"old")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, hard))
    try:
        with pytest.raises(InputError, match="File too large"):
            write_whole(str(target), b"x" * 100_000)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert target.read_bytes() == b"old"
    assert [path.name for path in tmp_path.iterdir()] == ["chart.png"]


def test_a_device_is_written_to_as_it_is() -> None:
    write_whole(os.devnull, b"x")
    if os.path.exists("/dev/full"):
        with pytest.raises(InputError, match="/dev/full: cannot be written: No space left on device"):
            write_whole("/dev/full", b"x")
        assert stat.S_ISCHR(os.stat("/dev/full").st_mode)


def test_a_killed_process_leaves_the_old_file(tmp_path: Path) -> None:
    target = tmp_path / "chart.png"
    target.write_bytes(b"old")
    # The disk takes for ever: what is new has been handed over, but does not stand in place yet.
    script = (
        "import os, sys, time\n"
        "def slow(descriptor):\n"
        "    print('writing', flush=True)\n"
        "    time.sleep(60)\n"
        "os.fsync = slow\n"
        "from nightleg.commands.output import write_whole\n"
        "write_whole(sys.argv[1], b'new' * 100_000)\n"
    )
    environment = os.environ | {"PYTHONPATH": str(Path(nightleg.__file__).parents[1])}
    command = [sys.executable, "-c", script, str(target)]
    with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stdout.readline().strip() == b"writing"
        process.kill()
    assert target.read_bytes() == b"old"
    if hasattr(os, "O_TMPFILE"):
        assert [path.name for path in tmp_path.iterdir()] == ["chart.png"]
