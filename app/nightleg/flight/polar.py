"""What a pole near a fix does to it: where a run has no direction, and where it cannot be carried back."""

from __future__ import annotations

import numpy as np

from nightleg.earth.local import between, offset
from nightleg.flight.fixwork import POLAR_DEG, FixWork

_POLE_DEG = 89.95
_MOST_STRETCH = 1.25  # of a mile beside the DR on the way back to the first observation


def polar_fault(work: FixWork) -> str:
    """Why a fix near a pole has no position, where the pole is the reason; empty if it is not."""
    if abs(work.dr.lat) > _POLE_DEG and work.plot.leg(work.time_s).steering == "rhumb":
        return 'the DR is at the pole, where a rhumb line has no direction: steering = "great_circle"'
    return ""


def polar_caution(work: FixWork) -> str:
    """What has to be said of an ellipse near a pole; empty if nothing.

    Places beside the DR are carried back to each shot on tracks of their own. Where these meet at the pole, a mile at
    the fix is many miles at the shot or the other way round, which no error of the aircraft is.
    """
    times = [shot.time_s for shot in work.shots] + [line.time_s for line in work.lines]
    first_s = min(times, default=work.time_s)
    if abs(work.dr.lat) < POLAR_DEG or work.plot.leg(first_s).steering == "rhumb":
        return ""
    lats, lons = offset(*work.dr, np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0]))
    lat, lon = work.plot.carry(lats, lons, work.time_s, first_s)
    beside = np.stack(between(lat[0], lon[0], lat[1:], lon[1:]))
    stretch = np.linalg.svd(beside, compute_uv=False) if np.isfinite(beside).all() else np.array([np.inf])
    if np.all((stretch < _MOST_STRETCH) & (stretch > 1.0 / _MOST_STRETCH)):
        return ""
    return (
        "great circles from places beside the DR meet at the pole between the shots and the fix: position and ellipse "
        "are not to be trusted; set the fix to the time of a shot"
    )
