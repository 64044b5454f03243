"""A flight file dragged into the window."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEvent, QMimeData, QObject, Qt
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QWidget


class Drops(QObject):
    """Takes files that fall anywhere on a window; `opens` gets the path once the drag has ended."""

    def __init__(self, window: QWidget, opens: Callable[[Path], object]) -> None:
        super().__init__(window)
        self._opens = opens
        for part in window.findChildren(QWidget):  # else a path would be typed into the field that it falls on
            part.setAcceptDrops(False)
        window.setAcceptDrops(True)
        window.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Answer the drag."""
        if isinstance(event, QDragEnterEvent):
            if dropped(event.mimeData()) is not None:
                event.setDropAction(Qt.DropAction.CopyAction)
                event.accept()
            else:
                event.ignore()
            return True
        if isinstance(event, QDropEvent) and event.type() == QEvent.Type.Drop:
            path = dropped(event.mimeData())
            if path is not None:
                event.setDropAction(Qt.DropAction.CopyAction)
                event.accept()
                self._opens(path)
            return True
        return super().eventFilter(watched, event)


def dropped(data: QMimeData) -> Path | None:
    """The file that is dragged; None for several, for none, and for what is not on this machine."""
    urls = data.urls() if data.hasUrls() else []
    return Path(urls[0].toLocalFile()) if len(urls) == 1 and urls[0].isLocalFile() else None
