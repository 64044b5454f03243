"""A figure that explains itself: a click on it, or Enter while it has the focus, asks how it came about."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QLabel, QWidget

Asked = Callable[[str, str], object]
"""Takes whose the number is (id of a sight or fix, "dr", …) and the step of the working that gives it."""

_BACK = (Qt.Key.Key_Left, Qt.Key.Key_Up)
_ON = (Qt.Key.Key_Right, Qt.Key.Key_Down)
_ASK = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)


class Number(QLabel):
    """A label whose number can be asked about, once it is told whose it is.

    Numbers that share a `group` are one stop of the Tab key; the arrow keys go from one to the next.
    """

    def __init__(self, asked: Asked, kind: str = "plain", group: list[Number] | None = None) -> None:
        super().__init__()
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setProperty("kind", kind)
        self.setProperty("number", True)
        self.setIndent(0)  # the frame of the style sheet would bring one
        self._asked, self._question = asked, ("", "")
        self._group = group if group is not None else []
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus if self._group else Qt.FocusPolicy.TabFocus)
        self._group.append(self)
        self.setAccessibleDescription("Enter shows how it came about")

    def ask(self, of: str, step: str) -> None:
        """What the number is: whose, and which step of the working gives it. An empty `of`: nothing to ask."""
        if (of, step) != self._question:
            self._question = (of, step)
            self.setCursor(Qt.CursorShape.PointingHandCursor if of else Qt.CursorShape.ArrowCursor)

    def asks(self) -> tuple[str, str] | None:
        """The question that the number stands for, if there is one."""
        return self._question if self._question[0] else None

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click asks; what is being typed keeps the cursor."""
        inside = self.rect().contains(event.position().toPoint())
        if event.button() == Qt.MouseButton.LeftButton and inside and self.asks():
            self._asked(*self._question)
            event.accept()
        else:
            super().mouseReleaseEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Taken, so that the release comes here."""
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter asks, arrows go to the neighbours."""
        key = Qt.Key(event.key())
        if key in _ASK and self.asks():
            self._asked(*self._question)
        elif key in _BACK or key in _ON:
            shown = [one for one in self._group if one.isVisibleTo(self.window())]
            place = shown.index(self) + (1 if key in _ON else -1) if self in shown else -1
            if 0 <= place < len(shown):
                shown[place].setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        """Enter belongs to the number while it has the focus."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent) and event.key() in _ASK:
            event.accept()
            return True
        return super().event(event)


def question_at(widget: QWidget | None) -> tuple[str, str] | None:
    """What is asked about where a widget stands: the first answer of it and those that hold it."""
    while widget is not None:
        asks = getattr(widget, "asks", None)
        if callable(asks):
            found = asks()
            if found:
                of, step = found
                return str(of), str(step)
        widget = widget.parentWidget()
    return None
