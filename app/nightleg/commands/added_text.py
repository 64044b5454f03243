"""What the log tells beside the solution, worked out on demand: latitudes of sights, landfalls."""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

from nightleg.commands.figures import angle, clip, clock, direction, latitude, signed
from nightleg.commands.terminal import plain
from nightleg.flight.landfall import LandfallResult, landfalls
from nightleg.flight.landfall_words import landfall_words
from nightleg.flight.latitudes import latitude_found
from nightleg.flight.model import Flight
from nightleg.flight.solution import SightResult, Solution
from nightleg.flight.working_latitude import latitude_name


class LandfallText(Struct, frozen=True):
    """A landfall for the log: its first line, warnings, texts to be wrapped, rows of the table of presets."""

    time: datetime
    id: str
    head: str
    warnings: tuple[str, ...]
    words: tuple[str, ...]
    rows: tuple[str, ...]


def landfall_texts(flight: Flight, solution: Solution) -> tuple[LandfallText, ...]:
    """What to steer, when to turn, and the altitudes prepared, of every landfall."""
    return tuple(_landfall(found) for found in landfalls(flight, solution))


def _landfall(found: LandfallResult) -> LandfallText:
    return LandfallText(
        found.expected,
        plain(found.id),
        f"landfall at {clip(plain(found.name), 40)}",
        found.warnings,
        tuple(map(plain, landfall_words(found))),
        tuple(
            f"{clock(row.time):<8} Hc {angle(row.hc):>8}  Zn {direction(row.zn)}  preset {angle(row.preset):>8}"
            for row in found.table
        ),
    )


def latitude_text(flight: Flight, solution: Solution, sight: SightResult) -> str:
    """The latitude that a sight gives by the rules of the trade; empty for one that gives none."""
    found = latitude_found(flight, solution, sight)
    if found is None:
        return ""
    when = f", {clock(found.time)} GMT" if found.readings > 1 else ""
    exact = f"{signed(found.difference_nm, 2)} NM from the exact line"
    return f"{latitude_name(found)} {latitude(found.lat)}{when}, {exact}"
