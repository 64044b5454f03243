"""What each table of a flight file may hold, derived from the declarations of `flight.model`."""

from __future__ import annotations

import functools
import operator
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
