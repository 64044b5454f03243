"""The chart while it is dragged: the same picture, shifted."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QImage, QPainter
from synthetic import crossing

from nightleg.chart.backdrop import Backdrop
from nightleg.chart.export import sheet_of
from nightleg.chart.sheet import Sheet
from nightleg.chart.themes import THEMES
from nightleg.chart.viewport import NO_MARGINS

WIDTH, HEIGHT = 1000, 600


def _sheet() -> Sheet:
    return sheet_of(crossing(fixes=2), THEMES["paper"], (WIDTH, HEIGHT), margins=NO_MARGINS)


def _frame(paint: object, sheet: Sheet) -> NDArray[np.int16]:
    picture = QImage(WIDTH, HEIGHT, QImage.Format.Format_RGB32)
    painter = QPainter(picture)
    if isinstance(paint, Backdrop):
        paint.paint(painter, sheet)
    else:
        sheet.paint(painter)
    painter.end()
    return np.frombuffer(picture.constBits(), dtype=np.uint8).reshape(HEIGHT, WIDTH, 4)[..., :3].astype(np.int16)


def test_at_rest_the_backdrop_is_the_sheet() -> None:
    sheet = _sheet()
    plain, kept = _frame(None, sheet), _frame(Backdrop(), sheet)
    differing = (np.abs(plain - kept).max(axis=2) > 40).mean()
    # Dashes start where a line enters the picture, and the larger picture is entered elsewhere: that may differ.
    assert differing < 0.01


def test_a_drag_shifts_the_picture_and_paints_nothing_anew() -> None:
    sheet, backdrop = _sheet(), Backdrop()
    still = _frame(backdrop, sheet)
    for dx, dy in ((40, 0), (90, -60), (130, -140)):
        moved = _frame(backdrop, Sheet(sheet.scene, sheet.view.panned(dx, dy), sheet.theme, sheet.layers))
        assert backdrop.paintings == 1
        # A stretch in the middle, away from what does not move.
        assert np.array_equal(moved[250 + dy : 400 + dy, 450 + dx : 600 + dx], still[250:400, 450:600])


def test_what_is_made_ahead_is_the_same_picture() -> None:
    sheet, at_once, ahead = _sheet(), Backdrop(), Backdrop()
    expected, steps = _frame(at_once, sheet), 1
    while ahead.prepare(sheet, 1.0):
        steps += 1
    assert steps > len(sheet.layers) and ahead.paintings == 1
    assert not ahead.prepare(sheet, 1.0) and ahead.paintings == 1
    assert np.array_equal(_frame(ahead, sheet), expected)
    assert ahead.paintings == 1


def test_a_hand_that_comes_while_it_is_made_ahead_has_the_rest_of_it_made() -> None:
    sheet, whole, begun = _sheet(), Backdrop(), Backdrop()
    moved = Sheet(sheet.scene, sheet.view.panned(30, -20), sheet.theme, sheet.layers)
    _frame(whole, sheet)
    for _ in range(5):
        assert begun.prepare(sheet, 1.0)
    assert np.array_equal(_frame(begun, moved), _frame(whole, moved))
    assert begun.paintings == 1


def test_a_drag_keeps_the_labels_of_the_sheet_it_began_on() -> None:
    sheet, whole, first = _sheet(), Backdrop(), Backdrop()
    moved = Sheet(sheet.scene, sheet.view.panned(30, -20), sheet.theme, sheet.layers)
    _frame(whole, sheet)
    picture = QImage(WIDTH, HEIGHT, QImage.Format.Format_RGB32)
    painter = QPainter(picture)
    first.paint(painter, moved, sheet)
    painter.end()
    shown = np.frombuffer(picture.constBits(), dtype=np.uint8).reshape(HEIGHT, WIDTH, 4)[..., :3]
    assert np.array_equal(shown, _frame(whole, moved))


def test_zoom_scene_theme_and_long_drags_paint_anew() -> None:
    sheet, backdrop = _sheet(), Backdrop()
    _frame(backdrop, sheet)
    others = (
        Sheet(sheet.scene, sheet.view.zoomed(1.2, 10.0, 10.0), sheet.theme, sheet.layers),
        Sheet(sheet.scene, sheet.view.panned(0.3 * WIDTH, 0.0), sheet.theme, sheet.layers),
        Sheet(replace(sheet.scene, title="another"), sheet.view, sheet.theme, sheet.layers),
        Sheet(sheet.scene, sheet.view, THEMES["dim"], sheet.layers),
        Sheet(sheet.scene, sheet.view, sheet.theme, sheet.layers[:-1]),
    )
    for count, other in enumerate(others, start=2):
        _frame(backdrop, other)
        assert backdrop.paintings == count
    backdrop.release()
    _frame(backdrop, others[-1])
    assert backdrop.paintings == len(others) + 2
