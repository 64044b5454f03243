"""What a window looked like when it was closed, brought back at the next start."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRect
from PySide6.QtGui import QGuiApplication

from nightleg.window.documents.settings import Keeper

if TYPE_CHECKING:
    from nightleg.window.main import MainWindow

_SEEN_PX = 80  # of a window that must lie on a screen, for a hand to get hold of it


def restore(window: MainWindow, keeper: Keeper) -> None:
    """Theme, place, what is folded, projector: as the settings have them."""
    held = keeper.values
    if window.theme_name != held.theme:  # to dress every widget anew takes a tenth of a start
        window.set_theme(held.theme)
    if held.geometry is not None and (place := on_screen(QRect(*held.geometry))) is not None:
        window.setGeometry(place)
    if held.maximized:
        window.showMaximized()
    window.side.setVisible(not held.forms_folded)
    window.pane.setVisible(not held.log_folded)
    window.projector.switch(held.projector)


def remember(window: MainWindow, keeper: Keeper) -> None:
    """Put all that into the settings. One that cannot be written is no reason not to close."""
    place = window.normalGeometry() if window.isMaximized() or window.isFullScreen() else window.geometry()
    folded = window.projector.folded_before()
    keeper.change(
        theme=window.theme_name,
        geometry=(place.x(), place.y(), place.width(), place.height()),
        maximized=window.isMaximized(),
        forms_folded=window.side.isHidden() and window.side not in folded,
        log_folded=window.pane.isHidden() and window.pane not in folded,
        projector=window.projector.on,
    )


def on_screen(place: QRect) -> QRect | None:
    """The place, cut to the screen that holds most of it; None where none holds enough: it may be gone."""
    best: QRect | None = None
    most = 0
    for screen in QGuiApplication.screens():
        room = screen.availableGeometry()
        common = room.intersected(place)
        if common.width() >= _SEEN_PX and common.height() >= _SEEN_PX and common.width() * common.height() > most:
            most = common.width() * common.height()
            best = QRect(place.topLeft(), place.size().boundedTo(room.size()))
            best.moveLeft(min(max(best.left(), room.left()), room.right() + 1 - best.width()))
            best.moveTop(min(max(best.top(), room.top()), room.bottom() + 1 - best.height()))
    return best
