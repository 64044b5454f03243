"""Land outlines at two resolutions, from Natural Earth (see `resources/README.md`).

`coarse` is meant for charts smaller than about 1 : 10 000 000, `fine` for larger ones. A ring is closed without
repeating its first point; its longitudes run on, beyond 180 degrees where the land does, so that it can be drawn at
every whole turn that reaches into the view. Inland seas are rings too: land is what lies inside an odd number of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from nightleg.earth.conformal import Array, Numbers
from nightleg.resources import resource

Level = Literal["coarse", "fine"]
Indices = NDArray[np.intp]
Steps = NDArray[np.integer[Any]]

_UNIT_DEG = 0.001  # the files hold thousandths of a degree
COARSE_BEYOND_NM_PER_MM = 5.4  # 1 : 10 000 000


@dataclass(frozen=True, eq=False)
class LandOutlines:
    """Closed rings of latitudes and longitudes in degrees, the largest first; ring i is `offsets[i]:offsets[i + 1]`."""

    lat: Array
    lon: Array  # running on within a ring; its middle lies within -180 to 180
    offsets: Indices  # one more than there are rings
    seam: NDArray[
        np.bool_
    ]  # per point: its edge to the next point of the ring is no coast (over the pole): do not draw
    box: Array  # (4, rings): south, north, west, east in degrees

    @property
    def n_rings(self) -> int:
        """How many rings there are."""
        return self.offsets.size - 1

    def ring(self, index: int, shift_deg: float = 0.0) -> tuple[Array, Array, NDArray[np.bool_]]:
        """Latitudes, longitudes (turned by `shift_deg`) and seam marks of one ring."""
        part = slice(self.offsets[index], self.offsets[index + 1])
        return self.lat[part], self.lon[part] + shift_deg, self.seam[part]

    def rings_in(
        self,
        lat_min_deg: float,
        lat_max_deg: float,
        lon_min_deg: float,
        lon_max_deg: float,
        *,
        once: bool = False,
    ) -> tuple[Indices, Array]:
        """The rings whose box meets the area, and by how many degrees (whole turns) to move each to lie in it.

        The area's longitudes may run beyond 180; a western limit east of the eastern one means across the 180th
        meridian. A ring that reaches into the area from both sides is named for each, unless `once` is set: on a polar
        sheet, where a whole turn comes back to itself, two copies would count as a hole.
        """
        if not (lat_min_deg <= lat_max_deg and np.isfinite([lon_min_deg, lon_max_deg]).all()):
            raise ValueError(
                "an area needs its southern limit below its northern one and finite longitudes, "
                f"not {lat_min_deg:g} to {lat_max_deg:g} and {lon_min_deg:g} to {lon_max_deg:g} degrees"
            )
        if lon_max_deg < lon_min_deg:
            lon_max_deg += 360.0
        home = 360.0 * round(0.5 * (lon_min_deg + lon_max_deg) / 360.0)
        west, east = lon_min_deg - home, lon_max_deg - home
        level = np.flatnonzero((self.box[0] <= lat_max_deg) & (self.box[1] >= lat_min_deg))
        shifts = 360.0 * np.arange(-2.0, 3.0)
        meets = (self.box[2, level] + shifts[:, None] <= east) & (self.box[3, level] + shifts[:, None] >= west)
        turn, found = np.nonzero(meets)
        if once:
            found, first = np.unique(found, return_index=True)
            turn = turn[first]
        return level[found], shifts[turn] + home

    def is_land(self, lat_deg: Numbers, lon_deg: Numbers) -> NDArray[np.bool_]:
        """Whether each point lies on land (edges straight in latitude and longitude)."""
        lats, lons = np.broadcast_arrays(np.asarray(lat_deg, float), np.asarray(lon_deg, float))
        inside = np.zeros(lats.shape, dtype=bool)
        for at in np.ndindex(lats.shape):
            lat, lon = float(lats[at]), float(lons[at])
            count = 0
            for index, shift in zip(*self.rings_in(lat, lat, lon, lon), strict=True):
                y, x, _ = self.ring(int(index), float(shift))
                y2, x2 = np.roll(y, -1), np.roll(x, -1)
                crossing = (y > lat) != (y2 > lat)
                y, x, y2, x2 = y[crossing], x[crossing], y2[crossing], x2[crossing]
                count += int(np.count_nonzero(x + (lat - y) / (y2 - y) * (x2 - x) > lon))
            inside[at] = count % 2 == 1
        return inside


@cache
def outlines(level: Level) -> LandOutlines:
    """The outlines of that resolution, read once. Raises FileNotFoundError when they are not installed."""
    with np.load(resource("land", level + ".npz"), allow_pickle=False) as stored:
        first, count, step, seams = (stored[name] for name in ("first", "count", "step", "seam"))
    offsets = np.zeros(count.size + 1, dtype=np.intp)
    np.cumsum(count, out=offsets[1:])
    starts = offsets[:-1]
    lat, lon = (_places(first[:, axis], count, starts, step[axis]) for axis in (0, 1))
    seam = np.zeros(lat.size, dtype=bool)
    seam[seams] = True
    box = np.array([end.reduceat(v, starts) for v in (lat, lon) for end in (np.minimum, np.maximum)])
    for array in (lat, lon, offsets, seam, box):
        array.flags.writeable = False
    return LandOutlines(lat, lon, offsets, seam, box)


def _places(first: Steps, count: Steps, starts: Indices, step: Steps) -> Array:
    """Degrees from the first points of the rings and the steps from point to point (0 at each ring's first point)."""
    run = np.cumsum(step, dtype=np.int32)
    run += np.repeat(first - run[starts], count)
    return np.multiply(run, _UNIT_DEG, dtype=np.float64)


def level_for(nm_per_mm: float) -> Level:
    """Which resolution suits a chart on which one millimetre is that many nautical miles."""
    return "coarse" if nm_per_mm > COARSE_BEYOND_NM_PER_MM else "fine"
