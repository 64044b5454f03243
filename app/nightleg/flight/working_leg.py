"""Workings of what a leg holds: heading, airspeed and wind by the form they were logged in, and their triangle."""

from __future__ import annotations

from nightleg.air.motion import vector, wind_vector
from nightleg.air.reckoning import Reckoning
from nightleg.flight.legs import HeldLeg, held_legs
from nightleg.flight.model import Flight, WindOfFix
from nightleg.flight.solution import Solution
from nightleg.flight.working_step import Step
from nightleg.units.angles import MINUS, write_bearing
from nightleg.units.times import instant, write_clock

Inputs = tuple[tuple[str, str], ...]

_TRIANGLE = "wind triangle"
_STANDARD = "standard atmosphere, ISO 2533"


def leg_steps(flight: Flight, solution: Solution, plot: Reckoning, time_s: float) -> tuple[Step, ...]:
    """What is held at an instant, and the track and ground speed that it makes."""
    held = held_legs(flight)[plot.leg_index(time_s)]
    return (
        _heading(held, plot, time_s),
        _airspeed(held, plot, time_s),
        _wind(held, solution, plot, time_s),
        *_triangle(plot, time_s),
    )


def held_inputs(plot: Reckoning, time_s: float) -> Inputs:
    """True heading, airspeed and wind at an instant, as what goes into a step."""
    leg = plot.leg(time_s)
    return (
        ("true heading", write_bearing(plot.heading(time_s), 1)),
        ("TAS", f"{leg.tas_kt:.0f} kt"),
        ("wind", wind_words(leg.wind_from_deg, leg.wind_kt)),
    )


def wind_words(from_deg: float, kt: float) -> str:
    """A wind as the log writes it, "310/45"."""
    return f"{write_bearing(from_deg).rstrip('°')}/{kt:.0f}"


def _heading(held: HeldLeg, plot: Reckoning, time_s: float) -> Step:
    """From the heading as logged, true where the leg begins; a great circle and a turn change it on the way."""
    leg, value = plot.leg(time_s), write_bearing(plot.heading(time_s), 1)
    when = f"leg from {write_clock(instant(held.start_s))}"
    given = (f"{held.direction} heading logged", write_bearing(held.direction_deg, 1))
    deviation_deg = held.deviation_deg if held.direction == "compass" else 0.0
    added = (leg.heading_deg - held.direction_deg - deviation_deg + 180.0) % 360.0 - 180.0
    if plot.turning(time_s) is not None:
        return Step("true heading", value, "on the way to the heading of the leg, at a constant rate", (given,), when)
    start = f"{write_bearing(leg.heading_deg, 1)} where the leg begins"
    turns = "" if leg.steering == "rhumb" else f"; {start}, and it turns with the great circle"
    if held.direction == "track":
        logged = (("track logged", write_bearing(held.direction_deg, 1)),)
        return Step("true heading", value, f"track {MINUS} drift, by the wind triangle{turns}", logged, when)
    how, inputs, source = {
        "true": ("as logged", (), when),
        "magnetic": ("magnetic heading + variation, east positive", (("variation", _east(added)),), "IGRF-14"),
        "compass": (
            "compass heading + deviation + variation, east positive",
            (("deviation", _east(deviation_deg)), ("variation", _east(added))),
            "IGRF-14",
        ),
        "grid": ("grid heading + convergence, true less grid", (("convergence", _east(added)),), when),
    }[held.direction]
    return Step("true heading", value, how + turns, (given, *inputs), source)


def _east(deg: float) -> str:
    return f"{abs(deg):.1f}° {'W' if deg < 0.0 else 'E'}"


