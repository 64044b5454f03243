"""The body field: a search as one types, with where each body stands; those that are up come first."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import (
    QAbstractListModel,
    QCoreApplication,
    QEvent,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QPoint,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from nightleg.chart.themes import THEMES
from nightleg.window.look import inks, look
from nightleg.window.parts import Entry, paint_mark
from nightleg.window.sight.bodies import Standing, altitude, brightness, fitting, spoken, stands

Index = QModelIndex | QPersistentModelIndex

_NONE = QModelIndex()
_ROWS = 11
_MOVES = {
    int(Qt.Key.Key_Down): 1,
    int(Qt.Key.Key_Up): -1,
    int(Qt.Key.Key_PageDown): _ROWS - 1,
    int(Qt.Key.Key_PageUp): 1 - _ROWS,
}
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
    """The name of a body. Down, or a click on the mark, opens the list; `bodies` gives where they stand now.

    The list is a part of the field's own window: a window of its own would take the cursor a moment after it is gone,
    and with it what a fast hand has typed into the next field meanwhile.
    """

    picked = Signal()
    """Enter was pressed in the open list, or a body was clicked."""

    def __init__(self, bodies: Callable[[], tuple[Standing, ...]], width_chars: int) -> None:
        super().__init__("Body", width_chars)
        self._bodies = bodies
        self.model = BodyModel()
        self.model.setParent(self)
        self.list = QListView(self)
        self.list.hide()
        self.list.setObjectName("bodies")
        self.list.setModel(self.model)
        self.list.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.list.setAccessibleName("Bodies, those that are up first")
        self._row = BodyRow(self.list)
        self.list.setItemDelegate(self._row)
        self.list.clicked.connect(self._click)
        self.setTextMargins(0, 0, _MARK_PX - 8, 0)
        self.textEdited.connect(self._search)

    def open_list(self) -> None:
        """Show all bodies; what is typed is chosen among them."""
        self._fill(list(self._bodies()))
        names = [body.name for body in self.model.bodies]
        if self.text() in names:
            self.list.setCurrentIndex(self.model.index(names.index(self.text())))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Down opens the list; in the open list keys move, Enter picks a body and does nothing else."""
        key, is_open = event.key(), self.list.isVisible()
        if key == Qt.Key.Key_Down and not is_open:
            self.open_list()
        elif is_open and key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._pick(self.list.currentIndex())
        elif is_open and key == Qt.Key.Key_Escape:
            self.close_list()
        elif is_open and key in _MOVES:
            self._move(_MOVES[key])
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A click on the mark opens the list, another one closes it."""
        if event.position().x() < self.width() - _MARK_PX:
            super().mousePressEvent(event)
        elif self.list.isVisible():
            self.close_list()
        else:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self.open_list()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """The list closes with the field."""
        super().focusOutEvent(event)
        self.close_list()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """A click beside the open list closes it, and so does whatever moves the field under it."""
        resized = event.type() == QEvent.Type.Resize and watched is self.window()
        if resized or (event.type() == QEvent.Type.MouseButtonPress and self._is_beside(watched)):
            self.close_list()
        return super().eventFilter(watched, event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The field, and the mark that says there is a list."""
        super().paintEvent(event)
        paint_mark(self)

    def close_list(self) -> None:
        """Away with the list."""
        if self.list.isVisible():
            self.list.hide()
            _application().removeEventFilter(self)

    def _is_beside(self, watched: QObject) -> bool:
        return isinstance(watched, QWidget) and watched is not self and not self.list.isAncestorOf(watched)

    def _search(self) -> None:
        """Show the bodies that fit the text, as they stand now."""
        if self.text().strip():
            self._fill(fitting(self._bodies(), self.text()))
        else:
            self.close_list()

    def _fill(self, bodies: list[Standing]) -> None:
        self.model.show_bodies(bodies)
        if not bodies:
            self.close_list()
            return
        self._place()
        if not self.list.isVisible():
            self.list.show()
            _application().installEventFilter(self)
        self.list.raise_()
        self.list.setCurrentIndex(_NONE)
        self.list.scrollToTop()

    def _place(self) -> None:
        """Below the field, in its window, wide enough for a row and as high as there is room."""
        window = self.window()
        if self.list.parentWidget() is not window:
            self.list.setParent(window)
        self._row.worn = inks(self)
        option = QStyleOptionViewItem()
        option.initFrom(self.list)
        row_px = self._row.sizeHint(option, _NONE).height()
        rows = min(len(self.model.bodies), _ROWS)
        at = self.mapTo(window, QPoint(0, self.height()))
        width = max(self.width(), columns(option)[-1] + 2 * _PAD_PX + 18)
        height = min(rows * row_px + 2 * self.list.frameWidth(), window.height() - at.y())
        self.list.setGeometry(max(min(at.x(), window.width() - width), 0), at.y(), width, height)

    def _move(self, rows: int) -> None:
        """Up and down the list; the field shows the body that it comes to."""
        here, last = self.list.currentIndex(), len(self.model.bodies) - 1
        to = min(max(here.row() + rows, 0), last) if here.isValid() else 0 if rows > 0 else last
        index = self.model.index(to)
        self.list.setCurrentIndex(index)
        self.setText(str(index.data()))

    def _click(self, index: QModelIndex) -> None:
        self._pick(index)

    def _pick(self, chosen: QModelIndex) -> None:
        """Take a body of the list, else the one that the text means; the list closes."""
        self.close_list()
        if chosen.isValid():
            self.setText(str(chosen.data()))
        self.picked.emit()


def _application() -> QCoreApplication:
    application = QCoreApplication.instance()
    assert application is not None
    return application
