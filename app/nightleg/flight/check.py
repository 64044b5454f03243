"""Checks between the entries of a flight: order, references, and keys that need or exclude each other.

Only what could be read is compared, so that one mistake is told once.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from itertools import islice

from nightleg.flight.check_landfall import check_landfalls
from nightleg.flight.check_legs import check_legs
from nightleg.flight.check_lines import check_line, check_lines
from nightleg.flight.check_route import check_route
from nightleg.flight.check_sights import check_sight, check_times, last_time
from nightleg.flight.findings import Findings, place_text
from nightleg.flight.model import Watch
from nightleg.flight.tables import Draft, Entry
from nightleg.units.errors import quoted


def check_draft(draft: Draft, findings: Findings) -> None:
    """Adds to `findings` whatever contradicts itself between the entries; puts dates to the readings of series."""
    start = draft.one("start")
    start_time: datetime | None = start.get("time") if start else None
    _check_sextant(draft.one("sextant"), findings)
    _check_grid(draft.one("grid"), findings)
    _check_ids(draft, findings)
    check_legs(draft.of("leg"), start_time, draft.of("fix"), findings)
    watch, last = _watch(draft.one("watch")), last_time(draft)
    for sight in draft.of("sight"):
        check_sight(sight, start_time, findings, watch, last)
    known = dict.fromkeys(entry.given["id"] for entry in (*draft.of("sight"), *draft.of("line")) if _id(entry))
    for fix in draft.of("fix"):
        _check_fix(fix, known, findings)
    check_route(draft.of("waypoint"), start_time, findings)
    check_lines(draft.of("line"), draft.of("fix"), findings)
    check_landfalls(draft, start_time, findings)
    _check_plotted(draft, findings)
    _check_next_sight(draft, findings)
    _check_truth(draft.one("truth"), findings)
    if start_time is not None:
        check_times(draft, start_time, watch, findings)


def check_alone(entry: Entry, start: datetime, findings: Findings) -> None:
    """What can be checked of one entry without the others."""
    if entry.table.name == "sextant":
        _check_sextant(entry, findings)
    elif entry.table.name == "sight":
        check_sight(entry, start, findings)
    elif entry.table.name == "line":
        check_line(entry, findings)


def _check_sextant(sextant: Entry | None, findings: Findings) -> None:
    if sextant is None:
        return
    lowest_deg, highest_deg = sextant.get("lowest_deg"), sextant.get("highest_deg")
    lowest_deg = 10.0 if lowest_deg is None else lowest_deg
    highest_deg = 75.0 if highest_deg is None else highest_deg
    if lowest_deg >= highest_deg:
        key = "lowest_deg" if "lowest_deg" in sextant else "highest_deg"
        message = f"lowest_deg is {lowest_deg:g} and highest_deg {highest_deg:g}; the lowest must be below the highest"
        findings.add(sextant.at(key), message)


def _check_grid(grid: Entry | None, findings: Findings) -> None:
    """A polar chart needs no cone; that of a Lambert chart is given by one parallel or by two."""
    if grid is None or ("chart" in grid and grid.get("chart") is None):
        return
    one, two = "cone_latitude_deg", ("first_parallel_deg", "second_parallel_deg")
    given = [key for key in (one, *two) if key in grid]
    if (grid.get("chart") or "polar") == "polar":
        for key in given:
            if grid.gives(key):
                findings.add(
                    grid.at(key), f'{key} is given, but a polar chart has no cone; it belongs to chart = "lambert"'
                )
        return
    if not given:
        findings.add(grid.path, f"a Lambert chart needs {one} (one standard parallel), or {' and '.join(two)}")
    elif one in given and len(given) > 1:
        findings.add(grid.at(given[1]), f"{given[1]} and {one} both give the cone; keep one of them")
    elif one not in given and len(given) == 1:
        missing = two[1] if given[0] == two[0] else two[0]
        findings.add(grid.path, f"{missing} is missing; a cone has two standard parallels, or one as {one}")
    values = [grid.get(key) for key in given if grid.get(key) is not None]
    if len(values) == len(given) <= 2 and values and abs(sum(values)) < 0.5:
        message = "a cone needs a middle off the equator, half a degree at the least; nearer to it a chart has no grid"
        findings.add(grid.at(given[0]), message)


def _id(entry: Entry) -> str:
    """The id an entry gives itself, however it looks; "" if it gives none."""
    given = entry.given.get("id")
    return given if isinstance(given, str) else ""


def _check_ids(draft: Draft, findings: Findings) -> None:
    """Ids are unique among sights and lines together, and among the entries of every other table."""
    for tables in (("sight", "line"), ("fix",), ("heading_check",), ("drift",), ("landfall",)):
        taken: dict[str, Entry] = {}
        for entry in (entry for name in tables for entry in draft.of(name)):
            name = _id(entry)
            if name and name in taken:
                other = taken[name]
                place = place_text(other.path, {})
                shared = "; sights and lines share their ids" if other.table is not entry.table else ""
                message = f"the id {quoted(name, 40)} is taken by {place}{shared}; give each its own"
                findings.add(entry.at("id"), message)
            taken.setdefault(name, entry)


def _check_fix(fix: Entry, known: Iterable[str], findings: Findings) -> None:
    seen: set[str] = set()
    for name in fix.get("sights") or ():
        if name in seen:
            findings.add(fix.at("sights"), f"{quoted(name, 40)} stands there twice; each shot counts once")
        elif name not in known:
            message = f"there is no sight or line {quoted(name, 40)}{_there_are(known)}"
            findings.add(fix.at("sights"), message)
        seen.add(name)
    kind = fix.get("kind") if "kind" in fix else "celestial"
    if kind == "known" and "position" not in fix:
        findings.add(fix.path, 'position is missing; kind = "known" needs it, like "41 30.0 N 028 15.0 W"')
    if kind == "known":
        for key in ("sights", "solve_common_error", "prior"):
            if fix.get(key):
                findings.add(fix.at(key), f'{key} is given, but a fix of kind = "known" is not worked from sights')
    if kind == "celestial":
        for key in ("position", "sigma_nm"):
            if fix.gives(key):
                findings.add(fix.at(key), f'{key} is given, but only kind = "known" takes it')
        if "sights" not in fix and "position" not in fix:
            findings.add(fix.path, 'sights is missing; list the shots like ["s1", "s2"], or set kind = "known"')


def _check_plotted(draft: Draft, findings: Findings) -> None:
    for entry in draft.of("plotted"):
        of = entry.get("of")
        if of is None or of == "dr":
            continue
        owners = [one for name in ("sight", "line", "fix", "heading_check") for one in draft.of(name) if _id(one) == of]
        tables = list(dict.fromkeys(one.table.name for one in owners))
        if not owners:
            right = 'right is the id of a sight, line, fix or heading check, or "dr"'
            findings.add(entry.at("of"), f"nothing has the id {quoted(of, 40)}; {right}")
        elif len(tables) > 1 and set(tables) != {"sight", "line"}:
            message = f"{quoted(of, 40)} is the id of a {' and of a '.join(tables)}; give them different ids"
            findings.add(entry.at("of"), message)


def _check_next_sight(draft: Draft, findings: Findings) -> None:
    waiting = draft.one("next_sight")
    joined = waiting.get("fix") if waiting else None
    fixes = [_id(fix) for fix in draft.of("fix") if _id(fix)]
    if waiting is not None and joined is not None and joined not in fixes:
        findings.add(waiting.at("fix"), f"there is no fix {quoted(joined, 40)}{_there_are(fixes)}")


def _check_truth(truth: Entry | None, findings: Findings) -> None:
    """The truth is a track, or a model that makes one."""
    for key in ("wind", "heading_error_deg", "seed"):
        if truth is not None and truth.gives("track") and truth.gives(key):
            message = f"{key} belongs to a model that makes a track, and track is given already; keep one of them"
            findings.add(truth.at(key), message)


def _watch(entry: Entry | None) -> Watch | None:
    """The watch; None if something about it cannot be read."""
    if entry is None:
        return Watch()
    return Watch(**entry.values) if set(entry.values) == set(entry.given) else None


def _there_are(known: Iterable[str]) -> str:
    names = [quoted(name, 12) for name in islice(known, 13)]
    if not names:
        return "; the file has none"
    return "; there are " + ", ".join(names[:12]) + (", …" if len(names) > 12 else "")