def _airspeed(held: HeldLeg, plot: Reckoning, time_s: float) -> Step:
    value, when = f"{plot.leg(time_s).tas_kt:.0f} kt", f"leg from {write_clock(instant(held.start_s))}"
    if held.speed == "gs":
        inputs = (("ground speed logged", f"{held.speed_value:.0f} kt"),)
        return Step("TAS", value, "by the wind triangle, from track and ground speed", inputs, when)
    if held.speed == "tas":
        return Step("TAS", value, "as logged", (("TAS logged", f"{held.speed_value:.0f} kt"),), when)
    from nightleg.air.speeds import mach_from_tas
    from nightleg.earth.atmosphere import pressure_hpa, temperature_c

    standard = held.temperature_c is None
    outside_c = float(temperature_c(held.altitude_ft)) if held.temperature_c is None else held.temperature_c
    air: Inputs = (
        ("altitude", f"{held.altitude_ft:.0f} ft"),
        ("temperature", f"{outside_c:.1f} °C{', standard' if standard else ''}".replace("-", MINUS)),
    )
    if held.speed == "mach":
        given: Inputs = (("Mach", f"{held.speed_value:.3f}"),)
        return Step("TAS", value, "Mach·38.968 kt·√(273.15 + temperature)", (*given, *air), _STANDARD)
    mach = float(mach_from_tas(plot.leg(time_s).tas_kt, held.altitude_ft, held.temperature_c))
    pressure = ("pressure", f"{float(pressure_hpa(held.altitude_ft)):.1f} hPa")
    given = (("CAS", f"{held.speed_value:.0f} kt"), ("Mach", f"{mach:.4f}"), pressure)
    how = (
        "1013.25·((1 + 0.2·(CAS/661.48)²)^3.5 − 1) = pressure·((1 + 0.2·Mach²)^3.5 − 1); "
        "TAS = Mach·38.968 kt·√(273.15 + temperature)"
    )
    return Step("TAS", value, how, (*given, *air), _STANDARD)


def _wind(held: HeldLeg, solution: Solution, plot: Reckoning, time_s: float) -> Step:
    leg, when = plot.leg(time_s), f"leg from {write_clock(instant(held.start_s))}"
    value = wind_words(leg.wind_from_deg, leg.wind_kt)
    if isinstance(held.wind, WindOfFix):
        name = held.wind.fix
        winds = [(fix.wind_from_deg, fix.wind_kt) for fix in solution.fixes if fix.id == name]
        found = (leg.wind_from_deg, leg.wind_kt) in winds
        how = f"found at fix {name}" if found else f"fix {name} has found none by then: the wind before is held on"
        return Step("wind", value, how, source=when)
    if held.wind.grid:
        inputs = (("grid wind logged", wind_words(held.wind.from_deg, held.wind.kt)),)
        return Step("wind", value, "grid direction + convergence, where the leg begins", inputs, when)
    return Step("wind", value, "as logged: from, degrees true/knots", source=when)


def _triangle(plot: Reckoning, time_s: float) -> tuple[Step, ...]:
    """Track, ground speed and drift; on a great circle the triangle is that of where the leg begins."""
    leg, gs_kt, track_deg = plot.leg(time_s), plot.gs_kt(time_s), plot.track(time_s)
    held = leg.steering == "rhumb" or plot.turning(time_s) is not None
    heading_deg = plot.heading(time_s) if held else leg.heading_deg
    air, blown = vector(heading_deg, leg.tas_kt), wind_vector(leg.wind_from_deg, leg.wind_kt)
    given = (("true heading", write_bearing(heading_deg, 1)), *held_inputs(plot, time_s)[1:])
    if gs_kt == 0.0:
        how = "air vector + wind vector: they are equal and opposite"
        return (Step("ground speed", "0 kt", how, given, _TRIANGLE),)
    parts = (("north", _kt(air[0] + blown[0])), ("east", _kt(air[1] + blown[1])))
    how = "air vector + wind vector: " + ("" if held else "where the leg begins, ")
    turns = "" if held else f"; {write_bearing(leg.track_deg, 1)} there, and then as the great circle turns"
    north = f"north = TAS·cos TH {MINUS} W·cos(wind from)"
    east = f"east = TAS·sin TH {MINUS} W·sin(wind from)"
    drift_deg = (track_deg - plot.heading(time_s) + 180.0) % 360.0 - 180.0
    side = "right" if drift_deg >= 0.0 else "left"
    both = (("track", write_bearing(track_deg, 1)), ("true heading", write_bearing(plot.heading(time_s), 1)))
    drift = Step("drift", f"{abs(drift_deg):.1f}° {side}", f"track {MINUS} heading, right positive", both, _TRIANGLE)
    return (
        Step(
            "track",
            write_bearing(track_deg, 1),
            f"{how}{north}, {east}, W its speed; tan TC = east/north{turns}",
            (*given, *parts),
            _TRIANGLE,
        ),
        Step("ground speed", f"{gs_kt:.0f} kt", f"{how}√(north² + east²)", parts, _TRIANGLE),
        drift,
    )


def _kt(value: float) -> str:
    return f"{value:+.1f} kt".replace("-", MINUS)
