"""The dead reckoning at an instant as a solution tells it, and a solution brought to another instant.

When only the time moves, fixes, sights and plots stay as they are: nothing but the last DR position is worked anew.
"""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache
from typing import Literal

from msgspec.structs import replace

from nightleg.air.reckoning import Reckoning, last_plot
from nightleg.fix.ellipse import sigma_per_axis_nm
from nightleg.flight.plots import HIGHEST_RHUMB_DEG
from nightleg.flight.solution import DrState, Solution
from nightleg.sky.timescale import prediction_note
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s, instant


@lru_cache(maxsize=1024)
def dr_state(
    kind: Literal["start", "leg", "fix", "now"], plot: Reckoning, time_s: float, of: str | None = None
) -> DrState:
    """What a DR plot says of an instant, `gmt_s`. Kept, since an edit leaves most of a flight as it was."""
    leg, (lat, lon) = plot.leg(time_s), plot.position(time_s)
    cov = plot.covariance(time_s)
    if kind == "leg" or plot.turning(time_s) is None:  # a leg's entry tells what it holds, once it has turned
        gs_kt, heading_deg = leg.gs_kt, plot.heading(_settled(plot, time_s))
        track_deg = plot.track(_settled(plot, time_s))
    else:
        gs_kt, heading_deg, track_deg = plot.gs_kt(time_s), plot.heading(time_s), plot.track(time_s)
    moving = gs_kt > 0.0
    # drift is held on a leg that keeps the grid, so the wind turns with the heading as meridians converge
    turned = heading_deg - leg.heading_deg if leg.grid_n and plot.turning(time_s) is None else 0.0
    return DrState(
        kind=kind,
        time=instant(time_s),
        position=Position(float(lat), float(lon)),
        track_deg=track_deg if moving else None,
        gs_kt=gs_kt,
        drift_deg=(track_deg - heading_deg + 180.0) % 360.0 - 180.0 if moving else None,
        heading_deg=heading_deg,
        tas_kt=leg.tas_kt,
        wind_from_deg=(leg.wind_from_deg + turned) % 360.0 if turned else leg.wind_from_deg,
        wind_kt=leg.wind_kt,
        altitude_ft=leg.altitude_ft,
        cov_nm2=((float(cov[0, 0]), float(cov[0, 1])), (float(cov[1, 0]), float(cov[1, 1]))),
        sigma_nm=sigma_per_axis_nm(cov),
        of=of,
    )


def _settled(plot: Reckoning, time_s: float) -> float:
    """`time_s`, or the end of the turn that is being flown then."""
    turn = plot.turning(time_s)
    return time_s if turn is None else plot.leg(time_s).start_s + turn.duration_s


def moved(solution: Solution, now: datetime) -> Solution | None:
    """The same solution at another `now`, not before the start; None where it must be solved anew.

    That is where what it warns of depends on the time: near the poles, and where the Earth's rotation begins to be a
    prediction.
    """
    last, time_s = solution.dr[-1], gmt_s(now)
    if last.kind != "now" or time_s < solution.plots[0].time_s:
        return None
    if prediction_note(time_s) != prediction_note(gmt_s(last.time)):
        return None
    state = dr_state("now", last_plot(solution.plots, time_s), time_s)
    if max(abs(state.position.lat), abs(last.position.lat)) <= HIGHEST_RHUMB_DEG:  # nan is not
        return replace(solution, now=now, dr=(*solution.dr[:-1], state))
    return None
