"""Places kept from run to run, so that a flight opened again needs neither the ephemeris nor its library.

What is kept are the blocks of `blocks`, bit by bit, and where the published rotation of the Earth ends. They hold for
the files they were computed from: program, Skyfield, DE421, rotation tables and star tables; with any of these another,
all is computed anew. A file that is damaged, or not ours, is as none.
"""

from __future__ import annotations

import atexit
import contextlib
import os
import zlib
from collections.abc import Mapping
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

import msgspec
import numpy as np
from numpy.typing import NDArray

from nightleg import __version__, cache
from nightleg.resources import resource

Floats = NDArray[np.float64]
Key = tuple[str, int]  # a body and a day
Published = tuple[float, float]  # `gmt_s` of the last published DUT1, and that value, s

NAME = "places.nightleg"
SHAPE = (7, 3)  # of a block
_MOST = 4000  # blocks in the file, 0.2 kB each; those not used for longest go
_BEGIN = b"nightleg places 1\n"
_ITEM = 8 * SHAPE[0] * SHAPE[1]  # bytes of a block


class _File(msgspec.Struct):
    """What stands in the file: blocks one after the other, those used last at the end."""

    made_from: str
    published: Published | None
    bodies: list[str]
    days: list[int]
    values: bytes


class Kept:
    """The kept places of one folder."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / NAME
        self._held: dict[Key, Floats] | None = None
        self._used: dict[Key, Floats] = {}
        self._published: Published | None = None
        self._changed = False

    def find(self, body: str, day: int) -> Floats | None:
        """A block that was kept."""
        found = self._blocks().get((body, day))
        if found is not None:
            self._used[body, day] = found
        return found

    def add(self, made: Mapping[Key, Floats]) -> None:
        """Keep blocks that were computed."""
        self._used.update(made)
        self._changed = True

    @property
    def published(self) -> Published | None:
        """Where the published rotation of the Earth ends, if that was kept."""
        self._blocks()
        return self._published

    @published.setter
    def published(self, value: Published) -> None:
        self._published, self._changed = value, True

    def write(self) -> None:
        """Write what is new, and what others have written meanwhile, to the file. One that cannot be is no matter."""
        if not self._changed:
            return
        from nightleg.safefile import write_atomically  # only who has something new needs it

        file = self._read()
        blocks = {} if file is None else _blocks_of(file)
        for key, values in self._used.items():
            blocks.pop(key, None)
            blocks[key] = values  # at the end
        newest = list(blocks.items())[-_MOST:]
        made = _File(
            made_from(),
            self._published,
            [body for (body, _), _ in newest],
            [day for (_, day), _ in newest],
            b"".join(np.ascontiguousarray(values, dtype="<f8").tobytes() for _, values in newest),
        )
        data = msgspec.msgpack.encode(made)
        with contextlib.suppress(OSError):
            os.makedirs(self.path.parent, exist_ok=True)
            write_atomically(self.path, _BEGIN + zlib.crc32(data).to_bytes(4, "little") + data, lasting=False)
            self._changed = False

    def _blocks(self) -> dict[Key, Floats]:
        if self._held is None:
            file = self._read()
            self._held = {} if file is None else _blocks_of(file)
            if file is not None and self._published is None:
                self._published = file.published
        return self._held

    def _read(self) -> _File | None:
        """What the file holds; None where that is nothing that can be used."""
        try:
            data = self.path.read_bytes()
        except OSError:
            return None
        begin, check, rest = data[: len(_BEGIN)], data[len(_BEGIN) : len(_BEGIN) + 4], data[len(_BEGIN) + 4 :]
        if begin != _BEGIN or zlib.crc32(rest).to_bytes(4, "little") != check:
            return None
        try:
            file = msgspec.msgpack.decode(rest, type=_File)
        except msgspec.MsgspecError:
            return None
        count = len(file.bodies)
        if file.made_from != made_from() or count != len(file.days) or count * _ITEM != len(file.values):
            return None
        return file


@lru_cache(maxsize=1)
def kept() -> Kept | None:
    """The places that this process keeps; None where it keeps none. What is new is written at its end."""
    folder = cache.folder()
    if folder is None:
        return None
    made = Kept(folder)
    atexit.register(made.write)
    return made


@lru_cache(maxsize=1)
def made_from() -> str:
    """What places depend on, in a line: another one, other places."""
    parts = [__version__, np.__version__]
    here = Path(__file__).parent
    files = [here / name for name in ("blocks.py", "timescale.py", "ephemeris.py", "catalogue.py")]
    files += [resource("stars", name) for name in ("navigational.csv", "bright.csv")]
    for package, inside in (("skyfield", "data/iers.npz"), ("skyfield_data", "data/de421.bsp"), ("jplephem", "spk.py")):
        spec = find_spec(package)  # found, not imported
        if spec is not None and spec.origin is not None:
            files += [Path(spec.origin), Path(spec.origin).parent / inside]
    for file in files:
        with contextlib.suppress(OSError):
            known = os.stat(file)
            parts.append(f"{file.name} {known.st_size} {known.st_mtime_ns}")
    return "; ".join(parts)


def _blocks_of(file: _File) -> dict[Key, Floats]:
    values = np.frombuffer(file.values, dtype="<f8").reshape(-1, *SHAPE)
    return dict(zip(zip(file.bodies, file.days, strict=True), values, strict=True))
