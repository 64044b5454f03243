"""The readings of a series as rows to type or paste into, with what each is off the computed motion."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication, QEvent, Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from nightleg.units.angles import write_arcmin
from nightleg.window.parts import Entry, label, rekind
from nightleg.window.sight.draft import Typed
from nightleg.window.sight.series import RowText, Spread, is_series, split_rows

MOST_ROWS = 120
_SHOWN_ROWS = 5


class SeriesTable(QWidget):
    """Rows of watch time and altitude; there is always an empty one to go on with."""

    changed = Signal()
    """A row was typed or pasted."""
    finished = Signal()
    """Enter was pressed in the empty row at the end."""

    def __init__(self) -> None:
        self._rows: list[tuple[QLabel, Entry, Entry, QLabel]] = []  # before any event comes
        super().__init__()
        self.setAccessibleName("Readings of the series")
        self._filling = False
        self.too_many = 0  # lines of the last list pasted for which there was no room
        self._inner = QWidget()
        self._inner.setObjectName("page")
        self._grid = QGridLayout(self._inner)
        self._grid.setContentsMargins(0, 0, 2, 0)
        self._grid.setHorizontalSpacing(8)
        self._grid.setVerticalSpacing(3)
        self._grid.setColumnStretch(1, 4)
        self._grid.setColumnStretch(2, 4)
        self._grid.setColumnStretch(3, 3)
        self._area = QScrollArea()
        self._area.setObjectName("plain")
        self._area.setFrameShape(QFrame.Shape.NoFrame)
        self._area.setWidget(self._inner)
        self._area.setWidgetResizable(True)
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._area.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._area.verticalScrollBar().rangeChanged.connect(self._hold)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._area)
        self._set_rows([])

    @property
    def fields(self) -> list[tuple[Entry, Entry]]:
        """Watch time and altitude of each row, the empty one at the end among them."""
        return [(time, altitude) for _, time, altitude, _ in self._rows]

    def rows(self) -> tuple[RowText, ...]:
        """The text of all rows but empty ones at the end."""
        texts = [(time.text(), altitude.text()) for time, altitude in self.fields]
        while texts and not any(part.strip() for part in texts[-1]):
            texts.pop()
        return tuple(texts)

    def show_rows(self, rows: tuple[RowText, ...]) -> None:
        """Other text; rows that are the same keep their cursor."""
        if rows != self.rows():
            self._set_rows(list(rows))

    def whole(self, typed: Typed) -> list[int]:
        """Numbers, from 0, of the rows that count, in the order of the readings."""
        said = {number for number, _ in typed.rows}
        return [n for n, row in enumerate(self.rows()) if all(part.strip() for part in row) and n not in said]

    def show_answer(self, typed: Typed, spread: Spread | None) -> None:
        """What is wrong in a row is said there; of the others, how far they are off."""
        places = {row: place for place, row in enumerate(self.whole(typed))}
        for number, (_, time, altitude, off) in enumerate(self._rows):
            remarks = [typed.rows.get((number, column)) for column in (0, 1)]
            for field, remark in zip((time, altitude), remarks, strict=True):
                field.set_wrong(bool(remark and remark.wrong), remark.text if remark else "")
            place = places.get(number)
            text, odd = "", False
            if place is not None and spread is not None and place < len(spread.residuals_arcmin):
                odd = place in spread.odd
                text = write_arcmin(spread.residuals_arcmin[place]) + (" apart" if odd else "")
            elif any(remark and remark.wrong for remark in remarks):
                text, odd = "wrong", True
            off.setText(text)
            off.setAccessibleName(f"Reading {number + 1}, off the computed motion: {text or 'not known yet'}")
            rekind(off, "wrong" if odd else "row")

    def start(self, at: tuple[int, int] | None = None) -> None:
        """Put the cursor where the next reading is typed, or into a field by its row and column."""
        empty = [(row, n) for row, pair in enumerate(self.fields) for n in (0, 1) if not pair[n].text().strip()]
        for row, column in (at,) if at is not None else empty[:1]:
            self._go(self.fields[row][column])

    def take(self, text: str, number: int = 0) -> None:
        """A list pasted into a row stands there, row by row; what stood in the rows moves down."""
        rows = list(self.rows())
        time, altitude = ("" if is_series(part) else part for part in rows[number]) if number < len(rows) else ("", "")
        pasted = [*split_rows(text), *([(time, altitude)] if (time + altitude).strip() else [])]
        rows[number : number + 1] = pasted
        self.too_many = max(len(rows) - MOST_ROWS, 0)
        self._set_rows(rows[:MOST_ROWS])
        self.changed.emit()

    def _set_rows(self, rows: list[RowText]) -> None:
        self._filling = True
        while len(self._rows) <= len(rows):
            self._add()
        for number, (_, time, altitude, _) in enumerate(self._rows):
            texts = rows[number] if number < len(rows) else ("", "")
            for field, text in zip((time, altitude), texts, strict=True):
                if field.text() != text:
                    field.setText(text)
        self._filling = False
        self._fit()

    def _add(self) -> None:
        number = len(self._rows) + 1
        time = Entry(f"Reading {number}, watch time", 6, figure=True)
        altitude = Entry(f"Reading {number}, altitude", 6, figure=True)
        time.describe(
            "Hours, minutes and seconds by the watch, like 225100. A list pasted here fills a row for each line"
        )
        altitude.describe("Degrees and minutes of arc, like 61 10.2")
        parts = (label(str(number), "muted"), time, altitude, label(kind="row"))
        for column, part in enumerate(parts):
            self._grid.addWidget(part, number, column)
        for field in (time, altitude):
            field.textChanged.connect(lambda text, row=number - 1: self._typed(text, row))
        time.returnPressed.connect(lambda: self._enter(number - 1, 0))
        altitude.returnPressed.connect(lambda: self._enter(number - 1, 1))
        if self._rows:
            QWidget.setTabOrder(self._rows[-1][2], time)
        QWidget.setTabOrder(time, altitude)
        self._rows.append(parts)

    def _typed(self, text: str, number: int) -> None:
        if self._filling:
            return
        if is_series(text):
            self.take(text, number)
            self.start()
            return
        if len(self.rows()) >= len(self._rows) and len(self._rows) < MOST_ROWS:
            self._add()
            self._fit()
        self.changed.emit()

    def _enter(self, number: int, column: int) -> None:
        """Enter goes to the next field, and from an empty row out of the series."""
        time, altitude = self.fields[number]
        if not time.text().strip() and not altitude.text().strip():
            self.finished.emit()
        elif column == 0:
            altitude.setFocus(Qt.FocusReason.OtherFocusReason)
        elif number + 1 < len(self._rows):
            self._go(self.fields[number + 1][0])

    def _go(self, field: Entry) -> None:
        field.setFocus(Qt.FocusReason.OtherFocusReason)
        field.selectAll()
        self._reveal(field)

    def _reveal(self, field: Entry) -> None:
        """Scroll to a row; one that has just come has its place only after the layout."""
        QCoreApplication.sendPostedEvents(self._inner, QEvent.Type.LayoutRequest)
        self._show(field)

    def _show(self, field: Entry) -> None:
        """All of a row: an area by itself asks only for where the cursor blinks."""
        bar, height = self._area.verticalScrollBar(), self._area.viewport().height()
        top, bottom = field.y() - 3, field.y() + field.height() + 3
        bar.setValue(min(max(bar.value(), bottom - height), top))

    def _hold(self) -> None:
        """Rows have come or the table has another height: the one that is typed in, and the next, stay in sight."""
        for number, pair in enumerate(self.fields):
            if any(field.hasFocus() for field in pair):
                following = self.fields[min(number + 1, len(self.rows()), len(self._rows) - 1)][0]
                self._show(following)
                self._show(pair[0])

    def showEvent(self, event: QShowEvent) -> None:
        """The style is known now."""
        super().showEvent(event)
        self._fit()

    def changeEvent(self, event: QEvent) -> None:
        """The type has another size."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange and self._rows:
            self._fit()

    def _fit(self) -> None:
        """As many rows as are used, up to a few; the others are reached by scrolling."""
        used = len(self.rows()) + 1
        for number, parts in enumerate(self._rows):
            for part in parts:
                part.setVisible(number < used)
        self._grid.invalidate()
        row_px = (self._grid.sizeHint().height() + self._grid.verticalSpacing()) / used
        self._area.setFixedHeight(round(row_px * min(used, _SHOWN_ROWS)) + 2)
