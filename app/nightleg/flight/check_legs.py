"""Checks of the legs: their order, and what of direction, speed and wind each one gives or inherits."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise

from nightleg.earth.magnetic import valid
from nightleg.flight.findings import Findings
from nightleg.flight.model import WindOfFix
from nightleg.flight.tables import Entry
from nightleg.units.errors import quoted
from nightleg.units.times import write_instant

DIRECTIONS = ("heading_deg", "heading_magnetic_deg", "heading_compass_deg", "heading_grid_deg", "track_deg")
SPEEDS = ("tas_kt", "cas_kt", "mach", "gs_kt")

_HEADINGS = "heading_deg, heading_magnetic_deg, heading_compass_deg or heading_grid_deg"
_AIRSPEEDS = "tas_kt, cas_kt or mach"


def check_legs(legs: Sequence[Entry], start: datetime | None, fixes: Sequence[Entry], findings: Findings) -> None:
    """Adds to `findings` what is wrong between the legs, with the start and with the fixes whose wind they take."""
    _check_order(legs, start, findings)
    _check_forms(legs, findings)
    times = {fix.given.get("id"): fix.get("time") for fix in fixes if isinstance(fix.given.get("id"), str)}
    for leg in legs:
        wind = leg.get("wind")
        if not isinstance(wind, WindOfFix):
            continue
        if wind.fix not in times:
            findings.add(leg.at("wind"), f"there is no fix {quoted(wind.fix, 40)}; right is the id of a [[fix]]")
            continue
        found, needed = times[wind.fix], leg.get("time")
        if found is not None and needed is not None and found > needed:
            message = (
                f"fix {quoted(wind.fix, 40)} at {write_instant(found)} is later than this leg, {write_instant(needed)}"
            )
            findings.add(leg.at("wind"), message + "; a leg can take only a wind that was known by then")


def _check_order(legs: Sequence[Entry], start: datetime | None, findings: Findings) -> None:
    first = legs[0].get("time") if legs else None
    if first is not None and start is not None and first > start:
        message = f"the first leg, at {write_instant(first)}, is after the start of the flight, {write_instant(start)}"
        findings.add(legs[0].at("time"), message + "; it must be held at the start")
    for before, leg in pairwise(legs):
        earlier, later = before.get("time"), leg.get("time")
        if earlier is not None and later is not None and later <= earlier:
            message = f"{write_instant(later)} is not later than the leg before, {write_instant(earlier)}"
            findings.add(leg.at("time"), message + "; legs stand in the order of their times")


def _check_forms(legs: Sequence[Entry], findings: Findings) -> None:
    """Of direction and of speed exactly one form, given or held; a track goes with a ground speed."""
    direction = speed = ""
    deviation = False
    for i, leg in enumerate(legs):
        deviation = deviation or "deviation_deg" in leg
        given = [key for key in DIRECTIONS if leg.gives(key)], [key for key in SPEEDS if leg.gives(key)]
        for keys, what in zip(given, ("direction", "speed"), strict=True):
            for key in keys[1:]:
                findings.add(leg.at(key), f"{key} and {keys[0]} both give the {what}; keep one of them")
        if leg.gives("deviation_deg") and given[0] and "heading_compass_deg" not in given[0]:
            message = f"deviation_deg is given beside {given[0][0]}; it belongs to heading_compass_deg alone"
            findings.add(leg.at("deviation_deg"), message)
        if len(given[0]) > 1 or len(given[1]) > 1:
            direction, speed = given[0][0] if given[0] else direction, given[1][0] if given[1] else speed
            if (direction == "track_deg") != (speed == "gs_kt"):
                direction = speed = ""  # said already; what follows cannot be judged by it
            continue
        # A key of another name that was meant for one of these has been told: it is neither missed nor judged.
        meant = [next((key for key in keys if key in leg.meant), "") for keys in (DIRECTIONS, SPEEDS)]
        if (meant[0] and not given[0]) or (meant[1] and not given[1]):
            direction, speed = (given[0] or [meant[0] or direction])[0], (given[1] or [meant[1] or speed])[0]
            if (direction == "track_deg") != (speed == "gs_kt"):
                direction = speed = ""
            continue
        direction, speed = (given[0] or [direction])[0], (given[1] or [speed])[0]
        if i == 0 and not direction:
            findings.add(leg.path, f"the first leg gives no direction; right is {_HEADINGS}, or track_deg with gs_kt")
        if i == 0 and not speed:
            findings.add(leg.path, f"the first leg gives no speed; right is {_AIRSPEEDS}, or gs_kt with track_deg")
        if direction and speed and (direction == "track_deg") != (speed == "gs_kt"):
            findings.add(leg.path, _unmatched(direction, speed, bool(given[0]), bool(given[1])))
            direction = speed = ""
        if direction == "heading_compass_deg" and given[0] and not deviation:
            message = "deviation_deg is missing; heading_compass_deg needs it (0.0 if the compass has none)"
            findings.add(leg.path, message)
        _check_variation(leg, direction, bool(given[0]), findings)


def _check_variation(leg: Entry, direction: str, given: bool, findings: Findings) -> None:
    """A magnetic or compass heading needs a variation, which is known for some years only."""
    when = leg.get("time")
    if direction in ("heading_magnetic_deg", "heading_compass_deg") and when is not None and not valid(when):
        held = "" if given else " held from the leg before"
        message = (
            f"the {direction}{held} needs the magnetic variation of {when:%Y-%m-%d}, which is known here from 1900 to "
            "2030; give heading_deg, which is true"
        )
        findings.add(leg.at(direction) if given else leg.path, message)


def _unmatched(direction: str, speed: str, direction_given: bool, speed_given: bool) -> str:
    """The message for a track without a ground speed, or a heading with one."""
    held = "" if direction_given and speed_given else " held from the leg before"
    if direction == "track_deg":
        if direction_given:
            return f"track_deg goes with gs_kt, not with the {speed}{held}; give gs_kt"
        return f"{speed} goes with a heading, not with the track_deg{held}; give {_HEADINGS}"
    if speed_given:
        return f"gs_kt goes with track_deg, not with the {direction}{held}; give track_deg"
    return f"{direction} goes with an airspeed, not with the gs_kt{held}; give {_AIRSPEEDS}"
