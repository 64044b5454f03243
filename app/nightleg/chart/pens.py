"""Qt pens and colours of a theme's named roles."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPen

from nightleg.chart.memory import Same
from nightleg.chart.themes import PenName, Role, Theme


def colour(theme: Theme, role: Role, alpha: float = 1.0) -> QColor:
    """The colour of a role, `alpha` 0 (clear) to 1."""
    return _colour(theme.colours[role], alpha)


@lru_cache(maxsize=256)
def _colour(name: str, alpha: float) -> QColor:
    made = QColor(name)
    made.setAlphaF(alpha)
    return made


def pen(theme: Theme, name: PenName, *, dash_px: tuple[float, ...] | None = None) -> QPen:
    """The pen of that name; `dash_px` (at scale 1) takes the place of its own dashes."""
    return QPen(_pen(Same(theme), name, dash_px))


@lru_cache(maxsize=512)
def _pen(same: Same[Theme], name: PenName, dash_px: tuple[float, ...] | None) -> QPen:
    theme = same.of
    style = theme.pen(name)
    dashes = style.dash_px if dash_px is None else tuple(length * theme.scale for length in dash_px)
    made = QPen(colour(theme, style.role), style.width_px)
    made.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    # Dots are round, but only where a line is wide enough for it to be seen: flat caps are several times as quick.
    dotted = bool(dashes) and style.width_px > 1.0 and min(dashes) <= 1.7 * style.width_px
    cap = Qt.PenCapStyle.RoundCap if dotted else Qt.PenCapStyle.FlatCap if dashes else Qt.PenCapStyle.SquareCap
    made.setCapStyle(cap)
    if dashes:
        # Qt counts dashes in widths of the pen. A round cap adds a width of its own to each dash.
        extra = style.width_px if dotted else 0.0
        lengths = [max(length - extra, 0.01) if i % 2 == 0 else length + extra for i, length in enumerate(dashes)]
        made.setDashPattern([length / style.width_px for length in lengths])
    return made
