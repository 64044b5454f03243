"""Small parts that the panels are made of."""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import QEvent, QPointF, QSize, Qt
from PySide6.QtGui import QColor, QKeyEvent, QKeySequence, QPainter, QPaintEvent, QPolygonF, QResizeEvent
from PySide6.QtWidgets import QComboBox, QFrame, QGridLayout, QLabel, QLineEdit, QSizePolicy, QVBoxLayout, QWidget

from nightleg.window.explain.number import Asked, Number
from nightleg.window.look import grown, inks


def label(text: str = "", kind: str = "plain", parent: QWidget | None = None) -> QLabel:
    """A label of one of the kinds in the style sheet; its text is plain text."""
    made = QLabel(text, parent)
    made.setTextFormat(Qt.TextFormat.PlainText)
    made.setProperty("kind", kind)
    return made


def rekind(of: QLabel, kind: str) -> None:
    """Give a label another kind."""
    if of.property("kind") != kind:
        of.setProperty("kind", kind)
        of.style().unpolish(of)
        of.style().polish(of)


def wrapped(kind: str = "plain") -> QLabel:
    """A label that breaks its lines, and takes no more height than they need at its width."""
    made = WrappedLabel()
    made.setTextFormat(Qt.TextFormat.PlainText)
    made.setProperty("kind", kind)
    made.setWordWrap(True)
    made.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
    return made


def rule() -> QFrame:
    """A thin line between parts of a panel."""
    made = QFrame()
    made.setObjectName("rule")
    made.setFixedHeight(1)
    return made


def captioned(caption: str, field: QWidget) -> QWidget:
    """A field under its name; a mnemonic in the name goes to the field."""
    holder = QWidget()
    column = QVBoxLayout(holder)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(3)
    name = QLabel(caption)
    name.setProperty("kind", "caption")
    name.setBuddy(field)
    column.addWidget(name)
    column.addWidget(field)
    return holder


def spoken_label(text: str, field: QWidget, parent: QWidget) -> QLabel:
    """A label that is heard and not seen, for a box without a caption: there a box says its value in place of its name.

    Field and label must share their parent.
    """
    name = QLabel(text, parent)
    name.setBuddy(field)
    name.hide()
    return name


