"""The window as it looks and as the keyboard and a screen reader find it, at both sizes and in the three themes."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLabel, QLineEdit, QMenu, QWidget
from pytestqt.qtbot import QtBot

from nightleg.chart.scene import CAUTION
from nightleg.chart.themes import THEMES, contrast
from nightleg.flight.document import Document
from nightleg.window.headerparts import Cell
from nightleg.window.look import look
from nightleg.window.main import MainWindow
from nightleg.window.parts import ElidedLabel

from .conftest import shown

SIZES = [(1366, 768), (1920, 1080)]


@pytest.fixture(params=SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def sized(request: pytest.FixtureRequest, qtbot: QtBot, demo: Document) -> MainWindow:
    """The window at one of the sizes, with a sight typed."""
    window = shown(qtbot, demo, *request.param)
    window.form.reading.setText("29 32.5")
    QApplication.processEvents()
    return window


def leaves(window: MainWindow) -> list[QWidget]:
    """Visible labels and fields, but for those of the menu bar and the table."""
    kinds = (QLabel, QLineEdit, QComboBox, QAbstractButton)
    found = [one for one in window.findChildren(QWidget) if isinstance(one, kinds) and one.isVisible()]
    return [one for one in found if not window.log.isAncestorOf(one) and not window.menuBar().isAncestorOf(one)]


def place(window: MainWindow, widget: QWidget) -> QRect:
    return QRect(widget.mapTo(window, QPoint(0, 0)), widget.size())


@pytest.mark.parametrize("theme", list(THEMES))
def test_no_word_is_clipped_and_nothing_overlaps(sized: MainWindow, theme: str) -> None:
    sized.set_theme(next(name for name in THEMES if name == theme))
    QApplication.processEvents()
    found = leaves(sized)
    assert len(found) > 40
    for one in found:
        assert sized.rect().contains(place(sized, one).topLeft()), one
        assert place(sized, one).right() <= sized.width(), one
        if isinstance(one, QLabel) and not isinstance(one, ElidedLabel) and not one.wordWrap():
            assert one.width() >= one.sizeHint().width(), one.text()
        if isinstance(one, QLabel) and one.wordWrap() and one.text():
            assert one.height() >= one.heightForWidth(one.width()), one.text()
        if isinstance(one, QLineEdit):
            inner = one.width() - 20  # frame and padding of the style sheet
            assert one.fontMetrics().horizontalAdvance(one.text()) <= inner, one.text()
    for a, b in combinations(found, 2):
        if not (a.isAncestorOf(b) or b.isAncestorOf(a)):
            assert not place(sized, a).intersects(place(sized, b)), (a, b)


def test_all_of_the_work_is_in_sight(sized: MainWindow) -> None:
    """Sight, fix and worked solution of an ordinary sight need no scrolling."""
    bar = sized.side.verticalScrollBar()
    assert bar.maximum() == 0
    assert CAUTION in {one.text() for one in leaves(sized) if isinstance(one, QLabel)}


def test_no_row_of_the_log_is_cut(sized: MainWindow) -> None:
    log = sized.log
    assert log.viewport().height() % log.rowHeight(0) == 0


def test_the_chart_has_most_of_the_window(sized: MainWindow) -> None:
    canvas = sized.canvas
    assert canvas.width() * canvas.height() > 0.41 * sized.width() * sized.height()


def test_words_can_be_read_in_every_theme() -> None:
    for theme in THEMES.values():
        of = look(theme)
        for ink in (of.ink, of.muted, of.line, of.fix):
            for ground in (of.panel, of.field):
                assert contrast(ink, ground) >= 4.5, (theme.name, ink, ground)  # WCAG 2.1, AA
        assert contrast(of.ink, of.chosen) >= 4.5  # all that stands on a chosen row is in ink
        assert contrast(of.field, of.line) >= 4.5  # chosen text


def test_every_field_has_a_name_for_screen_readers(window: MainWindow) -> None:
    form = window.form
    named = [form.body, form.time, form.reading, form.limb, form.fix, window.log, window.canvas, window.worked.rows]
    names = [one.accessibleName() for one in named]
    assert all(names)
    assert len(set(names)) == len(names)
    assert form.enter.text()
    assert window.header.clock.accessibleName().startswith("GMT")


def test_what_has_the_keys_and_each_group_has_a_name(window: MainWindow) -> None:
    window.canvas.board.lay()
    QApplication.processEvents()
    inside = [one for one in window.canvas.findChildren(QWidget) if one.focusPolicy() != Qt.FocusPolicy.NoFocus]
    assert inside == []  # the chart itself has the keys, with a name and its facts
    header = window.header
    assert header.accessibleName() and header.accessibleDescription()
    for cell in (one for one in header.findChildren(QWidget) if isinstance(one, Cell)):
        assert cell.accessibleName() == cell.caption.text()
    assert window.timeline.accessibleName() == "Time line" and window.timeline.accessibleDescription()
    assert window.side.accessibleName()


def test_tab_goes_through_the_form_in_the_order_of_the_work(window: MainWindow) -> None:
    form = window.form
    form.reading.setText("29 32.5")
    form.body.setText("Moon")  # so that limb and button are at work
    form.body.setFocus()
    order = [form.body, form.time, form.reading, form.limb, form.fix, form.enter]
    for now, after in pairwise(order):
        assert now.hasFocus()
        QTest.keyClick(now, Qt.Key.Key_Tab)
        assert after.hasFocus(), after.accessibleName()


def test_the_log_lets_tab_go_on(window: MainWindow) -> None:
    window.log.setFocus()
    QTest.keyClick(window.log, Qt.Key.Key_Tab)
    assert not window.log.hasFocus()


def test_f_fits_the_plot_but_can_be_typed_in_a_field(window: MainWindow) -> None:
    canvas = window.canvas
    fitted = canvas.view
    canvas.pan(300.0, 0.0)
    window.form.body.setFocus()
    window.form.body.clear()
    QTest.keyClicks(window.form.body, "f")
    assert window.form.body.text() == "f"
    assert canvas.view != fitted
    canvas.setFocus()
    QTest.keyClicks(canvas, "f")
    assert canvas.view == fitted


def test_every_command_has_a_key_and_no_key_two_commands(window: MainWindow) -> None:
    menus = [one.menu() for one in window.menuBar().actions()]
    actions = [one for menu in menus if isinstance(menu, QMenu) for one in menu.actions() if not one.isSeparator()]
    actions = [one for one in actions if one.menu() is None]  # a menu in a menu opens by its letter
    keys = [key.toString() for one in actions for key in one.shortcuts()]
    assert len(actions) >= 15
    assert all(one.shortcuts() for one in actions), [one.text() for one in actions if not one.shortcuts()]
    assert len(keys) == len(set(keys))


def test_keys_go_to_form_chart_and_log_and_change_the_theme(window: MainWindow) -> None:
    for key, where in (
        (Qt.Key.Key_F3, window.canvas),
        (Qt.Key.Key_F4, window.log),
        (Qt.Key.Key_F2, window.form.reading),
    ):
        QTest.keyClick(window, key)
        assert where.hasFocus()
    QTest.keyClick(window, Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)
    assert window.theme_name == "dim"
    QTest.keyClick(window, Qt.Key.Key_F8)
    assert not window.log.isVisible()
    QTest.keyClick(window, Qt.Key.Key_F4)
    assert window.log.isVisible() and window.log.hasFocus()
    QTest.keyClick(window, Qt.Key.Key_F7)
    assert not window.side.isVisible()
    QTest.keyClick(window, Qt.Key.Key_F2)
    assert window.side.isVisible()
