"""Recovery copies: what is not saved, written aside while the work goes on, and found again after a crash.

A copy belongs to one window and is named after it; a lock beside it says that its window still runs. Nothing here ever
writes to a flight file.
"""

from __future__ import annotations

import contextlib
import os
import secrets
from datetime import datetime
from pathlib import Path

import msgspec
from PySide6.QtCore import QLockFile

from nightleg.safefile import write_atomically
from nightleg.window.sight.draft import Draft

FORMAT = "nightleg-recovery-1"
SUFFIX = ".recovery.json"
_LONGEST = 50_000_000  # bytes


class Copy(msgspec.Struct, frozen=True, kw_only=True):
    """What a window held: the flight as text, the file it belongs to and what that file held, the sight being typed."""

    format: str = FORMAT
    saved: datetime
    title: str
    text: str
    draft: Draft
    path: str | None = None
    on_disk: str | None = None
    changed: bool = True  # the flight itself, not only the sight
    refused: tuple[str, ...] = ()  # what stood in fields and could not be used


class Found(msgspec.Struct, frozen=True):
    """A copy that a window left, and where it lies."""

    file: Path
    copy: Copy


class RecoveryFolder:
    """The copies in a folder, and the one that is ours."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.file = folder / f"{os.getpid()}-{secrets.token_hex(4)}{SUFFIX}"
        self._lock: QLockFile | None = None

    def write(self, copy: Copy) -> None:
        """Write our copy, whole or not at all. Raises OSError."""
        data = msgspec.json.encode(copy)
        self.folder.mkdir(parents=True, exist_ok=True)
        if self._lock is None:
            lock = QLockFile(str(lock_of(self.file)))
            lock.setStaleLockTime(0)  # only the end of its process makes it void
            if not lock.tryLock(0):
                raise OSError(f"no lock can be set in {self.folder}")
            self._lock = lock
        write_atomically(self.file, data)

    def drop(self) -> None:
        """Our copy is not needed any more."""
        remove(self.file)

    def close(self, *, keep: bool = False) -> None:
        """Let go of our copy: it is deleted, or kept for the next start."""
        if not keep:
            self.drop()
        if self._lock is not None:
            self._lock.unlock()
            self._lock = None

    def left(self) -> list[Found]:
        """Copies of windows that are not there any more, newest first. What cannot be read is passed over."""
        found = []
        try:
            files = sorted(self.folder.glob(f"*{SUFFIX}"))
        except OSError:
            return []
        for file in files:
            if file == self.file or _in_use(file):
                continue
            copy = read(file)
            if copy is None:
                with contextlib.suppress(OSError):
                    file.replace(file.with_name(file.name.removesuffix(SUFFIX) + ".unreadable"))
                continue
            found.append(Found(file, copy))
        return sorted(found, key=lambda one: one.copy.saved, reverse=True)


def read(file: Path) -> Copy | None:
    """The copy in a file; None where there is none that can be read."""
    try:
        with open(file, "rb") as opened:
            data = opened.read(_LONGEST)
        copy = msgspec.json.decode(data, type=Copy)
    except (OSError, ValueError, RecursionError):
        return None
    return copy if copy.format == FORMAT and copy.saved.tzinfo is not None else None


def remove(file: Path) -> None:
    """Delete a copy."""
    with contextlib.suppress(OSError):
        file.unlink()


def lock_of(file: Path) -> Path:
    """The lock of a copy."""
    return file.with_name(file.name.removesuffix(SUFFIX) + ".lock")


def _in_use(file: Path) -> bool:
    """Whether the window that wrote a copy still runs. A lock that a crash left is taken away."""
    lock = QLockFile(str(lock_of(file)))
    lock.setStaleLockTime(0)
    if not lock.tryLock(0):
        return lock.error() == QLockFile.LockError.LockFailedError  # where no lock can be set, none can tell
    lock.unlock()
    return False
