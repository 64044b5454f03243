"""Lines of position: as observed, faint, and moved to the time of their fix."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from nightleg.chart.labels import Request, along
from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.lettering import request, style
from nightleg.chart.marks import LineMark
from nightleg.chart.paths import of_runs, stroke
from nightleg.chart.pens import pen
from nightleg.chart.strokes import Strokes
from nightleg.chart.symbols import paint_sample_line
from nightleg.chart.themes import LINE_DASHES_PX, Theme
from nightleg.chart.viewport import Rect
from nightleg.units.positions import Position

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_CLEAR_PX = 4.0
_SHARES = (0.72, 0.28, 0.5, 0.6, 0.4, 0.86, 0.14, 0.79, 0.21, 0.66, 0.34)  # of the length, where labels may stand
_FEW = 12  # more lines than that are drawn thin, to be told apart at all


# Lines as observed that are also shown moved, and those left out of the fix.
_ORIGINS = Strokes(
    "origins",
    lambda scene: tuple(line.observed for line in scene.lines if line.current and (line.moved or not line.used)),
    of_runs,
)
_PAST = Strokes(
    "past lines", lambda scene: tuple(line.advanced for line in scene.lines if not line.current and line.used), of_runs
)


def _shown(line: LineMark) -> tuple[Position, ...]:
    return line.advanced if line.used else line.observed


# Empty runs have no number in a bundle.
_USED = Strokes(
    "current lines",
    lambda scene: tuple(line for line in scene.lines if line.current and line.used and _shown(line)),
    lambda lines: of_runs(map(_shown, lines)),
)
_UNUSED = Strokes(
    "lines left out",
    lambda scene: tuple(line for line in scene.lines if line.current and not line.used and _shown(line)),
    lambda lines: of_runs(map(_shown, lines)),
)


class LinesLayer(Layer):
    """Each line of the current fix in a dash of its own; lines of fixes before thin and short."""

    name = "lines"
    title = "Lines of position"
    z = 40
    strokes = (_ORIGINS, _PAST, _USED, _UNUSED)

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """From faint to strong."""
        theme = sheet.theme
        stroke(painter, sheet.lines(_ORIGINS), pen(theme, "origin"))
        few = len(_current(sheet)) <= _FEW
        for number, dash in enumerate(LINE_DASHES_PX):
            runs = [run for line, found in _current(sheet) if _dash(line) == number for run in found]
            if runs:
                stroke(painter, runs, pen(theme, "line" if few else "line_crowded", dash_px=dash))

    def past(self, sheet: Sheet) -> tuple[object, ...]:
        """Lines of earlier fixes."""
        return _PAST.select(sheet.scene)

    def paint_past(self, painter: QPainter, sheet: Sheet) -> None:
        """The same."""
        stroke(painter, sheet.lines(_PAST), pen(sheet.theme, "line_past"))

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """All of them."""
        yield from sheet.lines(_ORIGINS)
        yield from sheet.lines(_PAST)
        for _, runs in _current(sheet):
            yield from runs

    def labels(self, sheet: Sheet) -> Iterable[Request]:
        """Time and body along each line of the current fix."""
        theme = sheet.theme
        used, unused = style(theme, "line", bold=True), style(theme, "muted", small=True)
        shown = [(line, runs, used, 80.0) for line, runs in _current(sheet)]
        shown += [(line, runs, unused, 20.0) for line, runs in _left_out(sheet)]
        for line, runs, lettering, priority in shown:
            longest = max(runs, key=_length)
            shares = _SHARES if len(shown) <= _FEW else _SHARES[:3]
            places = partial(along, longest, clear_px=_CLEAR_PX * theme.scale, shares=shares)
            yield request(((line.text, lettering),), places, priority, key=f"line {line.id}", step=0.5)

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """The kinds on the picture."""
        if any(runs for _, runs in _current(sheet)):
            yield LegendEntry("line of position", _sample, 20)
        if sheet.lines(_ORIGINS):
            yield LegendEntry("line as observed", _sample_origin, 22)
        if sheet.lines(_PAST):
            yield LegendEntry("line of an earlier fix", _sample_past, 26)


def _dash(line: LineMark) -> int:
    return line.dash % len(LINE_DASHES_PX)


def _length(run: Array) -> float:
    return float(np.hypot(*np.diff(run, axis=0).T).sum())


Part = tuple[LineMark, list[Array]]


def _current(sheet: Sheet) -> list[Part]:
    """Lines of the current fix with the parts of them in the frame, where there are any."""
    return sheet.kept("current lines", lambda: _parts(sheet, _USED))


def _left_out(sheet: Sheet) -> list[Part]:
    """The same for lines of the current fix that are not used."""
    return sheet.kept("lines left out", lambda: _parts(sheet, _UNUSED))


def _parts(sheet: Sheet, kind: Strokes[LineMark]) -> list[Part]:
    marks = kind.select(sheet.scene)
    parts: dict[int, list[Array]] = {}
    for run, number in zip(*sheet.numbered(kind), strict=True):
        parts.setdefault(number, []).append(run)
    return [(marks[number], runs) for number, runs in sorted(parts.items())]


def _sample(painter: QPainter, rect: Rect, theme: Theme) -> None:
    paint_sample_line(painter, QRectF(rect.left, rect.top, rect.width, rect.height), pen(theme, "line"))


def _sample_origin(painter: QPainter, rect: Rect, theme: Theme) -> None:
    paint_sample_line(painter, QRectF(rect.left, rect.top, rect.width, rect.height), pen(theme, "origin"))


def _sample_past(painter: QPainter, rect: Rect, theme: Theme) -> None:
    paint_sample_line(painter, QRectF(rect.left, rect.top, rect.width, rect.height), pen(theme, "line_past"))