class WrappedLabel(QLabel):
    """Lines of text. A plain label asks for the height of its text at a width of its own choice."""

    def sizeHint(self) -> QSize:
        """The height at the width it has."""
        width = self.width()
        return QSize(width, self.heightForWidth(width)) if width > 100 else super().sizeHint()

    def minimumSizeHint(self) -> QSize:
        """As high, and narrower."""
        return QSize(40, self.sizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Another width may need another height."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.updateGeometry()


class ElidedLabel(QLabel):
    """One line of text, cut with an ellipsis where there is no room; the whole text is then its tool tip."""

    def __init__(self, text: str = "", kind: str = "plain", *, fixed: bool = False) -> None:
        """`fixed`: it takes no more room than its text."""
        super().__init__()
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setProperty("kind", kind)
        wide = QSizePolicy.Policy.Maximum if fixed else QSizePolicy.Policy.Expanding
        self.setSizePolicy(wide, QSizePolicy.Policy.Fixed)
        self._whole = ""
        self.set_text(text)

    @property
    def whole(self) -> str:
        """The text, not cut."""
        return self._whole

    def set_text(self, text: str) -> None:
        """Show another text."""
        if text != self._whole:
            self._whole = text
            self.setAccessibleName(text)
            self._elide()

    def minimumSizeHint(self) -> QSize:
        """It can be cut down to nothing."""
        return QSize(0, super().minimumSizeHint().height())

    def sizeHint(self) -> QSize:
        """The room the whole text takes."""
        return QSize(self.fontMetrics().horizontalAdvance(self._whole) + 2, super().sizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Cut anew."""
        super().resizeEvent(event)
        self._elide()

    def _elide(self) -> None:
        shown = self.fontMetrics().elidedText(self._whole, Qt.TextElideMode.ElideRight, max(self.width(), 1))
        self.setText(shown)
        self.setToolTip(self._whole if shown != self._whole else "")


class Row(NamedTuple):
    """A line of a panel: its name, a quieter detail after it, its value."""

    name: str
    value: str
    detail: str = ""
    strong: bool = False
    step: str = ""  # of the working, where the value can be asked about


class Rows(QWidget):
    """Names on the left, figures on the right; or several `across`, each figure after its name.

    Labels are kept and filled anew: that is quick at every keystroke.
    """

    def __init__(self, name: str, asked: Asked = lambda of, step: None, across: int = 1) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self._asked, self._across = asked, across
        self._group: list[Number] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(0)
        for block in range(across):
            self._grid.setColumnStretch(3 * block + (1 if across == 1 else 2), 1)
        self._labels: list[tuple[QLabel, ElidedLabel, Number]] = []
        self._rows: tuple[Row, ...] = ()

    @property
    def rows(self) -> tuple[Row, ...]:
        """What is shown."""
        return self._rows

    def show_rows(self, rows: list[Row], of: str = "") -> None:
        """Show these; `of` is whose they are."""
        self._rows = tuple(rows)
        while len(self._labels) < len(rows):
            self._add()
        for i, (name, detail, value) in enumerate(self._labels):
            for part in (name, detail, value):
                part.setVisible(i < len(rows))
            if i < len(rows):
                row = rows[i]
                rekind(name, "row strong" if row.strong else "caption")
                rekind(value, "row strong" if row.strong else "row")
                name.setText(row.name)
                detail.set_text(row.detail)
                value.setText(row.value)
                value.setAccessibleName(f"{row.name}: {row.value}")
                value.ask(of if row.step else "", row.step)

    def _add(self) -> None:
        name, detail, value = label(), ElidedLabel(kind="caption"), Number(self._asked, "row", self._group)
        line, block = divmod(len(self._labels), self._across)
        alone = self._across == 1
        side = Qt.AlignmentFlag.AlignRight if alone else Qt.AlignmentFlag.AlignLeft
        value.setAlignment(side | Qt.AlignmentFlag.AlignVCenter)
        for column, part in enumerate((name, detail, value) if alone else (name, value, detail)):
            self._grid.addWidget(part, line, 3 * block + column)
        self._labels.append((name, detail, value))


class Choice(QComboBox):
    """One of a few; the mark at its right end says that there are others."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)

    def keep_narrow(self, letters: int) -> None:
        """As wide as so many letters, whatever is in it; its list and its tool tip show the whole of a long name."""
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(letters)
        self.currentTextChanged.connect(self.setToolTip)

    def showPopup(self) -> None:
        """The list, as wide as its longest text, however narrow the box is."""
        width = self.fontMetrics().horizontalAdvance
        longest = max((width(self.itemText(row)) for row in range(self.count())), default=0)
        self.view().setMinimumWidth(longest + 24)
        super().showPopup()

    def paintEvent(self, event: QPaintEvent) -> None:
        """The style sheet's box, and the mark."""
        super().paintEvent(event)
        paint_mark(self)


def paint_mark(of: QWidget) -> None:
    """The mark at the right end of a field that says it has a list."""
    painter = QPainter(of)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    worn = inks(of)
    painter.setBrush(QColor(worn.ink if of.isEnabled() else worn.muted))
    x, y, k = of.width() - 14.0, of.height() / 2.0, min(grown(of), 2.0)
    corners = [QPointF(x - 4.0 * k, y - 2.0 * k), QPointF(x + 4.0 * k, y - 2.0 * k), QPointF(x, y + 3.0 * k)]
    painter.drawPolygon(QPolygonF(corners))
    painter.end()


class Entry(QLineEdit):
    """A field. Undo and redo go to the flight when the field itself has nothing to take back."""

    def __init__(self, name: str, width_chars: int, *, figure: bool = False) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.about = ""
        self.setProperty("figure", figure)
        self.setProperty("wrong", False)
        self._width_chars, self.spare_px = width_chars, -1
        """Room for so many figures; with `spare_px`, and so much more at most."""
        self._hold()

    def changeEvent(self, event: QEvent) -> None:
        """Type of another size takes another width."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._hold()

    def _hold(self) -> None:
        least = self.fontMetrics().horizontalAdvance("0") * self._width_chars + 22
        if least != self.minimumWidth():
            self.setMinimumWidth(least)
        if self.spare_px >= 0 and least + self.spare_px != self.maximumWidth():
            self.setMaximumWidth(least + self.spare_px)

    def describe(self, about: str) -> None:
        """Say what belongs into the field, for those who hear it, while nothing is wrong with what is in it."""
        if not self.property("wrong"):
            self.setAccessibleDescription(about)
        self.about = about

    def set_wrong(self, wrong: bool, message: str) -> None:
        """Mark the field, and say in words what is wrong with it."""
        self.setAccessibleDescription(message or self.about)
        self.setToolTip(message)
        if self.property("wrong") != wrong:
            self.setProperty("wrong", wrong)
            self.style().unpolish(self)
            self.style().polish(self)

    def event(self, event: QEvent) -> bool:
        """Leave undo and redo to the window where the field has none of its own."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            undo = event.matches(QKeySequence.StandardKey.Undo) and not self.isUndoAvailable()
            redo = event.matches(QKeySequence.StandardKey.Redo) and not self.isRedoAvailable()
            if undo or redo:
                event.ignore()
                return False
        return super().event(event)
