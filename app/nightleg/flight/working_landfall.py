"""The working of a landfall: the line, the aim-off, the two runs, the readings prepared."""

from __future__ import annotations

from nightleg.flight.landfall import BEYOND_SIGMAS, LandfallResult, Run, landfall
from nightleg.flight.model import Flight, Landfall
from nightleg.flight.solution import Solution
from nightleg.flight.working_step import Step, Working
from nightleg.units.angles import MINUS, write_angle, write_bearing
from nightleg.units.positions import write_position
from nightleg.units.times import write_clock

PRACTICE = "air-navigation practice"


def landfall_working(flight: Flight, solution: Solution, wanted: Landfall) -> Working:
    """All steps of one landfall. Raises EphemerisRangeError."""
    found = landfall(flight, solution, wanted)
    steps = [Step("cautions", "; ".join(found.warnings))] if found.warnings else []  # before any preset
    steps += [
        Step(f"destination {found.name}", write_position(found.destination)),
        Step("Hc at the destination", write_angle(found.hc), source="as of a sight, from the destination"),
        Step("Zn at the destination", write_bearing(found.zn, 1), source="as of a sight, from the destination"),
        Step(
            "line",
            write_bearing(found.line_deg, 1),
            f"Zn + 90° or Zn {MINUS} 90°, whichever lies on the side of the aim-off",
            (("side", found.side), ("Zn", write_bearing(found.zn, 1))),
            "the circle of equal altitude through the destination",
        ),
        Step(
            "aim-off",
            f"{found.aim_off_nm:.0f} NM {found.side}",
            "as given" if wanted.aim_off_nm is not None else f"{BEYOND_SIGMAS:g}σ of the DR along the line, rounded up",
            (("σ of the DR along the line", f"{found.sigma_nm:.1f} NM"), ("2σ", f"{2.0 * found.sigma_nm:.1f} NM")),
            "more than 2σ, so that the destination lies on the other side of the turn",
        ),
    ]
    if found.turn is not None and found.to_turn is not None and found.down is not None and found.turn_deg is not None:
        steps += _runs(found)
    for row in found.table:
        inputs = (("Hc", write_angle(row.hc)), ("Zn", write_bearing(row.zn, 1)))
        name = f"preset {write_clock(row.time)}"
        how = f"Hc {MINUS} corrections: the chain of a sight reversed"
        steps.append(Step(name, write_angle(row.preset), how, inputs))
    return Working(of=found.id, title=f"landfall {found.id}, {found.body} at {found.name}", steps=tuple(steps))


def _runs(found: LandfallResult) -> list[Step]:
    assert found.turn is not None and found.to_turn is not None and found.down is not None
    assert found.turn_deg is not None
    side = "right" if found.turn_deg >= 0.0 else "left"
    return [
        Step("turn", write_position(found.turn), "the aim-off laid off along the circle of equal altitude"),
        _run("heading to the turn", found.to_turn, (("from", write_position(found.dr)),)),
        Step(
            "line reached",
            f"{write_clock(found.to_turn.end)} GMT",
            "distance over ground speed; the line is that of this time",
            (("begun", f"{write_clock(found.begin)} GMT"), ("turn when Ho is", write_angle(found.hc))),
            PRACTICE,
        ),
        Step("turn onto the line", f"{abs(found.turn_deg):.0f}° {side}", "track down the line less track to the turn"),
        _run("heading down the line", found.down, (("there at", f"{write_clock(found.down.end)} GMT"),)),
    ]


def _run(name: str, run: Run, more: tuple[tuple[str, str], ...]) -> Step:
    inputs = (
        ("track", write_bearing(run.track_deg, 1)),
        ("distance", f"{run.distance_nm:.1f} NM"),
        ("ground speed", f"{run.gs_kt:.0f} kt"),
        *more,
    )
    how = "the heading that makes the track in the wind held"
    return Step(name, write_bearing(run.heading_deg, 1), how, inputs, "wind triangle")
