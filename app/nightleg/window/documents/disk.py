"""Noticing that the flight's file was changed by somebody else, while it is open and before it is saved over."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Literal

from PySide6.QtCore import QEvent, QFileSystemWatcher, QObject, QTimer, Signal

from nightleg.flight.document import Document, changed_on_disk

State = Literal["same", "changed", "gone"]
_SETTLING_MS = 150  # editors write a file in several steps


class DiskWatch(QObject):
    """Watches the file of the document and the folder that it is in, where a replaced file shows."""

    noticed = Signal()
    """The file is not any more what it was when last noticed."""

    def __init__(self, document: Callable[[], Document], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._path: Path | None = None
        self._last: tuple[State, bytes | None] = ("same", None)
        self._watcher = QFileSystemWatcher(self)
        self._settling = QTimer(self)
        self._settling.setSingleShot(True)
        self._settling.setInterval(_SETTLING_MS)
        self._settling.timeout.connect(self.look)
        self._watcher.fileChanged.connect(self._later)
        self._watcher.directoryChanged.connect(self._later)

    def follow(self) -> None:
        """Watch the file that the document belongs to now, and take it as it is."""
        path = self._document().path
        if path is None or path != self._path:
            self._forget()
        self._path = path
        self._last = ("same", None)
        self._rewatch()

    def stop(self) -> None:
        """Watch nothing any more."""
        self._settling.stop()
        self._forget()
        self._path = None

    def look(self) -> None:
        """See what the file holds now."""
        if self._path is None:
            return
        self._rewatch()
        state = disk_state(self._document())
        held = _contents(self._path) if state == "changed" else None
        if (state, held) != self._last:
            self._last = (state, held)
            self.noticed.emit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Look when the window comes to the front: not every file system tells of changes."""
        if event.type() == QEvent.Type.WindowActivate and self._path is not None:
            self._later()
        return super().eventFilter(watched, event)

    def _later(self, *_: object) -> None:
        self._settling.start()

    def _forget(self) -> None:
        watched = [*self._watcher.files(), *self._watcher.directories()]
        if watched:
            self._watcher.removePaths(watched)

    def _rewatch(self) -> None:
        """A file that was replaced is another one to the system."""
        if self._path is None:
            return
        path = self._path.absolute()
        if str(path) in self._watcher.files():
            self._watcher.removePath(str(path))
        for one in (path, path.parent):
            if one.exists() and str(one) not in (*self._watcher.files(), *self._watcher.directories()):
                self._watcher.addPath(str(one))


def disk_state(document: Document) -> State:
    """What has become of the file since it was read or saved."""
    if document.path is None or document.on_disk is None:
        return "same"
    if not document.path.exists():
        return "gone"
    return "changed" if changed_on_disk(document) else "same"


def beside(path: Path) -> Path:
    """A name beside a flight file that no file has yet: `night (2).flight.toml`."""
    name = path.name
    ending = next((end for end in (".flight.toml", ".toml") if name.lower().endswith(end)), "")
    stem = name[: len(name) - len(ending)]
    number = 2
    while (found := path.with_name(f"{stem} ({number}){name[len(stem) :]}")).exists():
        number += 1
    return found


def _contents(path: Path) -> bytes | None:
    try:
        with open(path, "rb") as file:
            return file.read(10_000_000)
    except OSError:
        return None
