"""A series of readings: from pasted or typed text to times and altitudes, and how they lie about the computed motion.

No Qt here.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from nightleg.flight.model import Reading
from nightleg.sight.averaging import scatter_arcmin
from nightleg.units.angles import write_arcmin
from nightleg.units.times import gmt_s, write_clock

RowText = tuple[str, str]
"""Watch time and altitude as typed."""

ODD_SCORE = 3.5
"""A modified z-score beyond this marks a possible outlier (Iglewicz and Hoaglin 1993; NIST/SEMATECH 1.3.5.17)."""

_ODD_NEEDS = 4  # readings; with fewer nothing tells which one is off
_LEAST_SIGMA_ARCMIN = 0.5  # the fineness to which a bubble sextant is read; common practice, no source
_PER_SIGMA = 0.6745  # the median deviation of a normal distribution, in σ

_APART = re.compile(r"\s*[\t;|]\s*|,\s+")
_HEADING = re.compile(r"\b(?:time|gmt|utc|watch|alt(?:itude)?|hs|reading|sextant)s?\b", re.IGNORECASE)
_CLOCK_TOKEN = re.compile(r"[0-9]{1,2}:[0-9]{2}.*|[0-9]{4}([0-9]{2})?(\.[0-9]*)?|[0-9]{4}:.*")


def is_series(text: str) -> bool:
    """Whether a text, pasted where one reading goes, is a list of them: several lines, or time and altitude apart."""
    lines = [line for line in text.splitlines() if line.strip()]
    return len(lines) > 1 or (len(lines) == 1 and len(_APART.split(lines[0].strip())) > 1)


def split_rows(text: str) -> tuple[RowText, ...]:
    """The rows of a list: a line each, watch time first, then the altitude; tabs, semicolons or spaces between.

    A heading is left out. What cannot be told apart stands as time, to be mended; nothing is dropped.
    """
    lines = [line.strip() for line in text.splitlines() if line.strip(" \t;|,")]
    while lines and _is_heading(lines[0]):
        del lines[0]
    return tuple(map(_split, lines))


def _is_heading(line: str) -> bool:
    return not re.search("[0-9]", line) and _HEADING.search(line) is not None


def _split(line: str) -> RowText:
    parts = [part for part in _APART.split(line) if part]
    if len(parts) > 1:
        return parts[0], " ".join(parts[1:])
    tokens = line.split()
    if _CLOCK_TOKEN.fullmatch(tokens[0]) or len(tokens) < 3:
        return tokens[0], " ".join(tokens[1:])
    clock = {3: 2, 4: 2}.get(len(tokens), 3)  # hours and minutes apart, and seconds if there are five groups
    return " ".join(tokens[:clock]), " ".join(tokens[clock:])


@dataclass(frozen=True, slots=True)
class Spread:
    """A series about its mean carried along at the computed rate, in the order of the readings."""

    minutes: tuple[float, ...]  # from the mean time
    residuals_arcmin: tuple[float, ...]
    sigma_arcmin: float | None  # scatter, 1σ of one reading; None for one reading
    odd: tuple[int, ...]  # numbers, from 0, of those that lie apart from the others


def spread(readings: Sequence[Reading], rate_arcmin_per_min: float) -> Spread:
    """How at least one reading lies about the computed motion."""
    times = np.array([gmt_s(reading.time) for reading in readings])
    hs = np.array([reading.hs for reading in readings])
    minutes = (times - times.mean()) / 60.0
    left = (hs - hs.mean()) * 60.0 - rate_arcmin_per_min * minutes
    return Spread(
        tuple(map(float, minutes)),
        tuple(map(float, left)),
        scatter_arcmin(times, hs, rate_arcmin_per_min),
        odd_ones(left),
    )


def odd_ones(residuals_arcmin: Sequence[float] | np.ndarray[tuple[int], np.dtype[np.float64]]) -> tuple[int, ...]:
    """Numbers, from 0, of the residuals that lie apart: modified z-score, with a floor under the spread."""
    left = np.asarray(residuals_arcmin, dtype=float)
    if left.size < _ODD_NEEDS:
        return ()
    off = np.abs(left - np.median(left))
    sigma = max(float(np.median(off)) / _PER_SIGMA, _LEAST_SIGMA_ARCMIN)
    return tuple(int(number) for number in np.flatnonzero(off > ODD_SCORE * sigma))


def odd_words(readings: Sequence[Reading], found: Spread, rows: Sequence[int] = ()) -> tuple[str, ...]:
    """A sentence for each reading that lies apart; `rows` are the numbers, from 0, of the rows they stand in."""
    middle, rows = float(np.median(found.residuals_arcmin)), rows or range(len(readings))
    return tuple(
        f"reading {rows[number] + 1} at {clock_text(readings[number].time)} lies "
        f"{write_arcmin(found.residuals_arcmin[number] - middle)} off the others: misread?"
        for number in found.odd
    )


def clock_text(when: datetime) -> str:
    """A watch time as the window shows it in a series, `2251:00`."""
    return write_clock(when, seconds=True)


def file_clock(when: datetime) -> str:
    """A watch time as flight files have it in a series, `22:51:00`, with decimals where there are some."""
    text = f"{when:%H:%M:%S}"
    return f"{text}.{when.microsecond:06d}".rstrip("0") if when.microsecond else text
