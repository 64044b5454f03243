"""Whether a window can be shown here."""

from __future__ import annotations

import os
import socket
import sys
from collections.abc import Mapping

_NEED_A_SERVER = ("xcb", "wayland")  # Qt's platforms that draw through a display server


def missing_display(environment: Mapping[str, str] | None = None, system: str | None = None) -> str | None:
    """Why no window can be shown, in words; None where one can."""
    environment = os.environ if environment is None else environment
    if not (sys.platform if system is None else system).startswith(("linux", "freebsd", "openbsd", "netbsd")):
        return None
    chosen = environment.get("QT_QPA_PLATFORM", "")
    if chosen and not chosen.startswith(_NEED_A_SERVER):
        return None
    if environment.get("WAYLAND_DISPLAY"):
        return None
    display = environment.get("DISPLAY", "")
    if not display:
        return "No display here (neither DISPLAY nor WAYLAND_DISPLAY is set)"
    if not _answers(display):
        return f"The display {display} does not answer"
    return None


def _answers(display: str) -> bool:
    """Whether an X server of this machine listens there; one on another machine is taken on trust."""
    number = display.removeprefix("unix:").removeprefix(":").split(".")[0]
    if not display.startswith((":", "unix:")) or not number.isdigit():
        return True
    path = f"/tmp/.X11-unix/X{number}"  # where X servers of Unix listen, as X.Org's transport library defines it
    for address in ("\0" + path, path):
        with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as probe:
            probe.settimeout(2.0)
            try:
                probe.connect(address)
                return True
            except OSError:
                continue
    return False
