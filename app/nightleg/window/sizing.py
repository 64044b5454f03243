"""How much room the window takes: on its screen at first, for its forms, at the type size that is chosen."""

from __future__ import annotations

from typing import TYPE_CHECKING, get_args

from PySide6.QtCore import QCoreApplication, QEvent, QObject, QSize
from PySide6.QtGui import QGuiApplication

from nightleg.window.documents.settings import TypeSize
from nightleg.window.explain.sheet import WIDTH_PX
from nightleg.window.fontscale import PROJECTOR

if TYPE_CHECKING:
    from nightleg.window.main import MainWindow

TYPE_SIZES: tuple[TypeSize, ...] = get_args(TypeSize)
SIDE_PX = 404
_FIRST = QSize(1360, 768)
_FRAME = QSize(8, 40)  # what a desktop puts about a window: not to be asked for before it is shown
_MOST_SIDE = 0.55  # of the window's width: the rest belongs to the chart, and what is wider is scrolled
_LEAST_SIDE_PX = 300


def first_size() -> QSize:
    """The size of a window that has none from before: as it is meant, or what its screen has room for."""
    screen = QGuiApplication.primaryScreen()
    return _FIRST if screen is None else _FIRST.boundedTo(screen.availableGeometry().size() - _FRAME)


def settle() -> None:
    """Let every part take its place at once, before the next frame: a form that waits for its turn is painted squeezed.

    Each part asks the one about it only when its own turn comes, and a frame may come between.
    """
    QCoreApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest)


class Sizing(QObject):
    """The scale of type and lines, and the widths that go with it."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        window.installEventFilter(self)
        window.session.typed_changed.connect(settle)

    @property
    def scale(self) -> float:
        """How many times larger than usual type and lines are: as the system asks, as chosen, before a projector."""
        window = self._window
        chosen = window.keeper.values.type_size / 100.0
        return window.system_scale * chosen * (PROJECTOR if window.projector.on else 1.0)

    def choose(self, percent: TypeSize) -> None:
        """Type of another size, at once and from now on; a fault of the settings is told."""
        window = self._window
        if percent == window.keeper.values.type_size:
            return
        kept = window.keeper.change(type_size=percent)
        window.set_theme(window.theme_name)
        if not kept:
            window.documents.say(window.keeper.fault)

    def fit(self) -> None:
        """The forms are as wide as their type asks, as far as the chart keeps its share of the window."""
        window = self._window
        most = max(round(_MOST_SIDE * window.width()), _LEAST_SIDE_PX)
        for part, px in ((window.side, SIDE_PX), (window.sheet, WIDTH_PX)):
            width = min(round(px * self.scale), most if part is window.side else max(px, most // 2))
            if part.minimumWidth() != width or part.maximumWidth() != width:
                part.setFixedWidth(width)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The window has another size."""
        if event.type() == QEvent.Type.Resize and watched is self._window:
            self.fit()
        return False
