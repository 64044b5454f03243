"""A flight together with the text it was read from, and edits that keep what a person wrote."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from nightleg.flight.edits import Append, Edit, Put, Remove, edited
from nightleg.flight.model import Flight
from nightleg.flight.parse import flight_of
from nightleg.safefile import write_atomically


class Document(Struct, frozen=True):
    """A flight as a person wrote it: the values, the TOML text with its comments, and the file it came from.

    `on_disk` is the text that the file held when it was read or last saved; None if it never was in a file. Documents
    are never changed: an edit gives a new one, checked as a whole, or raises FlightError and leaves this one as it is.
    """

    flight: Flight
    text: str
    path: Path | None = None
    on_disk: str | None = None

    @property
    def unsaved(self) -> bool:
        """Whether there are edits that the file does not have."""
        return self.text != self.on_disk

    def with_edits(self, *edits: Edit) -> Document:
        """All of `edits`, in order, checked together at the end. Raises FlightError; KeyError for an unknown place."""
        text = self.text
        for edit in edits:
            text = edited(text, edit)
        return replace(self, flight=flight_of(text), text=text)

    def with_value(self, place: tuple[str | int, ...], key: str, value: Any) -> Document:
        """One key with a new value, or taken away with None. `place` is as in `flight.edits`. Raises FlightError."""
        return self.with_edits(Put(place, key, value))

    def with_table_appended(self, name: str, values: Mapping[str, Any]) -> Document:
        """One table more, such as a sight. Raises FlightError."""
        return self.with_edits(Append(name, values))

    def without(self, place: tuple[str | int, ...]) -> Document:
        """The table at `place` taken away. Raises FlightError, for one if another entry refers to it."""
        return self.with_edits(Remove(place))


def save(document: Document, path: str | os.PathLike[str] | None = None) -> Document:
    """Writes the text, whole or not at all, to `path` or to where it came from; the document as it is now on disk.

    Raises OSError that names the file, and ValueError where there is no path at all.
    """
    target = Path(path) if path is not None else document.path
    if target is None:
        raise ValueError("this flight has no file yet: give a path")
    write_atomically(target, document.text.encode("utf-8"))
    return replace(document, path=target, on_disk=document.text)


def changed_on_disk(document: Document) -> bool:
    """Whether the file now holds something else than was read or last saved, or is gone or unreadable."""
    if document.path is None or document.on_disk is None:
        return False
    expected = document.on_disk.encode("utf-8")
    try:
        with open(document.path, "rb") as file:
            return file.read(len(expected) + 1) != expected
    except OSError:
        return True
