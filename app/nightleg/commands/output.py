"""Writing a result to the file a call names, every fault in words."""

from __future__ import annotations

import os

from nightleg.commands.terminal import InputError, plain
from nightleg.safefile import write_atomically


def write_whole(target: str, content: bytes) -> None:
    """Replace `target` by `content`, whole or not at all. Raises InputError that names the target and says why."""
    try:
        write_atomically(target, content)
    except OSError as error:
        raise InputError(f"{plain(target)}: cannot be written: {_reason(target, error)}") from None


def _reason(target: str, error: OSError) -> str:
    folder = os.path.dirname(target)
    if isinstance(error, FileNotFoundError) and folder and not os.path.isdir(folder):
        return f"there is no folder {plain(folder)}"
    if isinstance(error, FileNotFoundError):
        return f"no file can be made in {plain(folder) or 'this folder'}"
    if isinstance(error, IsADirectoryError):
        return "a folder stands there; name a file"
    return error.strerror or str(error)
