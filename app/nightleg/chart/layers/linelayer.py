"""What the layers of lines of position share: lines as observed, faint, and moved to the time of their fix.

A kind of line is a layer of its own, switched by its name. Its lines have a dash of their own, and a small mark that
stands on them at intervals, so that kinds are told apart without colour.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QPainterPath, QPen

from nightleg.chart.labels import Request, along
from nightleg.chart.layers.base import Array, Layer, LegendEntry
from nightleg.chart.lettering import request, style
from nightleg.chart.linemarks import LineSign
from nightleg.chart.marks import ChartScene, LineMark
from nightleg.chart.paths import Bundle, of_runs, stroke
from nightleg.chart.pens import colour, pen
from nightleg.chart.strokes import Strokes
from nightleg.chart.symbols import paint_sample_line
from nightleg.chart.themes import PenName, Theme
from nightleg.chart.viewport import Rect
from nightleg.units.positions import Position

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

MARK_PX = 6.0
_CLEAR_PX = 4.0
_SPACING_PX = 110.0  # between the marks of a line
_SHARES = (0.72, 0.28, 0.5, 0.6, 0.4, 0.86, 0.14, 0.79, 0.21, 0.66, 0.34)  # of the length, where labels may stand
_FEW = 12  # more lines than that are drawn thin, to be told apart at all

Part = tuple[LineMark, list[Array]]


def _shown(line: LineMark) -> tuple[Position, ...]:
    return line.advanced if line.used else line.observed


def _origins(kind: str, scene: ChartScene) -> tuple[tuple[Position, ...], ...]:
    """Lines as observed that are also shown moved, and those left out of the fix."""
    return tuple(line.observed for line in scene.of_kind(kind) if line.current and (line.moved or not line.used))


def _past(kind: str, scene: ChartScene) -> tuple[tuple[Position, ...], ...]:
    return tuple(line.advanced for line in scene.of_kind(kind) if not line.current and line.used)


def _current(kind: str, used: bool, scene: ChartScene) -> tuple[LineMark, ...]:
    """Empty runs have no number in a bundle."""
    return tuple(line for line in scene.of_kind(kind) if line.current and line.used is used and _shown(line))


def _runs(lines: tuple[LineMark, ...]) -> Bundle:
    return of_runs(map(_shown, lines))


class LineLayer(Layer):
    """Lines of one kind: those of the current fix strong, those of fixes before thin and short."""

    kind: ClassVar[str]
    """Which lines of the scene."""
    words: ClassVar[str]
    """What the legend calls one."""
    dash_px: ClassVar[tuple[float, ...]] = ()
    sign: ClassVar[LineSign | None] = None
    z = 41
    origins: ClassVar[Strokes[Any]]
    past_lines: ClassVar[Strokes[Any]]
    used: ClassVar[Strokes[Any]]
    unused: ClassVar[Strokes[Any]]

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()
        kind = cls.kind
        cls.origins = Strokes(f"{kind} origins", partial(_origins, kind), of_runs)
        cls.past_lines = Strokes(f"{kind} past", partial(_past, kind), of_runs)
        cls.used = Strokes(f"{kind} current", partial(_current, kind, True), _runs)
        cls.unused = Strokes(f"{kind} left out", partial(_current, kind, False), _runs)
        cls.strokes = (cls.origins, cls.past_lines, cls.used, cls.unused)

    def dash_of(self, line: LineMark) -> tuple[float, ...]:
        """The dash that a line is drawn in, px at scale 1."""
        return self.dash_px

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """From faint to strong."""
        theme = sheet.theme
        if not sheet.scene.of_kind(self.kind):
            return
        stroke(painter, sheet.lines(self.origins), pen(theme, "origin"))
        parts = self._parts(sheet, self.used)
        name: PenName = "line" if len(parts) <= _FEW else "line_crowded"
        dashed: dict[tuple[float, ...], list[Array]] = {}
        for line, found in parts:
            dashed.setdefault(self.dash_of(line), []).extend(found)
        for dash, runs in dashed.items():
            stroke(painter, runs, pen(theme, name, dash_px=dash))
        if self.sign is not None:
            paint_signs(painter, [run for _, found in parts for run in found], self.sign, theme)

    def past(self, sheet: Sheet) -> tuple[object, ...]:
        """Lines of earlier fixes."""
        return self.past_lines.select(sheet.scene)

    def paint_past(self, painter: QPainter, sheet: Sheet) -> None:
        """The same."""
        runs = sheet.lines(self.past_lines)
        stroke(painter, runs, pen(sheet.theme, "line_past", dash_px=self.dash_px or None))

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """All of them."""
        yield from sheet.lines(self.origins)
        yield from sheet.lines(self.past_lines)
        for _, runs in self._parts(sheet, self.used):
            yield from runs

    def labels(self, sheet: Sheet) -> Iterable[Request]:
        """Time and name along each line of the current fix."""
        theme = sheet.theme
        if not sheet.scene.of_kind(self.kind):
            return
        used, unused = style(theme, "line", bold=True), style(theme, "muted", small=True)
        shown = [(line, runs, used, 80.0) for line, runs in self._parts(sheet, self.used)]
        shown += [(line, runs, unused, 20.0) for line, runs in self._parts(sheet, self.unused)]
        for line, runs, lettering, priority in shown:
            longest = max(runs, key=length_px)
            shares = _SHARES if len(shown) <= _FEW else _SHARES[:3]
            places = partial(along, longest, clear_px=_CLEAR_PX * theme.scale, shares=shares)
            yield request(((line.text, lettering),), places, priority, key=f"line {line.id}", step=0.5)

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """The kinds on the picture."""
        if any(runs for _, runs in self._parts(sheet, self.used)):
            yield LegendEntry(self.words, self._sample, 20)
        if sheet.lines(self.origins):
            yield LegendEntry("line as observed", _sample_origin, 22)
        if sheet.lines(self.past_lines):
            yield LegendEntry("line of an earlier fix", _sample_past, 26)

    def _parts(self, sheet: Sheet, kind: Strokes[LineMark]) -> list[Part]:
        """Lines with the parts of them in the frame, where there are any."""

        def find() -> list[Part]:
            marks = kind.select(sheet.scene)
            parts: dict[int, list[Array]] = {}
            for run, number in zip(*sheet.numbered(kind), strict=True):
                parts.setdefault(number, []).append(run)
            return [(marks[number], runs) for number, runs in sorted(parts.items())]

        return sheet.kept(f"parts {kind.name}", find)

    def _sample(self, painter: QPainter, rect: Rect, theme: Theme) -> None:
        _level(painter, rect, pen(theme, "line", dash_px=self.dash_px))
        if self.sign is not None:
            middle = (rect.left + rect.right) / 2.0, (rect.top + rect.bottom) / 2.0
            _paint(painter, self.sign.path(*middle, 90.0, MARK_PX * theme.scale), theme)


def length_px(run: Array) -> float:
    """Length of a run (n, 2)."""
    return float(np.hypot(*np.diff(run, axis=0).T).sum())


def paint_signs(painter: QPainter, runs: Iterable[Array], sign: LineSign, theme: Theme) -> None:
    """Marks at intervals along runs, at least one on each that has room."""
    size, spacing = MARK_PX * theme.scale, _SPACING_PX * theme.scale
    whole = QPainterPath()
    for run in runs:
        steps = np.hypot(*np.diff(run, axis=0).T)
        reach = np.concatenate(([0.0], np.cumsum(steps)))
        count = max(1, int(reach[-1] // spacing))
        if reach[-1] < 4.0 * size:
            continue
        for at in (np.arange(count) + 0.5) * reach[-1] / count:
            number = min(max(int(np.searchsorted(reach, at)), 1), len(run) - 1)
            x, y = (float(np.interp(at, reach, run[:, axis])) for axis in (0, 1))
            dx, dy = (run[number] - run[number - 1]).tolist()
            whole.addPath(sign.path(x, y, math.degrees(math.atan2(dx, -dy)), size))
    _paint(painter, whole, theme)


def _paint(painter: QPainter, shape: QPainterPath, theme: Theme) -> None:
    painter.fillPath(shape, colour(theme, "ground"))
    painter.strokePath(shape, pen(theme, "line", dash_px=()))


def _level(painter: QPainter, rect: Rect, line: QPen) -> None:
    paint_sample_line(painter, QRectF(rect.left, rect.top, rect.width, rect.height), line)


def _sample_origin(painter: QPainter, rect: Rect, theme: Theme) -> None:
    _level(painter, rect, pen(theme, "origin"))


def _sample_past(painter: QPainter, rect: Rect, theme: Theme) -> None:
    _level(painter, rect, pen(theme, "line_past"))
