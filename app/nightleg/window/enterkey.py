"""Enter presses the button that has the cursor, as Space does."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QWidget

_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class EnterKey:
    """Knows who had the cursor when the key went down: Enter in a field may have put it on a button since."""

    def __init__(self) -> None:
        self._button: QAbstractButton | None = None

    def goes_down(self, event: QKeyEvent, focused: QWidget | None) -> None:
        """Before the key is handed to who has the cursor."""
        self._button = focused if isinstance(focused, QAbstractButton) and event.key() in _ENTER else None

    def presses(self, event: QKeyEvent, focused: QWidget | None) -> bool:
        """The key had no other use: press the button, if it was on one."""
        button, self._button = self._button, None
        if event.key() not in _ENTER or button is None or button is not focused or event.isAutoRepeat():
            return False
        button.click()
        return True
