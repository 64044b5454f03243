"""One sheet of all keys (F1). It is read from the menus' own actions, so that it cannot lag behind them."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence, QShortcut, QTextDocument
from PySide6.QtWidgets import (
    QDialog,
    QGridLayout,
    QHBoxLayout,
    QMenu,
    QMenuBar,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from nightleg.chart.fonts import FAMILY
from nightleg.window.parts import label

if TYPE_CHECKING:
    from PySide6.QtPrintSupport import QPrinter

    from nightleg.window.main import MainWindow


class Line(NamedTuple):
    """What can be done, and the keys for it."""

    words: str
    keys: str


class Section(NamedTuple):
    """A menu, or a place where keys mean something of their own."""

    title: str
    lines: tuple[Line, ...]


PLACES = (
    Section(
        "On the chart",
        (
            Line("Move it", "arrow keys, or drag"),
            Line("Enlarge, reduce", "+  −, or wheel"),
            Line("Measure; what is this", "Shift+drag; click"),
        ),
    ),
    Section(
        "In a form",
        (
            Line("Put it in the log", "Enter"),
            Line("Next field, field before", "Tab  Shift+Tab"),
            Line("A field by its letter", "Alt+letter"),
        ),
    ),
    Section(
        "In the log",
        (
            Line("First row, last row", "Ctrl+Home  Ctrl+End"),
            Line("Choose more rows", "Shift+arrow keys"),
            Line("Edit the cell", "Enter  F2"),
            Line("Next cell; as it was", "Tab; Esc"),
            Line("Use or set aside", "Space"),
            Line("Take the rows away", "Delete"),
        ),
    ),
    Section(
        "On the time line",
        (
            Line("A minute; ten seconds", "← →; Shift+← →"),
            Line("Ten minutes", "PgUp  PgDown"),
            Line("Entry to entry", "↑ ↓"),
            Line("Start, last entry", "Home  End"),
            Line("Show the entry in the log", "Enter"),
        ),
    ),
    Section(
        "On a figure",
        (
            Line("The figure beside it", "arrow keys"),
            Line("How it came about", "Enter  Space"),
        ),
    ),
)
"""Keys that belong to the place where the cursor is, and to no menu."""
_FEWEST, _MOST = 3, 4  # columns
_FOOT_PX, _AROUND_PX = 72, 40
_CLOSE = "style='margin-top: 8px; margin-bottom: 0px'"  # on paper


def sections(bar: QMenuBar) -> list[Section]:
    """All menus with the keys of their commands, then the places."""
    found = []
    for entry in bar.actions():
        menu = entry.menu()
        if isinstance(menu, QMenu):
            found.append(Section(words(entry), tuple(_lines(menu))))
    return [*(one for one in found if one.lines), *PLACES]


def _lines(menu: QMenu) -> list[Line]:
    lines = []
    for action in menu.actions():
        inner = action.menu()
        if isinstance(inner, QMenu):
            lines += [Line(f"{words(action)}: {line.words}", line.keys) for line in _lines(inner)]
        elif action.shortcuts() and not action.isSeparator():
            lines.append(Line(words(action), keys(action)))
    return lines


def words(action: QAction) -> str:
    """The name of a command as it is read; undo and redo without the step that they are at."""
    text = action.text()
    if "\t" in text:
        text = text.split("\t")[0]
    for standing in ("&Undo", "&Redo"):
        if text.startswith(standing):
            text = standing
    return text.replace("&&", "\0").replace("&", "").replace("\0", "&").removesuffix("…")


def keys(action: QAction) -> str:
    """The keys of a command, as the machine at hand names them."""
    return "  ".join(key.toString(QKeySequence.SequenceFormat.NativeText) for key in action.shortcuts())


def show_keys(window: MainWindow) -> None:
    """Show the sheet, or close the one that is open."""
    held = window.findChild(HelpSheet)
    if held is not None and held.isVisible():
        held.close()
    else:
        HelpSheet(window).show()


class HelpSheet(QDialog):
    """The sheet; Escape or F1 closes it. It leaves the window free to be worked in."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("All keys – Nightleg")
        self.sections = sections(window.menuBar())
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 12)
        room = window.size()
        page = _page(self.sections, _FEWEST)
        for count in range(_FEWEST + 1, _MOST + 1):
            if page.sizeHint().height() + _FOOT_PX + _AROUND_PX > room.height():
                page = _page(self.sections, count)
        self.area = QScrollArea()
        self.area.setWidget(page)
        self.area.setWidgetResizable(True)
        self.area.setAccessibleName("All keys")
        whole.addWidget(self.area, 1)
        foot = QHBoxLayout()
        foot.setContentsMargins(28, 0, 28, 0)
        foot.addWidget(label("Esc closes this sheet.", "muted"))
        foot.addStretch(1)
        printing, close = QPushButton("&Print…"), QPushButton("&Close")
        printing.setAutoDefault(False)
        printing.clicked.connect(self._print)
        close.clicked.connect(self.close)
        close.setDefault(True)
        foot.addWidget(printing)
        foot.addWidget(close)
        whole.addLayout(foot)
        QShortcut(QKeySequence("F1"), self, self.close)
        wanted = page.sizeHint()
        self.resize(
            min(wanted.width() + 24, room.width() - _AROUND_PX),
            min(wanted.height() + _FOOT_PX, room.height() - _AROUND_PX),
        )
        close.setFocus(Qt.FocusReason.OtherFocusReason)

    def _print(self) -> None:
        from PySide6.QtPrintSupport import QPrinter, QPrintPreviewDialog  # a library of its own, seldom needed

        dialog = QPrintPreviewDialog(QPrinter(QPrinter.PrinterMode.HighResolution), self)
        dialog.setWindowTitle("Print all keys – Nightleg")
        dialog.paintRequested.connect(lambda printer: paint(printer, self.sections))
        try:
            dialog.exec()
        finally:
            dialog.deleteLater()


