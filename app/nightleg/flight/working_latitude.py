"""The working of a latitude by Polaris or by meridian passage, beside the exact line."""

from __future__ import annotations

import math

from nightleg.flight.latitudes import LatitudeFound, latitude_found
from nightleg.flight.model import Flight
from nightleg.flight.solution import SightResult, Solution
from nightleg.flight.working_step import Step
from nightleg.units.angles import MINUS, write_angle, write_arcmin
from nightleg.units.positions import write_latitude, write_longitude
from nightleg.units.times import write_clock

PASSAGE, EXACT = "latitude by meridian passage", "latitude by the exact line"
SERIES = "series in the polar distance, as in the almanacs' Polaris tables; the fix rests on the exact line"
CHAUVENET = "W. Chauvenet, Spherical and Practical Astronomy: reduction to the meridian (from memory)"
MOVING = "observer and body both move: their altitude is worked minute by minute along the DR"


def latitude_steps(flight: Flight, solution: Solution, sight: SightResult) -> tuple[Step, ...]:
    """The steps that follow the intercept of a sight which gives a latitude; none for any other sight."""
    found = latitude_found(flight, solution, sight)
    if found is None:
        return ()
    return _polaris(found) if found.by == "polaris" else _meridian(found, sight)


def _polaris(found: LatitudeFound) -> tuple[Step, ...]:
    p, t = math.radians(90.0 - found.dec), math.radians(found.lha)
    first = -math.degrees(p * math.cos(t)) * 60.0
    second = math.degrees(0.5 * p * math.sin(p) * math.sin(t) ** 2 * math.tan(math.radians(found.ho))) * 60.0
    inputs = (
        ("Ho", write_angle(found.ho)),
        ("p, polar distance", f"{(90.0 - found.dec) * 60.0:.1f}′"),
        ("t, LHA at the DR", write_angle(found.lha, wrap=True)),
        (f"{MINUS}p·cos t", write_arcmin(first, 2)),
        ("½·p·sin p·sin²t·tan Ho", write_arcmin(second, 2)),
    )
    formula = f"Ho {MINUS} p·cos t + ½·p·sin p·sin²t·tan Ho"
    return (Step("latitude by Polaris", write_latitude(found.lat), formula, inputs, SERIES), _exact(found))


def _meridian(found: LatitudeFound, sight: SightResult) -> tuple[Step, ...]:
    assert found.transit_time is not None
    lower = found.transit == "lower"
    steps = [
        Step(
            f"{found.transit} transit",
            f"{write_clock(found.transit_time, seconds=True)} GMT",
            f"when LHA is {180 if lower else 0}° at the moving DR",
            (("longitude then", write_longitude(found.lon)),) if found.readings > 1 else (),
            MOVING,
        ),
        _greatest(found),
        _altitude(found, sight),
        Step(
            PASSAGE,
            write_latitude(found.lat),
            _rule(found),
            (
                ("H on the meridian", write_angle(found.ho)),
                ("Dec", write_latitude(found.dec)),
                ("for", f"{write_clock(found.time, seconds=True)} GMT"),
            ),
            "geometry of the meridian",
        ),
        _exact(found),
    ]
    return tuple(steps)


def latitude_name(found: LatitudeFound) -> str:
    """What a latitude is by: "latitude by Polaris"."""
    return "latitude by Polaris" if found.by == "polaris" else f"latitude by {found.transit} transit"


def _rule(found: LatitudeFound) -> str:
    if found.transit == "lower":
        return f"(90° {MINUS} Dec) + H" if found.dec >= 0.0 else f"{MINUS}(90° + Dec) {MINUS} H, south negative"
    sign = "+" if found.lat >= found.dec else MINUS
    side = "south" if found.lat >= found.dec else "north"
    return f"Dec {sign} (90° {MINUS} H), the body {side} of the zenith; north positive"


def _greatest(found: LatitudeFound) -> Step:
    """The greatest altitude, which is not that of the transit for one who moves north or south."""
    name = "least altitude" if found.transit == "lower" else "greatest altitude"
    if found.greatest_time is None or found.greatest_deg is None or found.transit_time is None:
        return Step(name, "none within three hours", "the run north or south outweighs the curve", source=MOVING)
    minutes = (found.greatest_time - found.transit_time).total_seconds() / 60.0
    off = (found.greatest_deg - found.ho) * 60.0
    whence = "of the fitted curve" if found.readings > 1 else "at the DR"
    inputs = [(f"after the transit, {whence}", f"{minutes:+.1f} min".replace("-", MINUS))]
    if found.readings > 1:
        inputs.append(("taken for the altitude on the meridian it would be off by", write_arcmin(off, 1)))
    clock = f"{write_clock(found.greatest_time, seconds=True)} GMT"
    return Step(name, f"{write_angle(found.greatest_deg)} at {clock}", "", tuple(inputs), MOVING)


def _altitude(found: LatitudeFound, sight: SightResult) -> Step:
    """The altitude on the meridian: by reduction of one shot, or by the curve of a series."""
    value = write_angle(found.ho)
    if found.readings > 1:
        how = "the curve of the altitude at the moving DR, raised and tilted to fit the readings, where it is transit"
        inputs = (("readings", str(found.readings)),)
        return Step("H on the meridian", value, how, inputs, f"least squares; {MOVING}")
    assert found.reduction_arcmin is not None and found.left_out_arcmin is not None and sight.ho is not None
    minutes = (found.transit_time - sight.time).total_seconds() / 60.0 if found.transit_time else 0.0
    return Step(
        "H on the meridian",
        value,
        f"Ho reduced by A·m {MINUS} A²·cot z·m²/2, A = cos L·cos d/sin z, m = 2·sin²(t/2)",
        (
            ("Ho", write_angle(sight.ho)),
            ("reduction", write_arcmin(found.reduction_arcmin, 2)),
            ("transit after the shot", f"{minutes:+.1f} min".replace("-", MINUS)),
            ("left out at the most", f"{found.left_out_arcmin:.3f}′"),
        ),
        CHAUVENET,
    )


def _exact(found: LatitudeFound) -> Step:
    """Where the exact circle of equal altitude crosses the meridian of the DR."""
    inputs = [
        ("the rule lies from it", f"{found.difference_nm:+.2f} NM, north positive".replace("-", MINUS)),
        ("longitude of the DR", write_longitude(found.lon)),
    ]
    if found.left_out_arcmin is not None:
        inputs.append(("the rule leaves out at the most", f"{found.left_out_arcmin:.3f}′"))
    where = "where the circle of equal altitude crosses the meridian of the DR"
    if found.readings > 1:
        where += ", the line carried to the transit"
    return Step(EXACT, write_latitude(found.exact_lat), where, tuple(inputs), "exact circle")
