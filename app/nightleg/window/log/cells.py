"""Editing in a cell of the log, and the words under a cell whose text is wrong."""

from __future__ import annotations

from PySide6.QtCore import QAbstractItemModel, QEvent, QObject, QPersistentModelIndex, QPoint, QRect, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QPainter, QPen
from PySide6.QtWidgets import QAbstractItemView, QLabel, QStyledItemDelegate, QStyleOptionViewItem, QTableView, QWidget

from nightleg.window.log.fields import HELD
from nightleg.window.log.full import FIXED
from nightleg.window.log.model import Index, LogModel
from nightleg.window.look import inks
from nightleg.window.parts import Entry

_WORDS_PX = 430


class CellWords(QLabel):
    """A few words at a cell, above everything in the window."""

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("words")
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.hide()

    def tell(self, words: str, view: QWidget, cell: QRect) -> None:
        """Show words under a cell of a view, or above it where there is no room; none hide the label."""
        if not words or not view.rect().intersects(cell):
            self.hide()
            return
        window = view.window()
        if self.parentWidget() is not window:
            self.setParent(window)
        self.setText(words)
        self.setAccessibleName(words)
        width = min(_WORDS_PX, self.fontMetrics().horizontalAdvance(words) + 22, window.width())
        self.resize(width, self.heightForWidth(width))
        at = view.mapTo(window, cell.bottomLeft() + QPoint(0, 2))
        if at.y() + self.height() > window.height():
            at = view.mapTo(window, cell.topLeft()) - QPoint(0, self.height() + 2)
        self.move(max(min(at.x(), window.width() - width), 0), at.y())
        self.raise_()
        self.show()


class CellDelegate(QStyledItemDelegate):
    """Editors of cells. Enter keeps the editor open while its text is wrong; Escape gives the old text back."""

    refused = Signal(object, str)
    """An index and what is wrong with its text."""

    def __init__(self, parent: QAbstractItemView) -> None:
        super().__init__(parent)
        self.keys: QWidget = parent  # what has the keys while the cursor is in a cell
        self._index: QPersistentModelIndex | None = None  # rows come and go while text is typed
        self._editor: Entry | None = None
        self.closeEditor.connect(self._gone)

    @property
    def editing(self) -> bool:
        """Whether an editor is open."""
        return self._editor is not None and self._index is not None and self._index.isValid()

    def settle(self) -> None:
        """Put the text of the open editor into the flight. The editor stays, with words where its text is wrong."""
        editor, index = self._editor, self._index
        if editor is not None and index is not None and index.isValid():
            words = _log(index.model()).enter(index, editor.text())
            if index.isValid():  # its row may have gone elsewhere, and the editor with it
                editor.set_wrong(bool(words), words)
                if words:
                    self.refused.emit(index, words)

    def let_go(self) -> None:
        """Close the editor; its text is not wanted."""
        if self._editor is not None:
            self.closeEditor.emit(self._editor, QStyledItemDelegate.EndEditHint.NoHint)

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        """A field over the cell. What a leg holds from the one before stands in it as long as nothing is typed."""
        model = _log(index.model())
        cell = model.cell(index)
        editor = Entry(model.cell_name(index), 4)
        editor.setParent(parent)
        editor.setProperty("cell", True)
        if cell is not None:
            held = f"{model.texts(index.row())[index.column()]} held" if cell.hint == HELD else cell.hint
            editor.setPlaceholderText(held)
            editor.setAccessibleDescription(cell.hint)
        self._index, self._editor = QPersistentModelIndex(index), editor
        editor.destroyed.connect(lambda: self._gone(editor))
        return editor

    def _gone(self, editor: QWidget) -> None:
        if self._editor is editor:
            self._editor = self._index = None

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        """The text of the file, once: what is typed is not written over when the flight is solved anew."""
        if isinstance(editor, Entry) and not editor.property("filled"):
            editor.setProperty("filled", True)
            editor.setText(_log(index.model()).edit_text(index))
            editor.selectAll()
            wrong = _log(index.model()).wrong(index)
            if wrong is not None:
                editor.set_wrong(True, wrong.words)
                self.refused.emit(index, wrong.words)

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        """Put the text into the flight; what cannot be used stays in the cell."""
        if isinstance(editor, Entry):
            words = _log(model).enter(index, editor.text())
            self.refused.emit(index, words)

    def updateEditorGeometry(self, editor: QWidget, option: QStyleOptionViewItem, index: Index) -> None:
        """Over the cell, and as far beyond it as the text needs."""
        place = self._seen(option.rect, index)
        if isinstance(editor, Entry):
            needed = editor.fontMetrics().horizontalAdvance(editor.text()) + 26
            holder = editor.parentWidget()
            room = (holder.width() if holder is not None else 0) - place.left()
            place.setWidth(max(place.width(), min(needed, room)))
        editor.setGeometry(place)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Enter leaves the editor only with text that could be used. Another window in front leaves it open."""
        if isinstance(event, QFocusEvent) and event.type() == QEvent.Type.FocusOut:
            return event.reason() != Qt.FocusReason.ActiveWindowFocusReason and super().eventFilter(watched, event)
        if isinstance(watched, Entry) and event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self._index is not None:
                self._leave(watched)
                return True
            if event.key() == Qt.Key.Key_Escape and self._index is not None:
                _log(self._index.model()).forget(self._index)
        return super().eventFilter(watched, event)

    def _leave(self, editor: Entry) -> None:
        index = self._index
        assert index is not None
        model = _log(index.model())
        words = model.enter(index, editor.text())
        editor.set_wrong(bool(words), words)
        if words:
            self.refused.emit(index, words)
        else:
            self.closeEditor.emit(editor, QStyledItemDelegate.EndEditHint.NoHint)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """The cell; that with the cursor has a frame."""
        seen = QStyleOptionViewItem(option)
        seen.rect = self._seen(option.rect, index)
        super().paint(painter, seen, index)
        view = self.parent()
        if isinstance(view, QAbstractItemView) and self.keys.hasFocus() and view.currentIndex() == index:
            painter.save()
            painter.setPen(QPen(QColor(inks(view).line), 1.0))
            painter.drawRect(seen.rect.adjusted(0, 0, -1, -1))
            painter.restore()

    def _seen(self, cell: QRect, index: Index) -> QRect:
        """A cell; of a remark in the full log, which runs over all columns, what is in sight of it."""
        model, view = _log(index.model()), self.parent()
        if not model.full or model.rows[index.row()].kind != "remark" or index.column() != FIXED:
            return cell
        assert isinstance(view, QTableView)
        left = max(cell.left(), sum(view.columnWidth(number) for number in range(FIXED)))
        return QRect(left, cell.top(), min(cell.right(), view.viewport().width()) - left, cell.height())


def _log(model: QAbstractItemModel) -> LogModel:
    assert isinstance(model, LogModel)
    return model
