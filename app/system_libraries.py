"""The system libraries that Qt needs on Linux: what is missing, and installing it where that is possible.

Standard library only: this runs before anything is installed.
"""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
import sys
from typing import TextIO

# Library: Debian package. What PySide6's libraries, its drawing in memory (offscreen) and its windows under X11 (xcb)
# link to directly and do not bring along; a Wayland desktop has its own and shows X11 windows as well.
# Derived with ldd from PySide6-Essentials 6.11; tests/setup compares it with the one installed.
QT_LIBRARIES = {
    "libGL.so.1": "libgl1",
    "libEGL.so.1": "libegl1",
    "libX11.so.6": "libx11-6",
    "libX11-xcb.so.1": "libx11-xcb1",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libfreetype.so.6": "libfreetype6",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libgthread-2.0.so.0": "libglib2.0-0",
    "libxcb.so.1": "libxcb1",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render.so.0": "libxcb-render0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-shm.so.0": "libxcb-shm0",
    "libxcb-sync.so.1": "libxcb-sync1",
    "libxcb-xfixes.so.0": "libxcb-xfixes0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libzstd.so.1": "libzstd1",
}


def say(message: str) -> None:
    """One line to the person, on standard error: standard output belongs to the program that is started."""
    print(f"nightleg: {message}", file=sys.stderr, flush=True)


def missing_packages() -> list[str]:
    """Debian packages of those of Qt's system libraries that this machine cannot load; none where it is not Linux."""
    if not sys.platform.startswith("linux"):
        return []
    return sorted({package for library, package in QT_LIBRARIES.items() if not _loads(library)})


def provide_qt_libraries() -> bool:
    """Install what is missing when that is possible, else say in one line what to install. True when all are there."""
    missing = missing_packages()
    if not missing or install(missing):
        return True
    say(f"to draw, Qt needs system libraries that are not here; install them: apt-get install {' '.join(missing)}")
    return False


def install(packages: list[str]) -> bool:
    """Install Debian packages, saying so. False without root rights or apt-get, or when that fails."""
    apt = shutil.which("apt-get")
    if apt is None or not hasattr(os, "geteuid") or os.geteuid() != 0:
        return False
    say(f"installing the Debian packages {' '.join(packages)}")
    call = [apt, "-qq", "-o", "Dpkg::Use-Pty=0", "-o", "DPkg::Lock::Timeout=120"]
    wanted = [*call, "install", "--yes", "--no-install-recommends", *packages]
    # A bare machine has no package lists yet: a first try that fails for want of them need not be heard.
    if _quietly(wanted, subprocess.DEVNULL):
        return True
    _quietly([*call, "update"], sys.stderr)
    return _quietly(wanted, sys.stderr)


def _quietly(call: list[str], errors: TextIO | int) -> bool:
    environment = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
    nothing = subprocess.DEVNULL
    return (
        subprocess.run(call, env=environment, check=False, stdin=nothing, stdout=nothing, stderr=errors).returncode == 0
    )


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True
