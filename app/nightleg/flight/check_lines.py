"""Checks of lines of position that are no altitudes: each kind has keys of its own."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from nightleg.earth.magnetic import valid
from nightleg.flight.findings import Findings
from nightleg.flight.tables import Entry
from nightleg.units.errors import quoted
from nightleg.units.times import write_instant


class LineKeys(Struct, frozen=True):
    """The keys of one kind of line besides id, kind, time and use."""

    needed: tuple[str, ...]
    optional: tuple[str, ...]
    one_of: tuple[str, ...] = ()

    @property
    def all(self) -> tuple[str, ...]:
        """Every key it takes."""
        return (*self.needed, *self.one_of, *self.optional)


COMMON = ("id", "kind", "time", "use")
LINE_KEYS = {
    "pressure": LineKeys(("from", "d1_ft", "d2_ft"), ("sigma_nm",)),
    "bearing": LineKeys(("station",), ("sigma_deg",), ("bearing_deg", "relative_bearing_deg")),
    "radial": LineKeys(("station", "radial_deg"), ("reference", "station_variation_deg", "sigma_deg")),
    "range": LineKeys(("station", "range_nm"), ("slant", "station_elevation_ft", "sigma_nm")),
    "latitude": LineKeys(("latitude",), ("sigma_nm",)),
}


def check_lines(lines: Sequence[Entry], fixes: Sequence[Entry], findings: Findings) -> None:
    """Adds to `findings` the keys that a line lacks or cannot have, and references that lead nowhere."""
    times = {fix.given.get("id"): fix.get("time") for fix in fixes if isinstance(fix.given.get("id"), str)}
    for line in lines:
        check_line(line, findings)
        origin = line.get("from")
        if origin is None or origin == "start":
            continue
        if origin not in times:
            message = f'there is no fix {quoted(origin, 40)}; right is "start" or the id of a [[fix]]'
            findings.add(line.at("from"), message)
            continue
        first, second = times[origin], line.get("time")
        if first is not None and second is not None and first >= second:
            message = (
                f"fix {quoted(origin, 40)} at {write_instant(first)} is not before this line, {write_instant(second)}"
            )
            findings.add(line.at("from"), message + "; it is where the first reading was taken")


def check_line(line: Entry, findings: Findings) -> None:
    """Adds to `findings` the keys that the line's kind lacks or cannot have."""
    kind = line.get("kind")
    if kind is None:
        return
    keys = LINE_KEYS[kind]
    when = line.get("time")
    magnetic = line.get("reference") in (None, "magnetic") and "station_variation_deg" not in line
    if kind == "radial" and magnetic and when is not None and not valid(when):
        message = f"the station's variation is known from 1900 to 2030, not for {when:%Y-%m-%d}"
        findings.add(line.path, message + '; give station_variation_deg, or reference = "true"')
    for key in keys.needed:
        if key not in line:
            findings.add(line.path, f'{key} is missing; a line of kind "{kind}" needs {_listed(keys.needed)}')
    if keys.one_of:
        given = [key for key in keys.one_of if line.gives(key)]
        if not any(key in line for key in keys.one_of):
            findings.add(line.path, f'a line of kind "{kind}" needs {" or ".join(keys.one_of)}')
        for key in given[1:]:
            findings.add(line.at(key), f"{key} and {given[0]} are both given; keep one of them")
    for key in line.given:
        others = [name for name, one in LINE_KEYS.items() if key in one.all]
        if others and key not in keys.all:
            message = f'{key} belongs to kind {_listed(others, " or ")}; kind "{kind}" takes {_listed(keys.all)}'
            findings.add(line.at(key), message)


def _listed(words: Sequence[str], last: str = " and ") -> str:
    return last.join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
