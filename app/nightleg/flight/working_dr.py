"""The working of the dead reckoning at an instant."""

from __future__ import annotations

from datetime import datetime

from nightleg.air.reckoning import Reckoning
from nightleg.air.turn import radius_nm
from nightleg.fix.ellipse import sigma_per_axis_nm
from nightleg.flight.airplot import air_position
from nightleg.flight.model import Flight
from nightleg.flight.solution import Solution
from nightleg.flight.working_leg import leg_steps
from nightleg.flight.working_runs import run_steps
from nightleg.flight.working_step import Step, Working
from nightleg.units.angles import write_bearing
from nightleg.units.positions import Position, write_position
from nightleg.units.times import gmt_s, instant, write_clock


def dr_working(flight: Flight, solution: Solution, when: datetime) -> Working:
    """All steps of the DR at `when`: the leg flown, the runs since the last adopted fix, the uncertainty."""
    plot, time_s = solution.plot_at(when), gmt_s(when)
    steps = (
        _origin(solution, plot),
        *_turn(plot, time_s),
        *leg_steps(flight, solution, plot, time_s),
        *run_steps(plot, time_s),
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
