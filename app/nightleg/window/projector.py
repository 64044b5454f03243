"""Before a projector: larger type, thicker lines, forms folded, and a light about the pointer that all can see."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QCursor, QMouseEvent, QPainter, QPaintEvent, QRadialGradient
from PySide6.QtWidgets import QApplication, QWidget

from nightleg.chart.themes import THEMES

if TYPE_CHECKING:
    from nightleg.window.main import MainWindow

_RADIUS_PX = 46


class Halo(QWidget):
    """A soft disc about the pointer, like light falling on it: no ring, which would look like an ellipse of a fix.

    Mouse and keys go through it.
    """

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAttribute(Qt.WidgetAttribute.WA_NoSystemBackground)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.resize(2 * _RADIUS_PX, 2 * _RADIUS_PX)
        self.colour = QColor(THEMES["paper"].colours["pointer"])
        self.hide()

    def follow(self, at: QPoint) -> None:
        """Stand about a point of the parent."""
        self.move(at - QPoint(_RADIUS_PX, _RADIUS_PX))
        self.show()
        self.raise_()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Full in the middle, gone at the rim."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle, radius = QPointF(self.width() / 2.0, self.height() / 2.0), self.width() / 2.0
        light = QRadialGradient(middle, radius)
        for at, alpha in ((0.0, 150), (0.62, 130), (1.0, 0)):
            part = QColor(self.colour)
            part.setAlpha(alpha)
            light.setColorAt(at, part)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(light)
        painter.drawEllipse(middle, radius, radius)
        painter.end()


class Projector(QObject):
    """The mode, on or off. What is folded for it is unfolded again after it."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self.on = False
        self.halo = Halo(window)
        self._folded: list[QWidget] = []
        self._focused: QWidget | None = None

    def stop(self) -> None:
        """The window is closed: look at no events any more."""
        application = QApplication.instance()
        if application is not None:
            application.removeEventFilter(self)

    def folded_before(self) -> list[QWidget]:
        """What is folded only while the mode is on."""
        return self._folded

    def switch(self, on: bool) -> None:
        """Begin or end it."""
        window = self._window
        if on == self.on:
            return
        self.on = on
        window.menus.projector.setChecked(on)
        application = QApplication.instance()
        if on:
            self._focused = window.focusWidget()
            window.canvas.setFocus()  # what is hidden cannot keep the cursor
            self._folded = [part for part in (window.side, window.pane) if not part.isHidden()]
            for part in self._folded:
                part.hide()
            window.set_theme(window.theme_name)
            if application is not None:
                application.installEventFilter(self)
            self.halo.follow(window.mapFromGlobal(QCursor.pos()))
            return
        if application is not None:
            application.removeEventFilter(self)
        self.halo.hide()
        window.set_theme(window.theme_name)  # before forms of a size for the projector ask for more room than there is
        for part in self._folded:
            part.show()
        self._folded = []
        if self._focused is not None and window.canvas.hasFocus():
            self._focused.setFocus()
        self._focused = None

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the pointer over the window."""
        if isinstance(event, QMouseEvent) and event.type() == QEvent.Type.MouseMove and isinstance(watched, QWidget):
            if watched.window() is self._window:
                self.halo.follow(self._window.mapFromGlobal(event.globalPosition().toPoint()))
        elif event.type() == QEvent.Type.Leave and watched is self._window:
            self.halo.hide()
        return False
