"""Reading flight files."""

from __future__ import annotations

import os
from pathlib import Path

from nightleg.flight.document import Document
from nightleg.flight.parse import contents, decoded, flight_of


def read_flight(path: str | os.PathLike[str]) -> Document:
    """The flight in a file. Raises FlightError with all that is wrong with it, or that it cannot be read at all."""
    path = Path(path)
    text = decoded(contents(path))
    return Document(flight_of(text), text, path, text)


def parse_flight(text: str, path: str | os.PathLike[str] | None = None) -> Document:
    """The flight in a TOML text that no file holds yet; `path` is where it is to go. Raises FlightError."""
    return Document(flight_of(text), text, Path(path) if path else None)
