"""The small chooser above the form: what kind of entry is typed."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize
from PySide6.QtWidgets import QLabel, QSizePolicy

from nightleg.window.other.entry import choose_kind
from nightleg.window.other.kinds import KINDS, SIGHT, SIGHT_TITLE
from nightleg.window.parts import Choice
from nightleg.window.session import Session


class KindChoice(Choice):
    """It stands where the form's title does, as wide as the name of the kind in hand."""

    def __init__(self, session: Session) -> None:
        super().__init__("Kind of entry")
        self._session = session
        self._name = QLabel("Kind of entry")  # never seen: some screen readers take a list's name from its label
        self._name.setBuddy(self)
        self._name.hide()
        self.setProperty("kind", "title")
        self.setToolTip("What is typed here (Ctrl+F2): a sight, a line of another kind, a known fix, a reading")
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.addItem(SIGHT_TITLE, SIGHT)
        for kind in KINDS:
            self.addItem(kind.title, kind.name)
        self.activated.connect(lambda _: choose_kind(session, self.currentData()))
        session.draft_replaced.connect(self.show_kind)
        self.show_kind()

    def event(self, event: QEvent) -> bool:
        """The label is to be found beside it."""
        if event.type() == QEvent.Type.ParentChange:
            self._name.setParent(self.parentWidget())
        return super().event(event)

    def show_kind(self) -> None:
        """The kind in hand."""
        number = self.findData(self._session.draft.other.kind)
        if number != self.currentIndex():
            self.setCurrentIndex(number)
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        """Room for the name and the mark."""
        size = super().sizeHint()
        return QSize(self.fontMetrics().horizontalAdvance(self.currentText()) + 34, size.height())

    def minimumSizeHint(self) -> QSize:
        """The same."""
        return self.sizeHint()

    def showPopup(self) -> None:
        """The list is as wide as its longest name."""
        widest = max(self.fontMetrics().horizontalAdvance(self.itemText(i)) for i in range(self.count()))
        self.view().setMinimumWidth(widest + 34)
        super().showPopup()
