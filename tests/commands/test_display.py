"""Whether a window can be shown."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from nightleg.commands import display
from nightleg.commands.display import missing_display


@pytest.mark.parametrize(
    ("environment", "word"),
    [
        ({}, "No display"),
        ({"DISPLAY": ""}, "No display"),
        ({"QT_QPA_PLATFORM": "xcb"}, "No display"),
        ({"DISPLAY": ":63999"}, "display :63999 does not answer"),
        ({"DISPLAY": "unix:63999.0"}, "does not answer"),
        ({"DISPLAY": "garbage"}, "display garbage does not answer"),
        ({"DISPLAY": "localhost:77"}, "display localhost:77 does not answer"),
        ({"DISPLAY": "a\x1b[31m"}, "display a\\x1b[31m does not answer"),
        ({"WAYLAND_DISPLAY": "foo"}, "display foo does not answer"),
        ({"WAYLAND_DISPLAY": "foo", "XDG_RUNTIME_DIR": "/nowhere"}, "display foo does not answer"),
        ({"WAYLAND_DISPLAY": "foo", "DISPLAY": "garbage"}, "display foo does not answer; The display garbage"),
        ({"XDG_SESSION_TYPE": "wayland"}, "display wayland-0 does not answer"),
        ({"QT_QPA_PLATFORM": "wayland;xcb"}, "does not answer; No display"),
        ({"QT_QPA_PLATFORM": "minimal"}, "No display here (QT_QPA_PLATFORM is minimal"),
    ],
)
def test_no_window_here(environment: dict[str, str], word: str) -> None:
    assert word in (missing_display(environment, "linux") or "")


@pytest.mark.parametrize("platform", ["foo", "eglfs"])
def test_platform_that_ends_its_process_is_tried_in_another(platform: str) -> None:
    if not sys.platform.startswith("linux"):
        return
    bare = {name: text for name, text in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    said = missing_display(bare | {"QT_QPA_PLATFORM": platform}, "linux") or ""
    assert f"No display here (QT_QPA_PLATFORM is {platform}" in said


@pytest.mark.parametrize(
    ("environment", "system"),
    [({"QT_QPA_PLATFORM": "offscreen"}, "linux"), ({}, "darwin"), ({}, "win32")],
)
def test_a_window_can_be_tried(environment: dict[str, str], system: str) -> None:
    assert missing_display(environment, system) is None


def test_a_wayland_server_that_listens_is_a_display(tmp_path: Path) -> None:
    if sys.platform == "win32":
        return
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as server:
        before = os.getcwd()
        os.chdir(tmp_path)  # a socket's path may be 107 bytes long
        try:
            server.bind("way")
            server.listen()
            assert missing_display({"WAYLAND_DISPLAY": "way", "XDG_RUNTIME_DIR": "."}, "linux") is None
            assert (
                missing_display({"WAYLAND_DISPLAY": "way", "DISPLAY": "garbage", "XDG_RUNTIME_DIR": "."}, "linux")
                is None
            )
        finally:
            os.chdir(before)


def test_a_server_that_lets_us_wait_is_not_waited_for_long(monkeypatch: pytest.MonkeyPatch) -> None:
    def slow(name: str) -> bool:
        time.sleep(0.5)
        return True

    monkeypatch.setattr(display, "_PATIENCE_S", 0.05)
    monkeypatch.setattr(display, "_x_answers", slow)
    started = time.perf_counter()
    assert "far:0 does not answer" in (missing_display({"DISPLAY": "far:0"}, "linux") or "")
    assert time.perf_counter() - started < 0.4  # s


def test_an_x_server_is_found_in_no_time(tmp_path: Path) -> None:
    server = next((f"{folder}/Xvfb" for folder in os.get_exec_path() if os.path.exists(f"{folder}/Xvfb")), None)
    if server is None:
        return
    reading, writing = os.pipe()
    command = [server, "-displayfd", str(writing), "-screen", "0", "640x480x24", "-nolisten", "tcp", "-noreset"]
    with subprocess.Popen(command, pass_fds=[writing], stderr=subprocess.DEVNULL, cwd=tmp_path) as running:
        os.close(writing)
        try:
            with os.fdopen(reading) as told:
                name = ":" + told.readline().strip()
            times_s = []
            for _ in range(5):
                started = time.perf_counter()
                assert missing_display({"DISPLAY": name, "WAYLAND_DISPLAY": "foo"}, "linux") is None
                times_s.append(time.perf_counter() - started)
            assert min(times_s) < 0.05  # s: what a start may spend on asking
        finally:
            running.terminate()
