"""Settings by name and value, kept from one start to the next. No Qt here.

The file is JSON: `{"format": "nightleg-settings-1", "theme": "dim", ...}`. What is missing has its default; what is
wrong has its default too, and the file as it was is kept aside. Names that a later version may have written stay.
"""

from __future__ import annotations

import contextlib
import json
from pathlib import Path
from typing import Any, Literal

import msgspec

from nightleg.chart.themes import ThemeName
from nightleg.safefile import why, write_atomically

FORMAT = "nightleg-settings-1"
NAME = "settings.json"
RECENT = 10
_LONGEST = 200_000  # bytes; a settings file is some hundreds


TypeSize = Literal[100, 125, 150, 200]
"""Size of type in per cent of what the system asks for."""


class Settings(msgspec.Struct, frozen=True, kw_only=True):
    """All settings with their defaults. `geometry` is x, y, width, height in px of the screen."""

    theme: ThemeName = "paper"
    type_size: TypeSize = 100
    geometry: tuple[int, int, int, int] | None = None
    maximized: bool = False
    forms_folded: bool = False
    log_folded: bool = False
    projector: bool = False
    recent: tuple[str, ...] = ()
    hint_done: bool = False


class Keeper:
    """Reads the settings once and writes each change at once.

    Another window may write the same file: a change puts its own values into the file as it is by then. Without a
    `path` nothing is read or written. `fault` says in words what kept the last reading or writing from succeeding.
    """

    def __init__(self, path: Path | None = None) -> None:
        self.path = path
        self.fault = ""
        self.values = Settings()
        if path is not None:
            held, intact = self._held()
            if not intact:
                self._keep_aside()
            self.values = understood(held)[0]

    def change(self, **values: Any) -> bool:
        """Set these, and write the file if that changes anything. False, with `fault` set, if it cannot be written."""
        if all(getattr(self.values, name) == value for name, value in values.items()):
            return True
        self.values = msgspec.structs.replace(self.values, **values)
        return self._write(values)

    def remember(self, path: Path) -> bool:
        """Put a flight file first among the recent ones."""
        name = str(path.absolute())
        return self.change(recent=(name, *(one for one in self.recent() if one != name))[:RECENT])

    def forget(self, path: str) -> bool:
        """Take a flight file off the recent ones."""
        return self.change(recent=tuple(one for one in self.recent() if one != path))

    def recent(self) -> tuple[str, ...]:
        """Recent flight files, newest first, those of other windows among them."""
        if self.path is None:
            return self.values.recent
        held, _ = self._held()
        return understood(held)[0].recent if held else self.values.recent

    def _held(self) -> tuple[dict[str, Any], bool]:
        """What is in the file, and whether all of it can be used."""
        if self.path is None:
            return {}, True
        try:
            with open(self.path, "rb") as file:
                data = file.read(_LONGEST + 1)
            held = json.loads(data) if len(data) <= _LONGEST else None
        except FileNotFoundError:
            return {}, True
        except OSError as error:
            self.fault = f"The settings cannot be read: {why(error)}"
            return {}, True
        except (ValueError, RecursionError):
            return {}, False
        if not isinstance(held, dict) or held.get("format") != FORMAT:
            return {}, False
        return held, understood(held)[1]

    def _write(self, values: dict[str, Any]) -> bool:
        if self.path is None:
            return True
        held, intact = self._held()
        if not intact:
            self._keep_aside()
        known = msgspec.to_builtins(self.values if not held else msgspec.structs.replace(understood(held)[0], **values))
        text = json.dumps({"format": FORMAT, **held, **known}, indent=2, ensure_ascii=False) + "\n"
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            write_atomically(self.path, text.encode("utf-8", "surrogatepass"))
        except (OSError, ValueError) as error:
            self.fault = f"The settings cannot be kept: {why(error)}"
            return False
        self.fault = ""
        return True

    def _keep_aside(self) -> None:
        """Copy the file as it is to a name that is free, or the last of a hundred."""
        if self.path is None:
            return
        asides = [self.path.with_name(f"settings.broken-{number}.json") for number in range(1, 101)]
        free = next((aside for aside in asides if not aside.exists()), asides[-1])
        with contextlib.suppress(OSError):
            with open(self.path, "rb") as file:
                data = file.read(_LONGEST)
            write_atomically(free, data)
            self.path.unlink()
        self.fault = (
            f"The settings could not be read, so they are as at first; the old file is {free.name} beside them."
        )


def understood(held: dict[str, Any]) -> tuple[Settings, bool]:
    """Settings from names and values, and whether every known name had a value that it can have."""
    values: dict[str, Any] = {}
    for field in msgspec.structs.fields(Settings):
        if field.name in held:
            with contextlib.suppress(msgspec.ValidationError):
                values[field.name] = msgspec.convert(held[field.name], field.type)
    wanted = sum(field.name in held for field in msgspec.structs.fields(Settings))
    return Settings(**values), len(values) == wanted
