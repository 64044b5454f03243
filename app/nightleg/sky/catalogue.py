"""The bodies: Sun, Moon, four planets, the 57 navigational stars and Polaris, and the other bright stars.

Names are the Nautical Almanac's in full. The other stars brighter than visual magnitude 5 go by their Hipparcos number,
"HIP 65378". Star positions and motions are those of Hipparcos, the New Reduction (van Leeuwen 2007); how the tables
were made, and how the magnitudes were derived, stands in resources/stars.

Proper motion is taken as linear. That leaves out the orbits of close pairs, which matters for three of the bodies:
Rigil Kentaurus (some 8 arcsec over decades), Sirius and Procyon (2 to 3 arcsec at the ends of the ephemeris). The first
is the brighter star of its pair, alone: position and magnitude.
"""

from __future__ import annotations

import difflib
from functools import lru_cache

from msgspec import Struct

from nightleg.resources import resource
from nightleg.units.errors import EntryError, quoted

SOLAR_SYSTEM: tuple[str, ...] = ("Sun", "Moon", "Venus", "Mars", "Jupiter", "Saturn")


class StarData(Struct, frozen=True):
    """One star, ICRS at epoch J1991.25. The proper motion in right ascension carries the factor cos(dec)."""

    name: str
    hip: int
    ra_deg: float
    dec_deg: float
    pm_ra_mas_per_year: float
    pm_dec_mas_per_year: float
    parallax_mas: float
    magnitude: float  # visual


def _read(file: str) -> dict[str, StarData]:
    stars: dict[str, StarData] = {}
    for line in resource("stars", file).read_text(encoding="ascii").splitlines():
        name, hip, *numbers = line.split(",")
        stars[name] = StarData(name, int(hip), *map(float, numbers))
    return stars


_NAVIGATIONAL = _read("navigational.csv")

NAVIGATIONAL_STARS: tuple[str, ...] = tuple(_NAVIGATIONAL)
BODIES: tuple[str, ...] = SOLAR_SYSTEM + NAVIGATIONAL_STARS


@lru_cache(maxsize=1)
def _others() -> dict[str, StarData]:
    return _read("bright.csv")


def other_stars() -> tuple[str, ...]:
    """Designations ("HIP n") of the stars brighter than visual magnitude 5 that have no name here."""
    return tuple(_others())


@lru_cache(maxsize=8)
def stars_down_to(magnitude: float) -> tuple[StarData, ...]:
    """All stars brighter than a visual magnitude (5 at most), the navigational ones first."""
    lines = resource("stars", "bright.csv").read_text(encoding="ascii").splitlines()
    wanted = (line.split(",") for line in lines if float(line.rpartition(",")[2]) < magnitude)
    others = (StarData(name, int(hip), *map(float, numbers)) for name, hip, *numbers in wanted)
    return (*(one for one in _NAVIGATIONAL.values() if one.magnitude < magnitude), *others)


def star(body: str) -> StarData:
    """The data of a star by its canonical name. Raises KeyError for anything else, the Sun and Moon included."""
    found = _NAVIGATIONAL.get(body)
    return found if found is not None else _others()[body]


def is_star(body: str) -> bool:
    """Whether `body` (a canonical name) is a star of the catalogue."""
    return body in _NAVIGATIONAL or body in _others()


def _plain(text: str) -> str:
    return "".join(letter for letter in text.casefold() if letter.isalnum())


_BY_PLAIN_NAME = {_plain(name): name for name in BODIES}
# As the almanacs shorten three long names (from memory).
_SHORTENED = {"rigilkent": "Rigil Kentaurus", "kausaust": "Kaus Australis", "zubenubi": "Zubenelgenubi"}


def find_body(text: str) -> str:
    """The canonical name of the body that a person wrote; case, spaces, apostrophes and hyphens do not matter.

    "HIP n" is accepted for every star of the catalogue; a navigational star's number gives its name.
    Raises `nightleg.units.errors.EntryError`, naming the bodies that were nearest, when there is none.
    """
    plain = _plain(text)
    found = _BY_PLAIN_NAME.get(plain) or _SHORTENED.get(plain)
    if found is not None:
        return found
    if plain.startswith("hip") and plain[3:].isdecimal() and len(plain) < 12:
        number = int(plain[3:])
        named = next((one.name for one in _NAVIGATIONAL.values() if one.hip == number), f"HIP {number}")
        if named in _NAVIGATIONAL or named in _others():
            return named
    raise EntryError(_unknown(text, plain))


def nearest_bodies(text: str, count: int = 3) -> tuple[str, ...]:
    """The names most like `text`, best first; those that begin with it come before the merely similar."""
    plain = _plain(text)
    begins = [name for key, name in _BY_PLAIN_NAME.items() if plain and key.startswith(plain)]
    similar = [_BY_PLAIN_NAME[key] for key in difflib.get_close_matches(plain, _BY_PLAIN_NAME, n=count, cutoff=0.5)]
    return tuple(dict.fromkeys(begins + similar))[:count]


def _unknown(text: str, plain: str) -> str:
    shown = quoted(text)
    if plain.startswith("hip") and plain[3:].isdecimal():
        return f"no star {shown}: the Hipparcos numbers of stars brighter than magnitude 5 are known, as in 'HIP 65378'"
    near = nearest_bodies(text)
    if near:
        return f"unknown body {shown}; nearest: {', '.join(near)}"
    return (
        f"unknown body {shown}; a body is the Sun, the Moon, Venus, Mars, Jupiter, Saturn, a navigational star by its "
        "name in the Nautical Almanac such as Vega, or a star such as 'HIP 65378'"
    )
