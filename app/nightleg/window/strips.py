"""Strips above the chart: something to know and what can be done about it, while the work goes on below."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from nightleg.window.parts import wrapped

Choice = tuple[str, Callable[[], object]]


class Strip(QFrame):
    """A sentence or two and a button for each choice. Escape takes the last choice, which changes nothing."""

    def __init__(self, name: str, text: str, *choices: Choice) -> None:
        super().__init__()
        self.setObjectName("strip")
        self.setAccessibleName(name)
        self.words = wrapped()
        self.words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.buttons: list[QPushButton] = []
        row = QHBoxLayout(self)
        row.setContentsMargins(16, 7, 14, 7)
        row.setSpacing(8)
        row.addWidget(self.words, 1)
        for word, does in choices:
            button = QPushButton(word)
            button.setAutoDefault(True)  # Enter presses it
            button.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
            button.clicked.connect(lambda _=False, does=does: does())
            row.addWidget(button, 0, Qt.AlignmentFlag.AlignVCenter)
            self.buttons.append(button)
        self.say(text)

    def say(self, text: str) -> None:
        """Say something else."""
        self.words.setText(text)
        self.setAccessibleDescription(text)
        for button in self.buttons:
            button.setAccessibleDescription(text)

    def holds_focus(self) -> bool:
        """Whether one of the buttons has the cursor."""
        return any(button.hasFocus() for button in self.buttons)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape leaves all as it is; Enter presses the button that has the cursor."""
        focused = [button for button in self.buttons if button.hasFocus()]
        if event.key() == Qt.Key.Key_Escape and self.buttons:
            self.buttons[-1].click()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and focused:
            focused[0].click()
        else:
            super().keyPressEvent(event)


class Strips(QWidget):
    """The strips there are, each under a name of its own; one of the same name takes the place of the other."""

    def __init__(self) -> None:
        super().__init__()
        self.shown: dict[str, Strip] = {}
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)
        self.hide()

    def put(self, key: str, strip: Strip) -> Strip:
        """Show a strip."""
        self.take(key)
        self.shown[key] = strip
        self._column.addWidget(strip)
        self.show()
        return strip

    def take(self, key: str) -> None:
        """Take a strip away."""
        strip = self.shown.pop(key, None)
        if strip is not None:
            had_focus = strip.holds_focus()
            strip.hide()
            self._column.removeWidget(strip)
            strip.setParent(None)
            strip.deleteLater()
            if had_focus and (parent := self.parentWidget()) is not None:
                parent.setFocus(Qt.FocusReason.OtherFocusReason)
        self.setVisible(bool(self.shown))

    def go(self) -> bool:
        """Put the cursor on the first button of the first strip, or of the one after that which has it."""
        strips = [strip for strip in self.shown.values() if strip.buttons]
        if not strips:
            return False
        at = next((number for number, strip in enumerate(strips) if strip.holds_focus()), -1)
        strips[(at + 1) % len(strips)].buttons[0].setFocus(Qt.FocusReason.ShortcutFocusReason)
        return True
