"""What the JSON document tells of work plotted by hand: one entry for each record, in the order of the file."""

from __future__ import annotations

from typing import Any

from nightleg.commands.json_values import azimuth, iso, number
from nightleg.flight.grade import Grade, Part
from nightleg.flight.grading import grades
from nightleg.flight.model import Flight, Truth
from nightleg.flight.solution import Solution


def plotted(flight: Flight, solution: Solution, truth: Truth | None) -> list[dict[str, Any]]:
    """The `plotted` entries; held against `truth` only where the caller wants it revealed."""
    return [_entry(grade) for grade in grades(flight, solution, truth)]


def _entry(grade: Grade) -> dict[str, Any]:
    return {
        "of": grade.of,
        "by": grade.by,
        "kind": grade.kind,
        "time": None if grade.time is None else iso(grade.time),
        "entered": None if grade.entered is None else iso(grade.entered),
        "error_nm": number(grade.error_nm),
        "error_bearing_deg": azimuth(grade.error_bearing_deg),
        "against": grade.against,
        "minutes": number(grade.minutes),
        "within": grade.within,
        "parts": [_part(part) for part in grade.parts],
        "warnings": list(grade.warnings),
    }


_UNITS = {"′": "arcmin", "°": "deg", "NM": "nm", "kt": "kt", "min": "min"}


def _part(part: Part) -> dict[str, Any]:
    return {
        "name": part.name,
        "error": number(part.error),
        "unit": _UNITS[part.unit],
        "limit": number(part.limit),
        "within": part.within,
    }
