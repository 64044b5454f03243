"""Measuring on the chart: from one place to another by rhumb line and by great circle."""

from __future__ import annotations

import math

from msgspec import Struct

from nightleg.chart.route import leg
from nightleg.earth.geodesic import inverse
from nightleg.earth.rhumb import rhumb_inverse
from nightleg.units.angles import write_bearing
from nightleg.units.positions import Position


class Measured(Struct, frozen=True):
    """Two ways from one place to another. NaN where there is none: no rhumb line leads to a pole."""

    start: Position
    end: Position
    rhumb_nm: float
    rhumb_deg: float  # true, all the way
    circle_nm: float
    circle_deg: float  # true, at the start

    @property
    def words(self) -> tuple[str, str]:
        """Course and distance of both, a line each."""
        return (
            f"rhumb line  {_words(self.rhumb_deg, self.rhumb_nm)}",
            f"great circle  {_words(self.circle_deg, self.circle_nm)}",
        )

    def rhumb_line(self) -> tuple[Position, ...]:
        """Points along the rhumb line."""
        return leg(self.start, self.end, "rhumb")

    def great_circle(self) -> tuple[Position, ...]:
        """Points along the great circle."""
        return leg(self.start, self.end, "great_circle")


def measure(start: Position, end: Position) -> Measured:
    """Measure from one place to another."""
    rhumb_nm, rhumb_deg = (float(v) for v in rhumb_inverse(*start, *end))
    circle_nm, circle_deg, _ = (float(v) for v in inverse(*start, *end))
    return Measured(start, end, rhumb_nm, rhumb_deg, circle_nm, circle_deg)


def _words(course_deg: float, distance_nm: float) -> str:
    if not (math.isfinite(course_deg) and math.isfinite(distance_nm)):
        return "none: it would run round a pole"
    return f"{write_bearing(course_deg, 1)}  {distance_nm:.1f} NM"
