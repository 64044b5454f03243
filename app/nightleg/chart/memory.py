"""What outlives the sheet it was worked out for: kept while what it was made from stays the same.

A keystroke changes one line, one fix and its ellipses; the rest of a new sheet is the rest of the old one.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar, cast

T = TypeVar("T")


class Memory:
    """Values by name, each with what it was made from. Sheets that follow each other share one."""

    def __init__(self) -> None:
        self._kept: dict[str, tuple[tuple[object, ...], object]] = {}
        self._within: dict[str, Memory] = {}

    def value(self, name: str, of: tuple[object, ...], make: Callable[[], T]) -> T:
        """The value of `make`, worked out anew only when `of` is no longer what it was."""
        kept = self._kept.get(name)
        if kept is None or kept[0] != of:
            kept = self._kept[name] = of, make()
        return cast("T", kept[1])

    def last(self, name: str, of: tuple[object, ...], otherwise: T) -> T:
        """The value noted last under a name, if it was noted for the same `of`."""
        kept = self._kept.get(name)
        return otherwise if kept is None or kept[0] != of else cast("T", kept[1])

    def note(self, name: str, of: tuple[object, ...], value: object) -> None:
        """Note a value for the next sheet."""
        self._kept[name] = of, value

    def forget(self, *names: str) -> None:
        """Let go of large values."""
        for name in names:
            self._kept.pop(name, None)

    def within(self, name: str) -> Memory:
        """A memory in this one, for a sheet within a sheet."""
        return self._within.setdefault(name, Memory())


class Same(Generic[T]):
    """A thing as a key: equal only to itself. For large values that are known again by being the same object."""

    __slots__ = ("of",)

    def __init__(self, of: T) -> None:
        self.of = of

    def __hash__(self) -> int:
        return id(self.of)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and self.of is other.of
