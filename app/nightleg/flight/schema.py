"""What each table of a flight file may hold, derived from the declarations of `flight.model`."""

from __future__ import annotations

import functools
import operator
import re
import types
from datetime import datetime
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

import msgspec
from msgspec import Struct

from nightleg.flight import compound, model
from nightleg.flight.kinds import Choice, Flag, Ids, Kind, Text
from nightleg.units.positions import Position

FORMAT_KEY = "format"

_KINDS: dict[Any, Kind] = {
    str: Text(),
    bool: Flag(),
    datetime: compound.Time(),
    Position: compound.PositionText(),
    model.Wind: compound.WindText(),
    model.Wind | model.WindOfFix: compound.LegWind(),
    tuple[str, ...]: Ids(),
    tuple[tuple[float, float], ...]: compound.CorrectionTable(),
    tuple[model.Reading, ...]: compound.Readings(),
    tuple[model.TruthPoint, ...]: compound.Track(),
}


class Key(Struct, frozen=True):
    """One key of a table: its name in the file, the field it fills, its kind, and its default."""

    name: str
    field: str
    kind: Kind
    required: bool
    default: Any


class Table(Struct, frozen=True):
    """One table of the file: a single one or a list of them."""

    name: str
    field: str  # of model.Flight
    struct: type[model.Record]
    many: bool
    required: bool
    default: Any

    @property
    def heading(self) -> str:
        """As it stands in the file."""
        return f"[[{self.name}]]" if self.many else f"[{self.name}]"


@cache
def keys(struct: type[model.Record]) -> dict[str, Key]:
    """The keys of the table that `struct` stands for, by name, in the order of the model."""
    hints = get_type_hints(struct, include_extras=True)
    found = {}
    for one in msgspec.structs.fields(struct):
        hint = _without_none(hints[one.name])
        if _table_of(hint) is not None:
            continue
        found[one.encode_name] = Key(one.encode_name, one.name, _kind(hint), one.required, one.default)
    return found


@cache
def tables() -> dict[str, Table]:
    """All tables by name, in the order of the model."""
    hints = get_type_hints(model.Flight, include_extras=True)
    found = {}
    for one in msgspec.structs.fields(model.Flight):
        table = _table_of(_without_none(hints[one.name]))
        if table is not None:
            struct, many = table
            found[one.encode_name] = Table(one.encode_name, one.name, struct, many, one.required, one.default)
    return found


def _table_of(hint: Any) -> tuple[type[model.Record], bool] | None:
    """The struct of a table and whether there may be many; None where `hint` is the type of a single key."""
    if hint in _KINDS:
        return None
    many = get_origin(hint) is tuple
    struct = get_args(hint)[0] if many else hint
    return (struct, many) if isinstance(struct, type) and issubclass(struct, model.Record) else None


def _without_none(hint: Any) -> Any:
    if get_origin(hint) in (Union, types.UnionType):
        rest = [one for one in get_args(hint) if one is not type(None)]
        return functools.reduce(operator.or_, rest)
    return hint


def _kind(hint: Any) -> Kind:
    if get_origin(hint) is Annotated:
        for note in get_args(hint)[1:]:
            if isinstance(note, Kind):
                return note
    if get_origin(hint) is Literal:
        return Choice(get_args(hint))
    return _KINDS[hint]


# Whole words for what the file names otherwise; the rest is found by spelling.
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
    "reading": ("hs", "readings"),
    "star": ("body",),
    "planet": ("body",),
    "oat": ("temperature_c",),
    "temp": ("temperature_c",),
    "variation": ("station_variation_deg", "deviation_deg"),
    "date": ("time",),
    "gmt": ("time",),
    "utc": ("time",),
    "eye": ("height_of_eye_m",),
    "index": ("correction_arcmin",),
    "comment": ("notes", "text"),
    "remark": ("text", "notes"),
    "sd": ("sigma_nm", "sigma_arcmin", "sigma_deg", "sigma_kt", "sigma_s"),
}
_UNITS = re.compile(r"(_(deg|arcmin|nm|kt|kts|knots|ft|feet|m|km|mi|c|f|s|sec|min|minutes|h|per|day|minute|rad))+$")


def nearest_key(written: str, known: list[str]) -> str:
    """The key that a person meant by `written`: same name without its unit, then other words for it, then spelling.

    Empty if none is near.
    """
    import difflib  # only when something is wrong

    plain = written[:60].strip().lower().replace("-", "_").replace(" ", "_")
    if plain in known:
        return plain
    bare = _UNITS.sub("", plain)
    bares = {_UNITS.sub("", one): one for one in reversed(known)}
    if bare in bares:
        return bares[bare]
    words = sorted(bare.split("_"))
    for one, full in bares.items():
        if sorted(one.split("_")) == words:  # magnetic_heading for heading_magnetic
            return full
    for meant in _MEANT.get(bare, ()):
        if meant in known:
            return meant
    begins = [full for one, full in bares.items() if len(bare) > 2 and (one.startswith(bare) or bare.startswith(one))]
    if begins:
        return min(begins, key=lambda one: (abs(len(_UNITS.sub("", one)) - len(bare)), known.index(one)))
    near = difflib.get_close_matches(bare, bares, n=1, cutoff=0.6)
    return bares[near[0]] if near else ""
