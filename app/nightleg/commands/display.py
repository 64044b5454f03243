"""Whether a window can be shown here.

Qt ends the whole process where a display is named that does not answer, so the display is asked before: a server by its
socket, which takes a millisecond or two, and any rarer way of showing windows by a process of its own.
"""

from __future__ import annotations

import ctypes
import os
import socket
import subprocess
import sys
import threading
from collections.abc import Callable, Mapping

from nightleg.commands.terminal import plain

_PATIENCE_S = 5.0
_NOTHING_TO_SEE = ("minimal", "minimalegl", "vkkhrdisplay")  # Qt's platforms that show no window of this kind
_PROBE = """
import resource
resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
from PySide6.QtGui import QGuiApplication, QRasterWindow
application = QGuiApplication([])
window = QRasterWindow()
window.show()
application.processEvents()
raise SystemExit(0 if application.primaryScreen() else 1)
"""


def missing_display(environment: Mapping[str, str] | None = None, system: str | None = None) -> str | None:
    """Why no window can be shown, in words; None where one can."""
    environment = os.environ if environment is None else environment
    if not (sys.platform if system is None else system).startswith(("linux", "freebsd", "openbsd", "netbsd")):
        return None
    chosen = environment.get("QT_QPA_PLATFORM", "")
    faults = []
    # Names stand in the order in which Qt tries them, each perhaps with parameters.
    for name in [part.split(":")[0].strip() for part in chosen.split(";")] if chosen else _by_environment(environment):
        fault = _fault(name, environment)
        if fault is None:
            return None
        faults.append(fault)
    return plain("; ".join(dict.fromkeys(faults))) or "No display here (neither DISPLAY nor WAYLAND_DISPLAY is set)"


def _by_environment(environment: Mapping[str, str]) -> list[str]:
    """Qt's platforms where none is chosen: Wayland before X, each if there is a sign of it."""
    wayland = environment.get("WAYLAND_DISPLAY") or environment.get("XDG_SESSION_TYPE") == "wayland"
    return ["wayland"] * bool(wayland) + ["xcb"] * bool(environment.get("DISPLAY"))


def _fault(platform: str, environment: Mapping[str, str]) -> str | None:
    """Why one of Qt's platforms can show no window; None where it can."""
    if platform.startswith("wayland"):
        display = environment.get("WAYLAND_DISPLAY") or "wayland-0"
        return None if _wayland_answers(display, environment) else f"The display {display} does not answer"
    if platform == "xcb":
        display = environment.get("DISPLAY", "")
        if not display:
            return "No display here (DISPLAY is not set)"
        return None if _in_time(lambda: _x_answers(display)) else f"The display {display} does not answer"
    if platform == "offscreen":
        return None
    if platform in _NOTHING_TO_SEE or not _starts(environment):
        return f"No display here (QT_QPA_PLATFORM is {platform}, which shows no window)"
    return None


def _wayland_answers(display: str, environment: Mapping[str, str]) -> bool:
    """Whether a Wayland server listens on its socket, which the protocol's client library looks for there too."""
    return _listens(os.path.join(environment.get("XDG_RUNTIME_DIR", ""), display))


def _x_answers(display: str) -> bool:
    """Whether an X server takes us, by the library that Qt asks too; without it no window can be shown."""
    try:
        xcb = ctypes.CDLL("libxcb.so.1")
    except OSError:
        return False
    xcb.xcb_connect.restype = ctypes.c_void_p
    xcb.xcb_connect.argtypes = [ctypes.c_char_p, ctypes.c_void_p]
    xcb.xcb_connection_has_error.argtypes = xcb.xcb_disconnect.argtypes = [ctypes.c_void_p]
    connection = xcb.xcb_connect(os.fsencode(display), None)
    answers = bool(xcb.xcb_connection_has_error(connection) == 0)
    xcb.xcb_disconnect(connection)
    return answers


def _listens(path: str) -> bool:
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as probe:
        probe.settimeout(_PATIENCE_S)
        try:
            probe.connect(path)
            return True
        except (OSError, ValueError):  # ValueError: a NUL in the name
            return False


def _in_time(ask: Callable[[], bool]) -> bool:
    """What `ask` answers; False where the server lets us wait, as a machine that is switched off does."""
    answers: list[bool] = []
    waiting = threading.Thread(target=lambda: answers.append(ask()), daemon=True)
    waiting.start()
    waiting.join(_PATIENCE_S)
    return answers == [True]


def _starts(environment: Mapping[str, str]) -> bool:
    """Whether Qt can show a window at all with that environment, tried in a process that may come to grief."""
    try:
        tried = subprocess.run(
            [sys.executable, "-c", _PROBE],
            env=dict(environment),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=2 * _PATIENCE_S,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired):
        return False
    return tried.returncode == 0
