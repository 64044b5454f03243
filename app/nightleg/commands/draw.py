"""`nightleg draw`: the chart of a flight as a picture, without opening a window."""

from __future__ import annotations

import argparse
import contextlib
import os
import sys
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from nightleg.commands.flights import Solved, shown, solved
from nightleg.commands.interrupts import ending_at_once
from nightleg.commands.options import Words, moment, size
from nightleg.commands.output import write_whole
from nightleg.commands.terminal import InputError
from nightleg.units.errors import quoted
from nightleg.units.times import write_instant

SUMMARY = "the chart of a flight file as a picture (PNG, SVG or PDF)"
KINDS = ("png", "svg", "pdf")
THEMES = ("paper", "dim", "red")
SIZE_PX = (1920, 1080)
LONGEST_PLOT = timedelta(days=60)  # drawn in some seconds


def _target(text: str) -> str:
    if _kind(text) not in KINDS:
        raise argparse.ArgumentTypeError(f"{quoted(text)} must end in .png, .svg or .pdf, which says what is drawn")
    return text


def _kind(target: str) -> str:
    return os.path.splitext(target)[1].lower().removeprefix(".")


def _words() -> Words:
    words = Words(
        "draw",
        "Draw the chart of a flight file: land, graticule, DR track, lines of position,\n"
        "fixes with their ellipses. The same file and time give the same picture\n"
        "everywhere.",
        "nightleg draw night.flight.toml --at 2315 --theme dim -o chart.png",
    )
    words.add_argument("file", metavar="FILE", help="a flight file (.flight.toml)")
    words.add_argument(
        "-o",
        "--output",
        required=True,
        type=_target,
        metavar="PICTURE",
        help="where the picture goes; its ending says what it is: .png, .svg or .pdf (a page A4)",
    )
    words.add_argument(
        "--at",
        type=moment,
        metavar="TIME",
        help="draw the flight as it was known at this time, with nothing logged later: 2252 or 22:52:30 (the first one "
        "after the start), or 2026-03-14T22:52:00Z; without it, all that is logged, about the last fix",
    )
    words.add_argument("--theme", choices=THEMES, default=THEMES[0], help="colours: %(choices)s (default: %(default)s)")
    words.add_argument(
        "--size", type=size, default=SIZE_PX, metavar="WxH", help="of a PNG or SVG in pixels (default: 1920x1080)"
    )
    return words


def run(arguments: Sequence[str]) -> int:
    """Answer one call. Returns 0; raises InputError, UsageError, and SystemExit(0) after --help."""
    options = _words().read(arguments)
    if _same(options.file, options.output):
        raise InputError(f"{shown(options.output)}: the picture would take the place of the flight file; name another")
    answer = solved(options.file, options.at)
    now = None if options.at is None else options.at.after(answer.flight.start.time)
    if now is not None:
        answer = as_known(answer, now)
    picture = chart(answer, _kind(options.output), theme=options.theme, size_px=options.size, now=now)
    write_whole(options.output, picture)
    return 0


def _same(file: str, target: str) -> bool:
    try:
        return os.path.samefile(file, target)
    except (OSError, ValueError):  # one of them is not there
        return False


def _check_span(answer: Solved, now: datetime | None) -> None:
    """Raises InputError for a plot whose ticks would cover the chart and take minutes to draw."""
    start, solution = answer.flight.start.time, answer.solution
    times = [state.time for state in solution.dr] + [sight.time for sight in solution.sights]
    end = now or max(times + [fix.time for fix in solution.fixes])
    if end - start > LONGEST_PLOT:
        raise InputError(
            f"{shown(answer.path)}: the plot runs from {write_instant(start)} to {write_instant(end)}; "
            f"a chart is drawn of at most {LONGEST_PLOT.days} days"
        )


def as_known(answer: Solved, now: datetime) -> Solved:
    """The flight as it was known at an instant: a fix whose last shot was still to come is not on its chart."""
    from nightleg.flight.known import known_by
    from nightleg.flight.solve import solve

    flight = known_by(answer.flight, now)
    return Solved(answer.path, flight, solve(flight, now))


def chart(
    answer: Solved,
    kind: str,
    *,
    theme: str = THEMES[0],
    size_px: tuple[int, int] = SIZE_PX,
    now: datetime | None = None,
) -> bytes:
    """The bytes of the chart of a solved flight: "png", "svg" or "pdf". Raises InputError where it cannot be drawn."""
    _check_span(answer, now)
    os.environ["QT_QPA_PLATFORM"] = "offscreen"  # a display that is named but not there would end the process
    with ending_at_once(), _quiet():
        try:
            # Imported here: Qt takes a quarter of a second, which no other command should pay.
            from nightleg.chart.export import render
            from nightleg.chart.scene import scene
        except ImportError as error:
            raise InputError(qt_missing(error)) from None
        try:
            return render(scene(answer.flight, answer.solution, now), kind, theme_name=theme, size=size_px)
        except (ValueError, OSError, MemoryError) as error:
            if sys.flags.dev_mode:
                raise
            raise InputError(f"{shown(answer.path)}: cannot be drawn: {error or 'not enough memory'}") from None


def qt_missing(error: ImportError) -> str:
    """What to say where Qt, or a system library that it needs, cannot be loaded."""
    return (
        f"the drawing library Qt cannot be loaded: {error}. "
        "Where a file ending in .so is named, install the system package that holds it"
    )


@contextlib.contextmanager
def _quiet() -> Iterator[None]:
    """Keep what the drawing libraries write to standard error themselves away from it, except under python -X dev."""
    if sys.flags.dev_mode:
        yield
        return
    if sys.stderr is not None:
        sys.stderr.flush()
    kept = os.dup(2)
    nothing = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nothing, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nothing)
