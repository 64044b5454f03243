"""Lines of position of sights: as observed, faint, and moved to the time of their fix."""

from __future__ import annotations

from nightleg.chart.layers.linelayer import LineLayer
from nightleg.chart.marks import SIGHT_LINE, LineMark
from nightleg.chart.themes import LINE_DASHES_PX


class LinesLayer(LineLayer):
    """Each line of the current fix in a dash of its own."""

    name = "lines"
    title = "Lines of position"
    kind = SIGHT_LINE
    words = "line of position"
    z = 40

    def dash_of(self, line: LineMark) -> tuple[float, ...]:
        """By its place among those of its fix."""
        return LINE_DASHES_PX[line.dash % len(LINE_DASHES_PX)]
