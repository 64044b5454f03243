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


def _origins(kind: str, in_hand: bool, scene: ChartScene) -> tuple[tuple[Position, ...], ...]:
    """Lines as observed that are also shown moved, and those left out of the fix."""
    found = (line for line in scene.of_kind(kind) if line.current and line.in_hand is in_hand)
    return tuple(line.observed for line in found if line.moved or not line.used)


def _past(kind: str, scene: ChartScene) -> tuple[tuple[Position, ...], ...]:
    return tuple(line.advanced for line in scene.of_kind(kind) if not line.current and line.used)


def _used(kind: str, in_hand: bool, scene: ChartScene) -> tuple[LineMark, ...]:
    """Lines of the current fix; empty runs have no number in a bundle."""
    found = (line for line in scene.of_kind(kind) if line.current and line.in_hand is in_hand)
    return tuple(line for line in found if line.used and line.advanced)


def _unused(kind: str, scene: ChartScene) -> tuple[LineMark, ...]:
    return tuple(line for line in scene.of_kind(kind) if line.current and not line.used and line.observed)


def _runs(lines: tuple[LineMark, ...]) -> Bundle:
    return of_runs(map(_shown, lines))


class LineLayer(Layer):
    """Lines of one kind: those of the current fix strong, those of fixes before thin and short.

    The line that is being typed is painted for itself, above those that stay as they are meanwhile.
    """

    kind: ClassVar[str]
    """Which lines of the scene."""
    words: ClassVar[str]
    """What the legend calls one."""
    dash_px: ClassVar[tuple[float, ...]] = ()
    sign: ClassVar[LineSign | None] = None
    z = 41
    origins: ClassVar[tuple[Strokes[Any], Strokes[Any]]]
    """Those that are settled, and that of the line in hand; so are `used`."""
    past_lines: ClassVar[Strokes[Any]]
    used: ClassVar[tuple[Strokes[Any], Strokes[Any]]]
    unused: ClassVar[Strokes[Any]]

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()
        kind = cls.kind
        cls.origins = (
            Strokes(f"{kind} origins", partial(_origins, kind, False), of_runs),
            Strokes(f"{kind} origin in hand", partial(_origins, kind, True), of_runs),
        )
        cls.past_lines = Strokes(f"{kind} past", partial(_past, kind), of_runs)
        cls.used = (
            Strokes(f"{kind} current", partial(_used, kind, False), _runs),
            Strokes(f"{kind} in hand", partial(_used, kind, True), _runs),
        )
        cls.unused = Strokes(f"{kind} left out", partial(_unused, kind), _runs)
        cls.strokes = (*cls.origins, cls.past_lines, *cls.used, cls.unused)

    def dash_of(self, line: LineMark) -> tuple[float, ...]:
        """The dash that a line is drawn in, px at scale 1."""
        return self.dash_px

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """The line in hand."""
        if sheet.scene.of_kind(self.kind):
            self._paint_current(painter, sheet, 1)

    def _paint_current(self, painter: QPainter, sheet: Sheet, number: int) -> None:
        """From faint to strong: of the current fix what is settled (0) or in hand (1)."""
        theme = sheet.theme
        stroke(painter, sheet.lines(self.origins[number]), pen(theme, "origin"))
        parts = self._parts(sheet, self.used[number])
        name: PenName = "line_crowded" if self._is_crowded(sheet) else "line"
        dashed: dict[tuple[float, ...], list[Array]] = {}
        for line, found in parts:
            dashed.setdefault(self.dash_of(line), []).extend(found)
        for dash, runs in dashed.items():
            stroke(painter, runs, pen(theme, name, dash_px=dash))
        if self.sign is not None:
            paint_signs(painter, [run for _, found in parts for run in found], self.sign, theme)

    def _is_crowded(self, sheet: Sheet) -> bool:
        return len(self.used[0].select(sheet.scene)) >= _FEW

    def settled(self, sheet: Sheet) -> tuple[object, ...]:
        """Lines of earlier fixes, and of the current one those that are not in hand."""
        kinds = (self.past_lines, self.origins[0], self.used[0])
        return tuple(kind.select(sheet.scene) for kind in kinds) if sheet.scene.of_kind(self.kind) else ()

    def paint_settled(self, painter: QPainter, sheet: Sheet) -> None:
        """The same."""
        if sheet.scene.of_kind(self.kind):
            runs = sheet.lines(self.past_lines)
            stroke(painter, runs, pen(sheet.theme, "line_past", dash_px=self.dash_px or None))
            self._paint_current(painter, sheet, 0)

    def ink(self, sheet: Sheet) -> Iterable[Array]:
        """All of them."""
        yield from sheet.lines(self.past_lines)
        for kind in (*self.origins, *self.used):
            yield from sheet.lines(kind)

    def labels(self, sheet: Sheet) -> Iterable[Request]:
        """Time and name along each line of the current fix."""
        if not sheet.scene.of_kind(self.kind):
            return
        settled, in_hand = self.used
        crowded = self._is_crowded(sheet)
        of = settled.select(sheet.scene), self.unused.select(sheet.scene), crowded
        yield from sheet.remembered(
            f"labels {settled.name}",
            of,
            lambda: [*self._requests(sheet, settled, crowded), *self._requests(sheet, self.unused, crowded)],
        )
        yield from self._requests(sheet, in_hand, crowded)

    def _requests(self, sheet: Sheet, kind: Strokes[LineMark], crowded: bool) -> Iterable[Request]:
        theme = sheet.theme
        lettering = style(theme, "muted", small=True) if kind is self.unused else style(theme, "line", bold=True)
        priority, shares = 20.0 if kind is self.unused else 80.0, _SHARES[:3] if crowded else _SHARES
        for line, runs in self._parts(sheet, kind):
            longest = max(runs, key=length_px)
            places = partial(along, longest, clear_px=_CLEAR_PX * theme.scale, shares=shares)
            key, name = f"line {line.id}", line.text.partition(" ")[2]
            can = bool(name) and not crowded
            shorter = request(((name, lettering),), places, priority, key=key, step=0.5) if can else None
            yield request(((line.text, lettering),), places, priority, key=key, step=0.5, shorter=shorter)

    def legend(self, sheet: Sheet) -> Iterable[LegendEntry]:
        """The kinds on the picture."""
        if any(sheet.lines(kind) for kind in self.used):
            yield LegendEntry(self.words, self._sample, 20, lettered=True)
        if any(sheet.lines(kind) for kind in self.origins):
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