def paint(printer: QPrinter, held: list[Section]) -> None:
    """The sheet on paper, black on white."""
    document = QTextDocument()
    document.setHtml(html(held))
    document.print_(printer)


def html(held: list[Section]) -> str:
    """The sheet as two columns of plain tables."""
    cells = []
    for part in _balanced(held, 2):
        tables = []
        for section in part:
            lines = "".join(
                f"<tr><td>{escape(line.words)}</td><td>&nbsp;&nbsp;<b>{escape(line.keys)}</b></td></tr>"
                for line in section.lines
            )
            tables.append(f"<h3 {_CLOSE}>{escape(section.title)}</h3><table cellpadding='0'>{lines}</table>")
        cells.append(f"<td width='50%'>{''.join(tables)}</td>")
    style = f"font-family: '{FAMILY}'; font-size: 8.5pt; color: black"
    return f"<body style=\"{style}\"><h2>Nightleg: all keys</h2><table width='100%'><tr>{''.join(cells)}</tr></table>"


def _balanced(held: list[Section], count: int) -> list[list[Section]]:
    """The sections in columns of about the same length: the longest first, each where there is most room."""
    columns: list[list[int]] = [[] for _ in range(count)]
    used = [0] * count
    for number in sorted(range(len(held)), key=lambda number: -len(held[number].lines)):
        column = used.index(min(used))
        columns[column].append(number)
        used[column] += len(held[number].lines) + 2
    kept = sorted(sorted(column) for column in columns if column)
    return [[held[number] for number in column] for column in kept]


def _page(held: list[Section], count: int) -> QWidget:
    page = QWidget()
    page.setObjectName("page")
    columns = QHBoxLayout(page)
    columns.setContentsMargins(20, 18, 20, 6)
    columns.setSpacing(24)
    for part in _balanced(held, count):
        columns.addLayout(_column(part))
    return page


def _column(part: list[Section]) -> QVBoxLayout:
    column = QVBoxLayout()
    column.setSpacing(4)
    for section in part:
        column.addWidget(label(section.title, "title"))
        grid = QGridLayout()
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(1)
        grid.setColumnStretch(0, 1)
        for number, line in enumerate(section.lines):
            grid.addWidget(label(line.words), number, 0)
            grid.addWidget(label(line.keys, "strong"), number, 1, Qt.AlignmentFlag.AlignRight)
        column.addLayout(grid)
        column.addSpacing(7)
    column.addStretch(1)
    return column
