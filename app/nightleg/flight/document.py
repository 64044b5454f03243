"""A flight together with the text it was read from."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from nightleg.flight.model import Flight


@dataclass(frozen=True)
class Document:
    """A flight as a person wrote it: the values, the TOML text with its comments, and the file it came from."""

    flight: Flight
    text: str
    path: Path | None = None
