"""Kinds of lines: what of the scene has them, and how they are projected and clipped, all together."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from nightleg.chart.marks import ChartScene
from nightleg.chart.memory import Memory
from nightleg.chart.paths import Bundle, clip_lines, joined, smooth, to_px
from nightleg.chart.viewport import Viewport

T = TypeVar("T")
Array = NDArray[np.float64]
Numbered = tuple[list[Array], list[int]]

_BEYOND_PX = 12.0  # lines are clipped this far outside the frame, so that their ends do not show


@dataclass(frozen=True)
class Strokes(Generic[T]):
    """A kind of line: its name, what of the scene has it, and the places of that.

    It is gathered, projected and clipped anew only where what `select` finds has changed.
    """

    name: str
    select: Callable[[ChartScene], tuple[T, ...]]
    gather: Callable[[tuple[T, ...]], Bundle]


def numbered(kind: Strokes[T], scene: ChartScene, view: Viewport, memory: Memory) -> Numbered | None:
    """The runs of a kind in the frame and the numbers of the runs they are parts of, if they are kept."""
    return memory.last(f"lines {kind.name}", (view, kind.select(scene)), None)


def work_out(kinds: Iterable[Strokes[Any]], scene: ChartScene, view: Viewport, memory: Memory) -> None:
    """Work out those kinds that are not kept: one projection and one clipping for them all."""
    wanted, bundles = [], []
    for kind in kinds:
        name, of = f"lines {kind.name}", kind.select(scene)
        if memory.last(name, (view, of), None) is None:
            wanted.append((name, of))
            bundles.append(memory.value(f"places {kind.name}", of, partial(kind.gather, of)))
    if not wanted:
        return
    places = joined(bundles)
    runs, numbers = clip_lines(to_px(view, places), view.frame.grown(_BEYOND_PX), places.numbers)
    runs = smooth(runs)
    offsets = np.cumsum([0, *(bundle.n_runs for bundle in bundles)])
    cuts = np.searchsorted(numbers, offsets).tolist()
    for (name, of), offset, first, last in zip(wanted, offsets.tolist(), cuts, cuts[1:], strict=False):
        memory.note(name, (view, of), (runs[first:last], [number - offset for number in numbers[first:last]]))
