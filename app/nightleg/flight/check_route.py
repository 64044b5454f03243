"""Checks of the planned route: times due at its waypoints."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from nightleg.flight.findings import Findings
from nightleg.flight.tables import Entry
from nightleg.units.times import write_instant


def check_route(waypoints: Sequence[Entry], start: datetime | None, findings: Findings) -> None:
    """Adds to `findings` times due that come before the start, or not after one due at a waypoint before."""
    last: tuple[datetime, str] | None = None
    for point in waypoints:
        due = point.get("due")
        if due is None:
            continue
        if start is not None and due <= start:
            message = f"{write_instant(due)} is not after the start of the flight, {write_instant(start)}"
            findings.add(point.at("due"), message + "; right is the GMT at which to be there")
        elif last is not None and due <= last[0]:
            message = f"{write_instant(due)} is not later than {last[1]}, {write_instant(last[0])}"
            findings.add(point.at("due"), message + "; times due follow each other along the route")
        last = due, f"the time due at {point.get('name') or 'a waypoint before'}"
