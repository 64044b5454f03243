"""The working of the dead reckoning at an instant."""

from __future__ import annotations

import math
from datetime import datetime

import numpy as np

from nightleg.air.reckoning import Reckoning
from nightleg.air.turn import radius_nm
from nightleg.earth.local import between
from nightleg.fix.ellipse import sigma_per_axis_nm
from nightleg.flight.airplot import air_position
from nightleg.flight.model import Flight
from nightleg.flight.solution import Solution
from nightleg.flight.working import Step, Working
from nightleg.units.angles import MINUS, write_bearing
from nightleg.units.positions import Position, write_position
from nightleg.units.times import gmt_s, instant, write_clock


def dr_working(flight: Flight, solution: Solution, when: datetime) -> Working:
    """All steps of the DR at `when`: the leg flown, the runs since the last adopted fix, the uncertainty."""
    plot, time_s = solution.plot_at(when), gmt_s(when)
    steps = (
        _origin(solution, plot),
        *_turn(plot, time_s),
        *_triangle(plot, time_s),
        *_runs(plot, time_s),
        _position(plot, time_s),
        *_air(plot, time_s),
        _sigma(flight, plot, time_s),
    )
    return Working(of="dr", title=f"DR, {write_clock(when, seconds=True)} GMT", steps=steps)


def _origin(solution: Solution, plot: Reckoning) -> Step:
    fixes = [state.of for state in solution.dr if state.kind == "fix" and gmt_s(state.time) == plot.time_s]
    whence = f"fix {fixes[-1]}" if fixes else "start"
    return Step(
        f"from {whence}",
        write_position(Position(plot.lat, plot.lon)),
        inputs=(("at", f"{write_clock(instant(plot.time_s))} GMT"),),
        source="the last adopted fix, or the start",
    )


def _triangle(plot: Reckoning, time_s: float) -> tuple[Step, ...]:
    leg, gs_kt, track_deg = plot.leg(time_s), plot.gs_kt(time_s), plot.track(time_s)
    drift_deg = (track_deg - plot.heading(time_s) + 180.0) % 360.0 - 180.0
    inputs = (
        ("true heading", write_bearing(plot.heading(time_s), 1)),
        ("TAS", f"{leg.tas_kt:.0f} kt"),
        ("wind", f"{write_bearing(leg.wind_from_deg).rstrip('°')}/{leg.wind_kt:.0f}"),
    )
    how = "air vector + wind vector"
    if gs_kt == 0.0:
        return (Step("ground speed", "0 kt", how, inputs, "wind triangle"),)
    drift = f"{abs(drift_deg):.1f}° {'right' if drift_deg >= 0.0 else 'left'}"
    return (
        Step("track", write_bearing(track_deg, 1), how, inputs, "wind triangle"),
        Step("ground speed", f"{gs_kt:.0f} kt", how, inputs, "wind triangle"),
        Step("drift", drift, f"track {MINUS} heading, right positive", source="wind triangle"),
    )


def _runs(plot: Reckoning, time_s: float) -> list[Step]:
    steps = []
    for i, leg in enumerate(plot.legs):
        begin = plot.time_s if i == 0 else max(plot.time_s, leg.start_s)
        end = time_s if i + 1 == len(plot.legs) else min(time_s, plot.legs[i + 1].start_s)
        rolled_s = leg.start_s + leg.turn.duration_s if leg.turn is not None else begin
        if leg.turn is not None and begin < min(rolled_s, end):
            steps.append(_arc(plot, begin, min(rolled_s, end)))
            begin = min(rolled_s, end)
        if end > begin:
            path = "rhumb line" if leg.steering == "rhumb" else "great circle"
            steps.append(
                Step(
                    f"run {write_clock(instant(begin))} to {write_clock(instant(end))}",
                    f"{leg.gs_kt * (end - begin) / 3600.0:.1f} NM on {write_bearing(plot.track(begin), 1)}",
                    f"ground speed·time, along a {path}",
                    (("ground speed", f"{leg.gs_kt:.0f} kt"), ("time", f"{(end - begin) / 60.0:.1f} min")),
                    "WGS 84",
                )
            )
    return steps


def _turn(plot: Reckoning, time_s: float) -> tuple[Step, ...]:
    """The turn that is being flown."""
    turn, leg = plot.turning(time_s), plot.leg(time_s)
    if turn is None:
        return ()
    inputs = (
        ("from", write_bearing(turn.from_deg, 1)),
        ("by", f"{abs(turn.by_deg):.0f}° {'right' if turn.by_deg > 0.0 else 'left'}"),
        ("bank", f"{turn.bank_deg:g}°"),
        ("TAS", f"{leg.tas_kt:.0f} kt"),
    )
    radius = f"{float(radius_nm(leg.tas_kt, turn.bank_deg)):.1f} NM in {turn.duration_s:.0f} s"
    how = "radius TAS²/(68 625·tan bank) in the air mass, which the wind drifts"
    return (Step("turn", radius, how, inputs, "constant bank, balanced turn"),)


def _arc(plot: Reckoning, begin: float, end: float) -> Step:
    lats, lons = plot.position(np.array([begin, end]))
    north, east = (float(x) for x in between(lats[0], lons[0], lats[1], lons[1]))
    toward = write_bearing(math.degrees(math.atan2(east, north)) % 360.0, 1)
    return Step(
        f"turn {write_clock(instant(begin))} to {write_clock(instant(round(end)), seconds=True)}",
        f"{math.hypot(north, east):.1f} NM on {toward}",
        "chord of the arc in the air, and the wind over its time",
        (("time", f"{(end - begin) / 60.0:.1f} min"),),
        "WGS 84",
    )


def _air(plot: Reckoning, time_s: float) -> tuple[Step, ...]:
    """The air position."""
    found = air_position(plot, time_s)
    if found is None:
        return ()
    how = "heading and TAS alone since the last adopted fix; the wind does not enter"
    return (Step("air position", write_position(found), how, source="air plot"),)


def _position(plot: Reckoning, time_s: float) -> Step:
    lat, lon = plot.position(time_s)
    return Step("position", write_position(Position(float(lat), float(lon))), "the runs laid off on the ellipsoid")


def _sigma(flight: Flight, plot: Reckoning, time_s: float) -> Step:
    return Step(
        "1σ of each axis",
        f"{sigma_per_axis_nm(plot.covariance(time_s)):.1f} NM",
        "σ² = σ₀² + (σ of the wind·hours)²",
        (
            ("σ₀", f"{sigma_per_axis_nm(plot.cov_nm2):.1f} NM"),
            ("σ of the wind", f"{flight.wind_uncertainty.sigma_kt:.0f} kt"),
            ("hours", f"{plot.hours(time_s):.2f}"),
        ),
        "air-navigation practice",
    )
