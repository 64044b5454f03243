"""The working of the dead reckoning at an instant."""

from __future__ import annotations

from datetime import datetime

from nightleg.air.reckoning import Reckoning
from nightleg.fix.ellipse import sigma_per_axis_nm
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
        *_triangle(plot, time_s),
        *_runs(plot, time_s),
        _position(plot, time_s),
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
    leg = plot.leg(time_s)
    inputs = (
        ("true heading", write_bearing(plot.heading(time_s), 1)),
        ("TAS", f"{leg.tas_kt:.0f} kt"),
        ("wind", f"{write_bearing(leg.wind_from_deg).rstrip('°')}/{leg.wind_kt:.0f}"),
    )
    how = "air vector + wind vector"
    if leg.gs_kt == 0.0:
        return (Step("ground speed", "0 kt", how, inputs, "wind triangle"),)
    drift = f"{abs(leg.drift_deg):.1f}° {'right' if leg.drift_deg >= 0.0 else 'left'}"
    return (
        Step("track", write_bearing(plot.track(time_s), 1), how, inputs, "wind triangle"),
        Step("ground speed", f"{leg.gs_kt:.0f} kt", how, inputs, "wind triangle"),
        Step("drift", drift, f"track {MINUS} heading, right positive", source="wind triangle"),
    )


def _runs(plot: Reckoning, time_s: float) -> list[Step]:
    steps = []
    for i, leg in enumerate(plot.legs):
        begin = plot.time_s if i == 0 else max(plot.time_s, leg.start_s)
        end = time_s if i + 1 == len(plot.legs) else min(time_s, plot.legs[i + 1].start_s)
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
