"""The user's cache folder, for what can be made anew at any time. Only a process of the program's own uses it."""

from __future__ import annotations

import os
from pathlib import Path

VARIABLE = "NIGHTLEG_HOME"
"""Environment variable that names one folder for all that is the user's, in place of the system's."""

_allowed = False


def allow() -> None:
    """Use the folder from now on: this process is the program itself, not one that uses its parts."""
    global _allowed
    _allowed = True


def folder() -> Path | None:
    """The folder, which may not be there yet; None where it is not to be used."""
    if not _allowed:
        return None
    named = os.environ.get(VARIABLE, "")
    if named:
        return Path(named) / "cache"
    from platformdirs import user_cache_dir  # only who needs the folder pays for it

    return Path(user_cache_dir("nightleg", appauthor=False))
