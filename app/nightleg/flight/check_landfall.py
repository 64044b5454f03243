"""Checks of landfalls: a destination that there is, a time that lies ahead, a body that shows the limb."""

from __future__ import annotations

from datetime import datetime, timedelta

from nightleg.flight.check_sights import EARLIEST_SHOT, LATEST_SHOT, LIMBS
from nightleg.flight.findings import Findings
from nightleg.flight.kinds import Destination
from nightleg.flight.tables import Draft, Entry
from nightleg.units.errors import EntryError, quoted
from nightleg.units.positions import Position, read_position
from nightleg.units.times import write_instant

AROUND = timedelta(hours=30)  # of the expected time, in which the aircraft may come to the line


def check_landfalls(draft: Draft, start: datetime | None, findings: Findings) -> None:
    """Adds to `findings` what a landfall lacks or cannot have."""
    points = {entry.get("name"): entry for entry in draft.of("waypoint")}
    for landfall in draft.of("landfall"):
        _destination(landfall, points, findings)
        limb, body = landfall.get("limb"), landfall.get("body")
        if limb in ("lower", "upper") and body is not None and body not in LIMBS:
            message = f'given "{limb}", but {body} shows no limb; right is limb = "centre", or to leave it out'
            findings.add(landfall.at("limb"), message)
        _times(landfall, start, findings)


def _destination(landfall: Entry, points: dict[str | None, Entry], findings: Findings) -> None:
    """A waypoint of that name, or a position that can be read."""
    text = landfall.get("destination")
    if text is None or text in points:
        return
    try:
        read_position(text)
    except EntryError as error:
        looks_like_one = any(c.isdigit() for c in text)
        said = str(error) if looks_like_one else f"there is no waypoint {quoted(text, 40)}"
        findings.add(landfall.at("destination"), f"{said}; right is {Destination().words}")


def _times(landfall: Entry, start: datetime | None, findings: Findings) -> None:
    when, begin = landfall.get("time"), landfall.get("begin")
    if when is not None and start is not None and when <= start:
        message = f"{write_instant(when)} is not after the start of the flight, {write_instant(start)}"
        findings.add(landfall.at("time"), message)
    elif when is not None and not EARLIEST_SHOT + AROUND <= when <= LATEST_SHOT - AROUND:
        message = f"{write_instant(when)} is at the edge of the ephemeris; a landfall needs thirty hours around it"
        findings.add(landfall.at("time"), message)
    if begin is not None and when is not None and begin >= when:
        message = f"{write_instant(begin)} is not before the time expected at the destination, {write_instant(when)}"
        findings.add(landfall.at("begin"), message)
    elif begin is not None and start is not None and begin < start:
        message = f"{write_instant(begin)} is before the start of the flight, {write_instant(start)}"
        findings.add(landfall.at("begin"), message)


def place_of(destination: str, waypoints: dict[str, Position]) -> Position:
    """The place that a checked destination means. Raises EntryError for none."""
    return waypoints[destination] if destination in waypoints else read_position(destination)
