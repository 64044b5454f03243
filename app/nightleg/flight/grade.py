"""What the grade of an answer is made of: its parts with their limits, and how far a place lies off."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from msgspec import Struct

from nightleg.flight.model import Plotted
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

Against = Literal["solution", "truth"]
Kind = Literal["sight", "line", "fix", "heading check", "dr"]

_ANSWERS = ("position", "ho", "hc", "zn_deg", "intercept_nm", "wind", "heading_deg", "eta")


class Part(Struct, frozen=True):
    """One answer held against what is right."""

    name: Literal["position", "line", "Ho", "Hc", "Zn", "wind", "heading", "ETA", "working time"]
    error: float  # answer less what is right; a distance for position and line, the vector difference for a wind
    unit: Literal["NM", "′", "°", "kt", "min"]
    limit: float | None = None  # of the size of the error, same unit; None: nothing is asked of it

    @property
    def within(self) -> bool | None:
        """Whether the error keeps to its limit; None without one."""
        return None if self.limit is None else abs(self.error) <= self.limit + 1e-9


class Grade(Struct, frozen=True):
    """A record of `[[plotted]]`, graded."""

    of: str
    by: str | None
    kind: Kind
    time: datetime | None  # GMT that the answer is for
    entered: datetime | None
    error_nm: float | None  # of the place: distance of the position, or of the line, from where it should be
    error_bearing_deg: float | None  # true, the direction in which the answer lies off; None for no error
    against: Against  # what `error_nm` is measured against
    minutes: float | None  # working time: from the time the answer is for until it was written
    parts: tuple[Part, ...]
    warnings: tuple[str, ...] = ()

    @property
    def within(self) -> bool | None:
        """Whether all that has a limit keeps to it; None where nothing has one."""
        judged = [part.within for part in self.parts if part.within is not None]
        return all(judged) if judged else None


class Place(Struct, frozen=True):
    """How far an answer lies off in NM, and the direction in which it does (degrees true, None for no error)."""

    error_nm: float
    bearing_deg: float | None
    against: Against


def graded(
    work: Plotted,
    kind: Kind,
    time: datetime | None,
    place: Place | None,
    parts: list[Part],
    warnings: list[str],
    minutes_limit: float | None = None,
) -> Grade:
    """A grade of its parts; the working time joins them where `minutes_limit` (minutes) is given."""
    minutes = None
    if time is not None and work.entered is not None and (kind != "dr" or work.time is not None):
        minutes = (gmt_s(work.entered) - gmt_s(time)) / 60.0
    if minutes is not None and minutes < 0.0:
        if kind != "dr":  # a DR may well be worked ahead
            warnings = [*warnings, "entered before the time that it is for"]
        minutes = None
    if minutes is not None and minutes_limit is not None:
        parts = [*parts, Part("working time", minutes, "min", minutes_limit)]
    return Grade(
        of=work.of,
        by=work.by,
        kind=kind,
        time=time,
        entered=work.entered,
        error_nm=place.error_nm if place else None,
        error_bearing_deg=place.bearing_deg if place else None,
        against=place.against if place else "solution",
        minutes=minutes,
        parts=tuple(parts),
        warnings=tuple(warnings),
    )


def not_graded(work: Plotted, taken: tuple[str, ...], what: str) -> list[str]:
    """A warning that names the answers that nothing in such an entry can be held against."""
    left = [key for key in _ANSWERS if key not in taken and getattr(work, key) is not None]
    return [f"not graded for {what}: {', '.join(left)}"] if left else []


def apart(right: Position, answer: Position, against: Against) -> Place:
    """An answer's distance and bearing from the right place, along the geodesic on WGS 84."""
    from nightleg.earth.geodesic import inverse  # a library that few runs need

    distance_nm, bearing_deg, _ = inverse(*right, *answer)
    return Place(float(distance_nm), float(bearing_deg) if distance_nm > 0.0 else None, against)
