"""The flight on paper, shown before it is printed: the chart on one page, then the log."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPageLayout, QPageSize, QPainter, QTextOption

from nightleg.chart.fonts import font
from nightleg.chart.scene import CAUTION, ChartScene
from nightleg.chart.themes import THEMES
from nightleg.window.log.entries import COLUMNS, SPANS, LogEntry, entries

if TYPE_CHECKING:
    from PySide6.QtPrintSupport import QPrinter

    from nightleg.window.main import MainWindow

_PX_PER_INCH = 96.0
_EDGE_PX = 48.0
_ROW_PX, _HEAD_PX = 19.0, 64.0
_TEXT_PX, _TITLE_PX = 12.0, 18.0
_CHARACTERS = {"time": 8, "entry": 13, "reading": 11, "Zn": 8, "intercept": 12, "use": 6, "note": 45}
_USUAL_CHARACTERS = 10
_WIDTHS = [_CHARACTERS.get(name, _USUAL_CHARACTERS) for name in COLUMNS]
_SHARES = [width / sum(_WIDTHS) for width in _WIDTHS]  # of the columns of the log
_WHITE = replace(THEMES["paper"], colours={**THEMES["paper"].colours, "ground": "#FFFFFF"})  # the paper brings its own
_WRAP = QTextOption(Qt.AlignmentFlag.AlignLeft)


@dataclass(frozen=True)
class Printed:
    """What goes on paper, taken when printing is asked for: later edits do not change it."""

    scene: ChartScene
    rows: tuple[LogEntry, ...]


def preview(window: MainWindow) -> None:
    """Show chart and log as they will be printed, A4 or A3, and print them from there."""
    from PySide6.QtPrintSupport import QPrinter, QPrintPreviewDialog  # a library of its own, seldom needed

    what = printed(window)
    if what is None:
        return
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setPageSize(QPageSize(QPageSize.PageSizeId.A4))
    printer.setPageOrientation(QPageLayout.Orientation.Landscape)
    printer.setDocName(what.scene.title)
    printer.setCreator("Nightleg")
    dialog = QPrintPreviewDialog(printer, window)
    dialog.setWindowTitle("Print chart and log – Nightleg")
    dialog.paintRequested.connect(lambda to: paint(to, what))
    dialog.resize(1000, 700)
    try:
        dialog.exec()
    finally:
        dialog.deleteLater()


def printed(window: MainWindow) -> Printed | None:
    """The chart and the log of the document as they are; the sight being typed is on neither."""
    from nightleg.chart.scene import scene

    session = window.session
    flight, solution = session.document.flight, session.base
    return Printed(scene(flight, solution, session.now), entries(flight, solution))


def paint(printer: QPrinter, what: Printed) -> None:
    """Paint all pages."""
    painter = QPainter()
    if not painter.begin(printer):
        return
    try:
        _paint_chart(painter, printer, what.scene)
        _paint_log(painter, printer, what)
    finally:
        painter.end()


def _page(painter: QPainter, printer: QPrinter) -> QRectF:
    """Bring the painter to px of 1/96 inch; the page in these."""
    from PySide6.QtPrintSupport import QPrinter as Printer

    inches = printer.pageRect(Printer.Unit.Inch)
    painter.resetTransform()
    scale = printer.resolution() / _PX_PER_INCH
    painter.scale(scale, scale)
    return QRectF(0.0, 0.0, inches.width() * _PX_PER_INCH, inches.height() * _PX_PER_INCH)


def _paint_chart(painter: QPainter, printer: QPrinter, scene: ChartScene) -> None:
    from nightleg.chart.export import sheet_of

    page = _page(painter, printer)
    painter.save()
    sheet_of(scene, _WHITE, (int(page.width()), int(page.height()))).paint(painter)
    painter.restore()


def _paint_log(painter: QPainter, printer: QPrinter, what: Printed) -> None:
    inner = _page(painter, printer).adjusted(_EDGE_PX, _EDGE_PX, -_EDGE_PX, -_EDGE_PX)
    pages = paged(what.rows, inner.width(), inner.height() - _HEAD_PX - 2.0 * _ROW_PX)
    for number, rows in enumerate(pages, 1):
        printer.newPage()
        _paint_log_page(painter, inner, what.scene, rows, f"{number} of {len(pages)}")


def paged(rows: tuple[LogEntry, ...], width_px: float, height_px: float) -> list[list[LogEntry]]:
    """The rows of each page."""
    pages: list[list[LogEntry]] = [[]]
    used = 0.0
    for row in rows:
        need = _height(row, width_px)
        if pages[-1] and used + need > height_px:
            pages.append([])
            used = 0.0
        pages[-1].append(row)
        used += need
    return pages


def _cells(row: LogEntry, width_px: float) -> list[tuple[float, float, str]]:
    """Left edge, width and text of the cells of a row."""
    spans = dict(SPANS[row.kind])
    found, column = [], 0
    while column < len(COLUMNS):
        taken = spans.get(column, 1)
        x = sum(_SHARES[:column]) * width_px
        found.append((x, sum(_SHARES[column : column + taken]) * width_px - 8.0, row.cells[column]))
        column += taken
    return found


def _height(row: LogEntry, width_px: float) -> float:
    metrics = QFontMetricsF(font(_TEXT_PX))
    flags = int(Qt.TextFlag.TextWordWrap.value)
    heights = [
        metrics.boundingRect(QRectF(0.0, 0.0, w, 10000.0), flags, text).height()
        for _, w, text in _cells(row, width_px)
        if text
    ]
    return max([_ROW_PX, *(height + 4.0 for height in heights)])


def _paint_log_page(painter: QPainter, inner: QRectF, scene: ChartScene, rows: list[LogEntry], page: str) -> None:
    left, right, top = inner.left(), inner.right(), inner.top()
    ink, muted = THEMES["paper"].colours["ink"], THEMES["paper"].colours["muted"]
    painter.setPen(ink)
    painter.setFont(font(_TITLE_PX, bold=True))
    painter.drawText(QRectF(left, top, inner.width() * 0.7, 26.0), scene.title, _WRAP)
    beside_px = QFontMetricsF(painter.font()).horizontalAdvance(scene.title) + 18.0
    painter.setFont(font(_TEXT_PX))
    painter.drawText(QRectF(left + beside_px, top + 6.0, inner.width() - beside_px, 20.0), scene.when, _WRAP)
    right_text = QTextOption(Qt.AlignmentFlag.AlignRight)
    painter.drawText(QRectF(right - 400.0, top + 4.0, 400.0, 20.0), f"Log, page {page}", right_text)
    painter.setPen(muted)
    x = left
    for share, name in zip(_SHARES, COLUMNS, strict=True):
        painter.drawText(QRectF(x, top + 38.0, share * inner.width(), 18.0), name, _WRAP)
        x += share * inner.width()
    painter.drawLine(QPointF(left, top + _HEAD_PX - 4.0), QPointF(right, top + _HEAD_PX - 4.0))
    y = top + _HEAD_PX
    painter.setPen(ink)
    for row in rows:
        height = _height(row, inner.width())
        for number, (at, width, text) in enumerate(_cells(row, inner.width())):
            painter.setFont(font(_TEXT_PX, bold=number == 1 and row.kind in ("sight", "fix")))
            painter.drawText(QRectF(left + at, y, width, height), text, _WRAP)
        y += height
    painter.setPen(muted)
    painter.setFont(font(_TEXT_PX - 1.0))
    painter.drawText(QRectF(left, inner.bottom() - 18.0, inner.width(), 18.0), CAUTION, _WRAP)
