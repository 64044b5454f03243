"""The key that a person meant by one that there is not."""

from __future__ import annotations

import re
from collections.abc import Sequence

# Whole words for what the file names otherwise; the rest is found by spelling. Where a word is here and none of its
# keys is known, it names something that the table does not hold.
_MEANT = {
    "latitude": ("position",),
    "longitude": ("position",),
    "lat": ("position", "latitude"),
    "lon": ("position",),
    "long": ("position",),
    "pos": ("position",),
    "name": ("id", "title", "by"),
    "speed": ("tas_kt", "gs_kt", "sigma_kt"),
    "course": ("track_deg",),
    "altitude": ("altitude_ft", "hs"),
    "alt": ("altitude_ft", "hs"),
    "height": ("altitude_ft", "height_of_eye_m"),
    "reading": ("readings", "hs"),
    "star": ("body",),
    "planet": ("body",),
    "oat": ("temperature_c",),
    "temp": ("temperature_c",),
    "variation": ("station_variation_deg", "heading_magnetic_deg"),
    "date": ("time",),
    "gmt": ("time",),
    "utc": ("time",),
    "eye": ("height_of_eye_m",),
    "index": ("correction_arcmin",),
    "comment": ("notes", "text"),
    "remark": ("text", "notes"),
    "who": ("by",),
    "student": ("by",),
    "author": ("by",),
    "slant_range": ("range_nm",),
    "sd": ("sigma_nm", "sigma_arcmin", "sigma_deg", "sigma_kt", "sigma_s"),
}
_QUANTITIES = {
    "angle": ("deg", "rad", "arcmin"),
    "length": ("nm", "ft", "feet", "m", "km", "mi"),
    "speed": ("kt", "kts", "knots", "mph", "kmh"),
    "temperature": ("c", "f"),
    "duration": ("s", "sec", "min", "minutes", "h", "day", "minute"),
}
_QUANTITY = {unit: name for name, units in _QUANTITIES.items() for unit in units}
_UNITS = re.compile(rf"(_({'|'.join(_QUANTITY)}|per))+$")


def nearest_key(written: str, known: Sequence[str]) -> str:
    """The key that a person meant by `written`: same name without its unit, then other words for it, then spelling.

    Empty if none is near; a key of another quantity than the unit of `written` says is never near by spelling alone.
    """
    plain = written[:60].strip().lower().replace("-", "_").replace(" ", "_")
    if plain in known:
        return plain
    bare = _bare(plain)
    bares = {one: _bare(one) for one in known}
    words = sorted(bare.split("_"))
    ways = (
        [one for one in known if bares[one] == bare],
        [one for one in known if sorted(bares[one].split("_")) == words],  # magnetic_heading for heading_magnetic
    )
    for found in ways:
        if found:
            return min(found, key=lambda one: (_quantity(one) != _quantity(plain), known.index(one)))
    if bare in _MEANT:
        return next((one for one in _MEANT[bare] if one in known), "")
    if plain in _QUANTITY:  # a unit alone names the one key that is measured in it
        measured = [one for one in known if one.endswith(f"_{plain}")]
        return measured[0] if len(measured) == 1 else ""
    return _spelled_like(plain, bare, {one: it for one, it in bares.items() if _may_be(plain, one)})


def _spelled_like(plain: str, bare: str, bares: dict[str, str]) -> str:
    import difflib  # only when something is wrong

    begins = [one for one, it in bares.items() if len(bare) > 2 and (it.startswith(bare) or bare.startswith(it))]
    if begins:
        return min(begins, key=lambda one: (abs(len(bares[one]) - len(bare)), _quantity(one) != _quantity(plain)))
    # In a short word every letter counts, the first most.
    likely = {it: one for one, it in reversed(bares.items()) if min(len(it), len(bare)) > 3 or it[:1] == bare[:1]}
    near = difflib.get_close_matches(bare, likely, n=1, cutoff=0.6)
    return likely[near[0]] if near else ""


def _bare(key: str) -> str:
    return _UNITS.sub("", key)


def _quantity(key: str) -> str:
    """What a key is measured as, by the unit at its end; "" if it has none."""
    return _QUANTITY.get(key.rsplit("_", 1)[-1], "") if "_" in key else ""


def _may_be(written: str, key: str) -> bool:
    return not _quantity(written) or not _quantity(key) or _quantity(written) == _quantity(key)
