"""The air plot beside the track plot: where heading and true airspeed alone lead, begun anew at each adopted fix.

The way from the air position to a fix, over the time between, is the wind.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from nightleg.air.reckoning import Reckoning
from nightleg.flight.solution import TrackRun
from nightleg.units.positions import Position

__all__ = ["air_plot", "air_position", "air_runs"]


@lru_cache(maxsize=256)
def air_plot(plot: Reckoning) -> Reckoning:
    """The same headings and airspeeds in still air."""
    return plot.with_wind(0.0, 0.0)


@lru_cache(maxsize=1024)
def air_position(plot: Reckoning, time_s: float) -> Position | None:
    """The air position at an instant, gmt_s; None where a rhumb line leads over a pole."""
    if time_s == plot.time_s:
        return Position(plot.lat, plot.lon)
    lat, lon = (float(x) for x in air_plot(plot).position(time_s))
    return Position(lat, lon) if np.isfinite(lat) and np.isfinite(lon) else None


def air_runs(plots: Sequence[Reckoning], end_s: float, tick_minutes: int = 10) -> tuple[TrackRun, ...]:
    """The air plot as drawn: runs as those of the DR track, up to `end_s`."""
    from nightleg.flight.plotting import track_runs_of  # only for those who draw

    return track_runs_of(tuple(air_plot(plot) for plot in plots), end_s, tick_minutes)
