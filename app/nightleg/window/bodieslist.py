"""The body field: a search as one types, with where each body stands; those that are up come first."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QCompleter, QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from nightleg.chart.themes import THEMES
from nightleg.window.bodies import Standing, altitude, brightness, fitting, spoken, stands
from nightleg.window.look import inks, look
from nightleg.window.parts import Entry, paint_mark

Index = QModelIndex | QPersistentModelIndex

_NONE = QModelIndex()
_ROWS = 11
_MARK_PX = 24
_PAD_PX = 9
_GAP_PX = 12
STANDING = Qt.ItemDataRole.UserRole


class BodyModel(QAbstractListModel):
    """Bodies that fit what is typed."""

    def __init__(self) -> None:
        super().__init__()
        self.bodies: list[Standing] = []

    def show_bodies(self, bodies: list[Standing]) -> None:
        """Another list."""
        self.beginResetModel()
        self.bodies = bodies
        self.endResetModel()

    def rowCount(self, parent: Index = _NONE) -> int:
        """Bodies."""
        return 0 if parent.isValid() else len(self.bodies)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """The name, and where it stands."""
        body = self.bodies[index.row()]
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.EditRole):
            return body.name
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return spoken(body)
        return body if role == STANDING else None


class BodyRow(QStyledItemDelegate):
    """A row of the list: name, altitude and azimuth, magnitude; in the inks of the field's window."""

    worn = look(THEMES["paper"])

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """One line."""
        height = option.fontMetrics.height() + 7
        return QSize(columns(option)[-1] + 2 * _PAD_PX, height)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Those that are down are grey and say so."""
        body: Standing = index.data(STANDING)
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        of = self.worn
        painter.save()
        painter.fillRect(option.rect, QColor(of.line if chosen else of.field))
        quiet = QColor(of.field if chosen else of.muted)
        ink = QColor(of.field if chosen else of.ink)
        painter.setFont(option.font)
        place = option.rect.adjusted(_PAD_PX, 0, -_PAD_PX, 0)
        centre = Qt.AlignmentFlag.AlignVCenter
        painter.setPen(ink if body.up else quiet)
        painter.drawText(place, centre | Qt.AlignmentFlag.AlignLeft, body.name)
        at, end, _ = columns(option)
        if body.up:
            figures = place.adjusted(at, 0, 0, 0)
            figures.setWidth(option.fontMetrics.horizontalAdvance("89°"))
            painter.drawText(figures, centre | Qt.AlignmentFlag.AlignRight, altitude(body))
            at += figures.width() + _GAP_PX
        painter.drawText(place.adjusted(at, 0, 0, 0), centre | Qt.AlignmentFlag.AlignLeft, stands(body))
        painter.setPen(quiet)
        if body.up:
            painter.drawText(place.adjusted(end, 0, 0, 0), centre | Qt.AlignmentFlag.AlignRight, brightness(body))
        painter.restore()


def columns(option: QStyleOptionViewItem) -> tuple[int, int, int]:
    """Where altitude and azimuth begin, where they end, and the width of all."""
    width = option.fontMetrics.horizontalAdvance
    at = width("Zubenelgenubi") + 18
    end = at + width("89°") + _GAP_PX + width("Zn 000°") + 14
    return at, end, end + width("mag −4.4")


class BodyField(Entry):
    """The name of a body. Down, or a click on the mark, opens the list; `bodies` gives where they stand now."""

    picked = Signal()
    """Enter was pressed in the open list."""

    def __init__(self, bodies: Callable[[], tuple[Standing, ...]], width_chars: int) -> None:
        super().__init__("Body", width_chars)
        self._bodies = bodies
        self.model = BodyModel()
        self.model.setParent(self)
        self.list = QListView()
        self.list.setAccessibleName("Bodies, those that are up first")
        made = QCompleter(self.model, self)
        made.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        made.setCompletionMode(QCompleter.CompletionMode.UnfilteredPopupCompletion)
        made.setMaxVisibleItems(_ROWS)
        made.setPopup(self.list)
        self._row = BodyRow(self.list)
        self.list.setItemDelegate(self._row)  # a completer sets one of its own
        self.setCompleter(made)
        self.setTextMargins(0, 0, _MARK_PX - 8, 0)
        self.textEdited.connect(self.refill)

    def refill(self) -> None:
        """Take the bodies that fit the text, as they stand now."""
        self.model.show_bodies(fitting(self._bodies(), self.text()))
        self._dress()

    def open_list(self) -> None:
        """Show all bodies; what is typed is chosen among them."""
        self.model.show_bodies(list(self._bodies()))
        self._dress()
        completer = self.completer()
        completer.setCompletionPrefix(self.text())
        completer.complete()
        names = [body.name for body in self.model.bodies]
        if self.text() in names:
            self.list.setCurrentIndex(self.list.model().index(names.index(self.text()), 0))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Down opens the list; Enter in the open list picks a body and does nothing else."""
        if event.key() == Qt.Key.Key_Down and not self.list.isVisible():
            self.open_list()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.list.isVisible():
            self._pick()
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A click on the mark opens the list."""
        if event.position().x() >= self.width() - _MARK_PX:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self.open_list()
        else:
            super().mousePressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """The list closes with the field."""
        super().focusOutEvent(event)
        if event.reason() != Qt.FocusReason.PopupFocusReason:
            self.list.hide()

    def paintEvent(self, event: QPaintEvent) -> None:
        """The field, and the mark that says there is a list."""
        super().paintEvent(event)
        paint_mark(self)

    def _pick(self) -> None:
        """Take the body under the list's cursor, else the one that the text means; the list closes."""
        chosen = self.list.currentIndex()
        self.list.hide()
        if chosen.isValid():
            self.setText(str(chosen.data()))
        self.picked.emit()

    def _dress(self) -> None:
        """The list is a window of its own: it takes the style of the field's."""
        sheet = self.window().styleSheet()
        if self.list.styleSheet() != sheet:
            self.list.setStyleSheet(sheet)
        self._row.worn = inks(self)
        option = QStyleOptionViewItem()
        option.initFrom(self.list)
        self.list.setMinimumWidth(columns(option)[-1] + 2 * _PAD_PX + 14)
