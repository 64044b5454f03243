"""Taking an explanation of a disagreement as true: the flight that it makes, and the edits that write it down.

What an explanation says was meant goes to where it was written: to the sight, the line, the watch or the sextant. A
reading that is wrong for no known reason is left out, and stays in the file.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from nightleg.flight.edits import Edit, Put
from nightleg.flight.model import Flight, Line, Sextant, Sight, Watch
from nightleg.flight.solution import Solution
from nightleg.flight.suspects import Suspect
from nightleg.units.angles import read_angle, write_angle

_TIDY_DEG = 1e-9  # far less than a reading tells; more than sums of degrees are off
_OF_SIGHT = ("hs", "readings", "time", "body", "limb", "use")
_OF_LINE = (
    *("bearing_deg", "relative_bearing_deg", "radial_deg", "reference", "station_variation_deg"),
    *("range_nm", "slant", "d1_ft", "d2_ft", "latitude", "use"),
)


class Adoption(Struct, frozen=True):
    """What an explanation changes: its step in words, and the parts of the flight as they would be."""

    step: str
    sights: tuple[Sight, ...] = ()
    watch: Watch | None = None
    sextant: Sextant | None = None
    lines: tuple[Line, ...] = ()


def adoption(flight: Flight, solution: Solution, fix_id: str, suspect: Suspect) -> Adoption:
    """What taking `suspect` as true means. Raises KeyError for a fix, sight or line that is not there any more."""
    sights = {sight.id: sight for sight in flight.sights}
    if suspect.kit is not None:
        if suspect.kit.watch != flight.watch:
            return Adoption("turn the sign of the watch error", watch=suspect.kit.watch)
        return Adoption("turn the sign of the sextant correction", sextant=suspect.kit.sextant)
    if suspect.id == "all":
        members = [sights[id] for id in solution.fix(fix_id).sights if id in sights]
        turned = tuple(_turned(sight, solution) for sight in members)
        return Adoption(f"turn Coriolis in the readings of {fix_id}", turned)
    if suspect.id not in sights:
        return _of_line_meant(flight, suspect)
    before = sights[suspect.id]
    if suspect.sight is None:
        return Adoption(f"leave out {suspect.id}", (replace(before, use=False),))
    return Adoption(f"take {suspect.id} as {_short(suspect, before)}", (_tidied(suspect.sight),))


def _of_line_meant(flight: Flight, suspect: Suspect) -> Adoption:
    before = {line.id: line for line in flight.lines}[suspect.id]
    if suspect.line is None:
        return Adoption(f"leave out {suspect.id}", lines=(replace(before, use=False),))
    meant = suspect.line
    if meant.latitude is not None:
        meant = replace(meant, latitude=_tidy(meant.latitude))
    return Adoption(f"take {suspect.id} as {suspect.explanation}", lines=(meant,))


def with_adoption(flight: Flight, taken: Adoption) -> Flight:
    """The flight as it would be."""
    by_id = {sight.id: sight for sight in taken.sights}
    lines = {line.id: line for line in taken.lines}
    return replace(
        flight,
        sights=tuple(by_id.get(sight.id, sight) for sight in flight.sights),
        lines=tuple(lines.get(line.id, line) for line in flight.lines),
        watch=taken.watch or flight.watch,
        sextant=taken.sextant or flight.sextant,
    )


def adopting_edits(flight: Flight, taken: Adoption) -> tuple[Edit, ...]:
    """The edits of the file's text; what is not in `flight` is no part of them."""
    edits: list[Edit] = []
    for sight in taken.sights:
        before = next((one for one in flight.sights if one.id == sight.id), None)
        if before is not None:
            edits += _of_sight(before, sight)
    for line in taken.lines:
        other = next((one for one in flight.lines if one.id == line.id), None)
        if other is not None:
            edits += _of_line(other, line)
    if taken.watch is not None:
        for key in ("error_s", "rate_s_per_day"):
            if getattr(taken.watch, key) != getattr(flight.watch, key):
                edits.append(Put(("watch",), key, getattr(taken.watch, key)))
    if taken.sextant is not None and taken.sextant.correction_arcmin != flight.sextant.correction_arcmin:
        edits.append(Put(("sextant",), "correction_arcmin", taken.sextant.correction_arcmin))
    return tuple(edits)


def _of_sight(before: Sight, after: Sight) -> Iterator[Edit]:
    usual = Sight(id="", body="Sun")
    for key in _OF_SIGHT:
        value = getattr(after, key)
        if value != getattr(before, key):
            left_out = key in ("limb", "use") and value == getattr(usual, key)
            yield Put(("sight", before.id), key, None if left_out else value)


def _of_line(before: Line, after: Line) -> Iterator[Edit]:
    for key in _OF_LINE:
        value = getattr(after, key)
        if value != getattr(before, key):
            yield Put(("line", before.id), key, None if key == "use" and value else value)


def _short(suspect: Suspect, before: Sight) -> str:
    if suspect.sight is not None and suspect.sight.body != before.body:
        return suspect.sight.body
    if suspect.sight is not None and suspect.sight.limb != before.limb:
        return f"{suspect.sight.limb} limb" if suspect.sight.limb != "centre" else "centre of the body"
    return suspect.explanation


def _turned(sight: Sight, solution: Solution) -> Sight:
    """A sight whose reading was made up with Coriolis of the wrong sign, to the tenth of a minute that is read."""
    worked = solution.sight(sight.id)
    coriolis = sum(one.arcmin for one in worked.corrections if one.name == "Coriolis")
    return _tidied(_raised(sight, round(-20.0 * coriolis) / 600.0))


def _raised(sight: Sight, by_deg: float) -> Sight:
    readings = tuple(replace(one, hs=one.hs + by_deg) for one in sight.readings)
    return replace(sight, hs=None if sight.hs is None else sight.hs + by_deg, readings=readings)


def _tidied(sight: Sight) -> Sight:
    """The same sight, its angles as their text in degrees and minutes gives them: a sum of degrees has other ends."""
    readings = tuple(replace(one, hs=_tidy(one.hs)) for one in sight.readings)
    return replace(sight, hs=None if sight.hs is None else _tidy(sight.hs), readings=readings)


def _tidy(deg: float) -> float:
    for places in range(1, 7):
        near = read_angle(write_angle(deg, places))
        if abs(near - deg) < _TIDY_DEG:
            return near
    return deg
