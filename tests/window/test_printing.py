"""Chart and log on paper, with a preview."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QPageLayout, QPageSize
from PySide6.QtPrintSupport import QPrinter, QPrintPreviewDialog, QPrintPreviewWidget
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from nightleg.window.documents.printing import paged, paint, printed
from nightleg.window.helpsheet import paint as paint_keys
from nightleg.window.helpsheet import sections
from nightleg.window.log.entries import entries
from nightleg.window.main import MainWindow

PAGE = re.compile(rb"/Type\s*/Page\b")


def on_file(path: Path, size: QPageSize.PageSizeId = QPageSize.PageSizeId.A4) -> QPrinter:
    """A printer that writes a PDF."""
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(path))
    printer.setPageSize(QPageSize(size))
    printer.setPageOrientation(QPageLayout.Orientation.Landscape)
    return printer


@pytest.mark.parametrize("size", [QPageSize.PageSizeId.A4, QPageSize.PageSizeId.A3])
def test_chart_and_log_have_their_pages(window: MainWindow, tmp_path: Path, size: QPageSize.PageSizeId) -> None:
    what = printed(window)
    assert what is not None and len(what.rows) > 20
    paint(on_file(tmp_path / "flight.pdf", size), what)
    data = (tmp_path / "flight.pdf").read_bytes()
    assert data.startswith(b"%PDF")
    assert len(PAGE.findall(data)) == (3 if size == QPageSize.PageSizeId.A4 else 2)


def test_every_row_is_on_one_page_in_order(window: MainWindow) -> None:
    session = window.session
    rows = entries(session.document.flight, session.base)
    for height_px in (60.0, 300.0, 900.0):
        pages = paged(rows, 900.0, height_px)
        assert [row for page in pages for row in page] == list(rows)
        assert all(pages)
    assert len(paged(rows, 900.0, 300.0)) > len(paged(rows, 900.0, 900.0))


def test_the_sight_being_typed_is_not_printed(window: MainWindow) -> None:
    before = printed(window)
    window.form.reading.setText("29 34.5")
    after = printed(window)
    assert before is not None and after is not None
    assert [row.id for row in after.rows] == [row.id for row in before.rows]


def test_the_preview_shows_all_pages_and_closes_by_key(qtbot: QtBot, window: MainWindow) -> None:
    seen: list[int] = []

    def look() -> None:
        dialog = next(
            one for one in QApplication.topLevelWidgets() if isinstance(one, QPrintPreviewDialog) and one.isVisible()
        )
        preview = dialog.findChild(QPrintPreviewWidget)
        assert isinstance(preview, QPrintPreviewWidget)
        seen.append(preview.pageCount())
        QTest.keyClick(dialog, Qt.Key.Key_Escape)

    QTimer.singleShot(300, look)
    QTest.keyClick(window, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)
    assert seen == [3]
    QApplication.processEvents()
    assert not [
        one for one in QApplication.topLevelWidgets() if isinstance(one, QPrintPreviewDialog) and one.isVisible()
    ]


def test_the_keys_are_one_page(window: MainWindow, tmp_path: Path) -> None:
    printer = on_file(tmp_path / "keys.pdf")
    printer.setPageOrientation(QPageLayout.Orientation.Portrait)
    paint_keys(printer, sections(window.menuBar()))
    assert len(PAGE.findall((tmp_path / "keys.pdf").read_bytes())) == 1
