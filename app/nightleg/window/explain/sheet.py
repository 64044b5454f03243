"""The sheet beside the chart on which a number explains itself; it stays open and follows the solution."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, QUrl, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QPushButton, QTextBrowser, QVBoxLayout, QWidget

from nightleg.flight.working_step import Working
from nightleg.window.explain.ahead import AHEAD
from nightleg.window.explain.explain import DR, Colours, anchor, as_html, as_words, marked, working_of
from nightleg.window.explain.number import Number
from nightleg.window.look import inks
from nightleg.window.parts import ElidedLabel, label
from nightleg.window.session import Session

WIDTH_PX = 344


class ExplainSheet(QWidget):
    """The working of one entry, the step that was asked about marked."""

    closed = Signal()
    """It was closed; who had the cursor before gets it back."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._of, self._step = "", ""
        self._html = ""
        self._back: QWidget | None = None
        self.working: Working | None = None
        self.setObjectName("sheet")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setFixedWidth(WIDTH_PX)
        self.title = ElidedLabel(kind="title")
        self.close_button = QPushButton("Close")
        self.close_button.setToolTip("Esc")
        self.close_button.setAccessibleName("Close the working")
        self.close_button.setProperty("kind", "fold")
        self.text = QTextBrowser()
        self.text.setAccessibleName("Working")
        self.text.setOpenLinks(False)
        self.text.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextBrowserInteraction | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        head = QHBoxLayout()
        head.addWidget(self.title, 1)
        head.addWidget(self.close_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 8, 8, 6)
        column.setSpacing(4)
        column.addWidget(label("How it came about", "caption"))
        column.addLayout(head)
        column.addWidget(self.text, 1)
        self.close_button.clicked.connect(self.leave)
        self.text.anchorClicked.connect(self._follow)
        session.asked.connect(self.show_working)
        session.solved.connect(self.refresh)
        session.moved.connect(self._moved)
        self.hide()

    @property
    def question(self) -> tuple[str, str]:
        """What is shown: whose working, and the step that is marked."""
        return self._of, self._step

    def show_working(self, of: str, step: str) -> None:
        """Open at a number. Asked by keyboard, the sheet takes the cursor, and gives it back when it is closed."""
        asker = QApplication.focusWidget()
        self._of, self._step, self._html = of, step, ""
        self.show()
        self.refresh()
        self._to_mark()
        if isinstance(asker, Number):
            self.take_cursor()

    def take_cursor(self, asker: QWidget | None = None) -> None:
        """Read on by keyboard; who had the cursor (`asker`) gets it back in the end."""
        asker = asker or QApplication.focusWidget()
        if asker is not None and not self.isAncestorOf(asker):
            self._back = asker
        self.text.setFocus(Qt.FocusReason.OtherFocusReason)

    def leave(self) -> None:
        """Close."""
        had_cursor = self.isAncestorOf(QApplication.focusWidget() or self)
        self.hide()
        back, self._back = self._back, None
        if had_cursor and back is not None and back.isVisible():
            back.setFocus(Qt.FocusReason.OtherFocusReason)
        self.closed.emit()

    def refresh(self) -> None:
        """Follow the session's answer, keeping the place."""
        if self.isHidden():
            return
        worked = self._session.worked
        found = working_of(worked.flight, worked.solution, worked.sight, worked.typed_id is not None, self._of)
        if found is None:
            if self.working is not None:
                self.title.set_text(f"{self.working.title}, not in the flight now")
            return
        self.working = found
        number = marked(found, self._step)
        html = as_html(found, number, self._colours(), frozenset(sight.id for sight in worked.solution.sights))
        self.title.set_text(found.title)
        self.text.setAccessibleDescription("" if number is None else as_words(found.steps[number]))
        if html != self._html:
            self._html = html
            place = self.text.verticalScrollBar().value()
            self.text.setHtml(html)
            self.text.verticalScrollBar().setValue(place)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Esc closes."""
        if event.key() == Qt.Key.Key_Escape:
            self.leave()
        else:
            super().keyPressEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        """Other colours."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.StyleChange):
            self.refresh()

    def _moved(self) -> None:
        if self._of in (DR, AHEAD):
            self.refresh()

    def _to_mark(self) -> None:
        number = None if self.working is None else marked(self.working, self._step)
        if number is not None:
            self.text.scrollToAnchor(anchor(number))

    def _follow(self, link: QUrl) -> None:
        self.show_working(link.toString(), "intercept")

    def _colours(self) -> Colours:
        of = inks(self)
        return Colours(of.ink, of.muted, of.edge, of.field, of.line)
