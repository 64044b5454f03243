"""Where lines run on a picture, so that labels can stay off them if there is a choice."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from nightleg.chart.box import Box
from nightleg.chart.memory import Same
from nightleg.chart.viewport import Rect

Array = NDArray[np.float64]
Cells = NDArray[np.intp]
_CELL_PX = 4.0


@dataclass
class InkMap:
    """The picture in cells of a few px, and which of them have ink."""

    width_px: float
    height_px: float
    cells: NDArray[np.bool_] = field(init=False)
    empty: bool = field(init=False, default=True)
    _sums: NDArray[np.int32] | None = field(init=False, default=None)

    def __post_init__(self) -> None:
        """Start without ink."""
        shape = (math.ceil(self.height_px / _CELL_PX) + 1, math.ceil(self.width_px / _CELL_PX) + 1)
        self.cells = np.zeros(shape, dtype=bool)

    def add(self, runs: Iterable[Array], known: dict[Same[Array], Cells] | None = None) -> dict[Same[Array], Cells]:
        """Mark runs of points (n, 2), px, already clipped to the picture.

        Returns the cells of each run; those of runs that are in `known` are not worked out again.
        """
        known = known or {}
        wanted = [Same(run) for run in runs if len(run) >= 2]
        fresh = [run for run in wanted if run not in known]
        made = dict(zip(fresh, self._cells([run.of for run in fresh]), strict=True)) if fresh else {}
        cells = {run: made[run] if run in made else known[run] for run in wanted}
        if cells:
            self._sums, self.empty = None, False
            self.cells.reshape(-1)[np.concatenate(list(cells.values()))] = True
        return cells

    def _cells(self, runs: list[Array]) -> list[Cells]:
        """The cells that each run goes through, counted along the rows."""
        start = np.concatenate([run[:-1] for run in runs])
        step = np.concatenate([run[1:] - run[:-1] for run in runs])
        counts = np.maximum(np.ceil(np.hypot(step[:, 0], step[:, 1]) / _CELL_PX).astype(int), 1)
        which = np.repeat(np.arange(len(counts)), counts)
        first = np.repeat(np.cumsum(counts) - counts, counts)
        share = (np.arange(len(which)) - first + 0.5) / counts[which]
        spots = ((start[which] + share[:, None] * step[which]) / _CELL_PX).astype(np.intp)
        rows, columns = self.cells.shape
        inside = (spots >= 0).all(axis=1) & (spots[:, 1] < rows) & (spots[:, 0] < columns)
        owners = np.repeat(np.arange(len(runs)), [len(run) - 1 for run in runs])[which][inside]
        cells = spots[inside, 1] * columns + spots[inside, 0]
        return np.split(cells, np.searchsorted(owners, np.arange(1, len(runs))))

    def share_under(self, box: Box) -> float:
        """Share of the box's cells that have ink, 0 to 1; of a turned box, share of a grid of points in it."""
        if self.empty:
            return 0.0
        if box.angle_deg == 0.0:
            return self._share_upright(box.bounds())
        nx, ny = math.ceil(box.width / _CELL_PX) + 1, math.ceil(box.height / _CELL_PX) + 1
        a = math.radians(box.angle_deg)
        across = (np.arange(nx) / max(nx - 1, 1) - 0.5) * box.width
        down = ((np.arange(ny) / max(ny - 1, 1) - 0.5) * box.height)[:, None]
        x = box.x + across * math.cos(a) - down * math.sin(a)
        y = box.y + across * math.sin(a) + down * math.cos(a)
        rows, columns = self.cells.shape
        column = np.minimum(np.maximum((x / _CELL_PX).astype(int), 0), columns - 1)
        row = np.minimum(np.maximum((y / _CELL_PX).astype(int), 0), rows - 1)
        return float(np.count_nonzero(self.cells[row, column])) / (nx * ny)

    def _share_upright(self, bounds: Rect) -> float:
        """The same for an upright box, from sums over all cells above and to the left."""
        if self._sums is None:
            rows, columns = self.cells.shape
            self._sums = np.zeros((rows + 1, columns + 1), dtype=np.int32)
            np.cumsum(np.cumsum(self.cells, axis=0, dtype=np.int32), axis=1, out=self._sums[1:, 1:])
        sums = self._sums
        limits = (sums.shape[1] - 1, sums.shape[0] - 1)
        x0, x1 = (min(max(int(v / _CELL_PX) + up, 0), limits[0]) for v, up in ((bounds.left, 0), (bounds.right, 1)))
        y0, y1 = (min(max(int(v / _CELL_PX) + up, 0), limits[1]) for v, up in ((bounds.top, 0), (bounds.bottom, 1)))
        cells = (x1 - x0) * (y1 - y0)
        ink = int(sums[y1, x1]) - int(sums[y0, x1]) - int(sums[y1, x0]) + int(sums[y0, x0])
        return ink / cells if cells > 0 else 0.0
