"""Where the program keeps what is the user's but no flight: settings, and recovery copies. No Qt here."""

from __future__ import annotations

import os
from pathlib import Path

from nightleg.cache import VARIABLE

__all__ = ["VARIABLE", "recovery_folder", "settings_folder"]


def settings_folder() -> Path:
    """The folder of the settings; it may not be there yet."""
    return _folder("settings")


def recovery_folder() -> Path:
    """The folder of the recovery copies; it may not be there yet."""
    return _folder("recovery")


def _folder(what: str) -> Path:
    named = os.environ.get(VARIABLE, "")
    if named:
        return Path(named) / what
    from platformdirs import user_config_dir, user_state_dir  # only a window pays for it

    if what == "settings":
        return Path(user_config_dir("nightleg", appauthor=False))
    return Path(user_state_dir("nightleg", appauthor=False)) / what
