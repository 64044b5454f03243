"""Workings of heading checks and of the instruments that they check."""

from __future__ import annotations

from nightleg.flight.instruments import Instrument, instruments
from nightleg.flight.model import Flight
from nightleg.flight.solution import HeadingResult, Solution
from nightleg.flight.working_step import Step, Working
from nightleg.units.angles import MINUS, write_bearing
from nightleg.units.times import write_clock


def signed_deg(value: float, places: int = 1) -> str:
    """`+1.2°`, `−0.4°`, with a true minus."""
    text = f"{value:+.{places}f}".replace("-", MINUS)
    return f"{'0.0' if float(text.replace(MINUS, '-')) == 0.0 else text}°"


def check_working(flight: Flight, solution: Solution, found: HeadingResult) -> Working:
    """From the body's azimuth to the error of the instrument, and how that is carried on to the solution's now."""
    given = next(check for check in flight.heading_checks if check.id == found.id)
    kind = f"{found.shown} heading" if found.shown != "true" else "true heading"
    steps = [
        Step("Zn", write_bearing(found.zn, 1), f"of {found.body} at the DR", (("Hc", f"{found.hc:.1f}°"),)),
        Step(
            "true heading",
            write_bearing(found.true_heading_deg, 1),
            f"Zn {MINUS} relative bearing",
            (("relative bearing", f"{given.relative_bearing_deg:.1f}°"),),
        ),
    ]
    if found.shown != "true":
        how = "true heading less variation, east positive" if found.shown != "grid" else "true heading less convergence"
        steps.append(Step("should show", write_bearing(found.should_show_deg, 1), how))
    shown = (("shown", write_bearing(given.shown_deg, 1)), ("1σ", f"{given.sigma_deg:.1f}°"))
    steps.append(Step("error", signed_deg(found.error_deg), f"{kind} shown {MINUS} what it should show", shown))
    for instrument in instruments(flight, solution):
        if instrument.shown == found.shown and found.time <= instrument.time:
            steps += instrument_steps(instrument)
    return Working(of=found.id, title=f"heading by {found.body}, {write_clock(found.time)} GMT", steps=tuple(steps))


def instrument_steps(found: Instrument) -> list[Step]:
    """The error expected of an instrument, its rate, and what it means for headings."""
    checks = ", ".join(found.checks) or "none"
    since: tuple[tuple[str, str], ...] = (("checks", checks), ("since", write_clock(found.since)))
    if found.reset_by:
        since = (*since, ("set after", found.reset_by))
    steps = []
    if found.rate_deg_per_h is not None:
        value = f"{signed_deg(found.rate_deg_per_h)}/h ± {found.rate_sigma_deg_per_h:.1f}"
        steps.append(Step("apparent precession", value, "slope of the errors over time, by least squares", since))
    value = f"{signed_deg(found.error_deg)} ± {found.sigma_deg:.1f} at {write_clock(found.time)}"
    steps.append(Step(f"error of {found.shown} heading", value, found.words, since))
    steps.append(
        Step(
            "it will show",
            write_bearing(found.reads_deg, 1),
            "what it should show + its error",
            (("true heading of the DR", write_bearing(found.dr_heading_deg, 1)),),
        )
    )
    for meant in found.headings:
        how = "the heading of the leg less the error expected then, made true"
        given = (
            ("given", write_bearing(meant.given_deg, 1)),
            ("as the DR takes it", write_bearing(meant.dr_true_deg, 1)),
        )
        value = f"{write_bearing(meant.true_deg, 1)} ± {meant.sigma_deg:.1f} true"
        steps.append(Step(f"leg {meant.leg} means", value, how, given))
    return steps


def instrument_words(found: Instrument) -> str:
    """One entry of the log: what is expected of an instrument."""
    rate = ""
    if found.rate_deg_per_h is not None:
        rate = f", precession {signed_deg(found.rate_deg_per_h)}/h ± {found.rate_sigma_deg_per_h:.1f}"
    return (
        f"{found.shown} heading: error {signed_deg(found.error_deg)} ± {found.sigma_deg:.1f}{rate}; "
        f"TH {write_bearing(found.dr_heading_deg, 1)} will show {write_bearing(found.reads_deg, 1)}"
    )
