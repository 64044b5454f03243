"""The line that is being typed is painted apart from the rest, and the picture is the same."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from msgspec.structs import replace as with_
from PySide6.QtGui import QImage
from synthetic import crossing

from nightleg.chart.export import image, sheet_of
from nightleg.chart.marks import ChartScene, LineMark
from nightleg.chart.memory import Memory
from nightleg.chart.sheet import Sheet
from nightleg.chart.themes import THEMES
from nightleg.units.positions import Position


def in_hand(scene: ChartScene) -> ChartScene:
    """The last line is being typed, and the last run with it."""
    *lines, last = scene.lines
    runs = (*scene.runs[:-1], with_(scene.runs[-1], open=True))
    return replace(scene, lines=(*lines, with_(last, in_hand=True)), runs=runs)


def shifted(line: LineMark, north_deg: float) -> LineMark:
    return with_(line, advanced=tuple(Position(p.lat + north_deg, p.lon) for p in line.advanced))


def grey(picture: QImage) -> np.ndarray:
    small = picture.convertToFormat(QImage.Format.Format_Grayscale8)
    rows = np.frombuffer(small.constBits(), np.uint8).reshape(small.height(), small.bytesPerLine())
    return rows[:, : small.width()].astype(int)


@pytest.mark.parametrize("shots", [3, 8])
def test_a_line_looks_the_same_while_it_is_typed(shots: int) -> None:
    scene = crossing(fixes=2, shots=shots)
    settled, typed = (image(sheet_of(each, THEMES["paper"], (1366, 768))) for each in (scene, in_hand(scene)))
    # Where lines cross the upper one may be another: some tens of pixels, each one shade of ink beside another.
    other = np.abs(grey(settled) - grey(typed)) > 40
    assert int(other.sum()) < 400
    assert int((grey(settled) < 128).sum()) > 5000  # there is a picture


def test_the_next_figure_of_a_reading_leaves_all_that_is_settled() -> None:
    first = in_hand(crossing(fixes=2))
    *others, last = first.lines
    then = replace(first, lines=(*others, shifted(last, 0.1)))
    memory, whole = Memory(), sheet_of(first, THEMES["paper"], (1366, 768))
    sheets = [Sheet(scene, whole.view, whole.theme, whole.layers, memory=memory) for scene in (first, then)]
    pictures = [image(sheet) for sheet in sheets]
    assert pictures[0] != pictures[1]
    assert sheets[0]._below(1.0) is sheets[1]._below(1.0)


def test_a_settled_line_that_moves_is_painted_anew() -> None:
    first = in_hand(crossing(fixes=2))
    *others, settled, last = first.lines
    then = replace(first, lines=(*others, shifted(settled, 0.1), last))
    memory, whole = Memory(), sheet_of(first, THEMES["paper"], (1366, 768))
    # Without labels, which keep their places as far as they can.
    sheets = [Sheet(scene, whole.view, whole.theme, whole.layers, (), memory) for scene in (first, then)]
    pictures = [image(sheet) for sheet in sheets]
    fresh = image(Sheet(then, whole.view, whole.theme, whole.layers, ()))
    assert pictures[0] != pictures[1]
    # Curves reckoned beside others differ in the last bits: a few pixels at the ends of dashes.
    assert int((np.abs(grey(pictures[1]) - grey(fresh)) > 40).sum()) < 20
    assert int((np.abs(grey(pictures[1]) - grey(pictures[0])) > 40).sum()) > 400
