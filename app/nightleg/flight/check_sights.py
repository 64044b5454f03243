"""Checks of sights: what a shot needs, the dates of a series, and that the ephemeris knows its time."""

from __future__ import annotations

from datetime import datetime, timedelta

from nightleg.flight.compound import Readings
from nightleg.flight.findings import Findings
from nightleg.flight.model import Reading, Watch
from nightleg.flight.shots import watch_error_s, watch_to_gmt
from nightleg.flight.tables import Draft, Entry
from nightleg.sight.observation import RATE_STEP_MIN
from nightleg.sky.ephemeris import FIRST, LAST
from nightleg.units.errors import EntryError
from nightleg.units.times import write_instant

WITHIN = timedelta(minutes=60)  # of each other lie the readings of one series
LATEST_UNDATED = timedelta(hours=12)  # after the start a series needs another entry or a date to vouch for its day
LIMBS = ("Sun", "Moon")
_SHOTS = ("sight", "next_sight", "heading_check")  # whose times are those of the watch, and need an almanac


def check_sight(
    sight: Entry, start: datetime | None, findings: Findings, watch: Watch | None = None, last: datetime | None = None
) -> None:
    """Adds to `findings` what a sight lacks or cannot have, and puts dates to its readings.

    `watch` tells what the watch showed at the start; `last` is the latest time in the file, None where the sight stands
    alone.
    """
    limb, body = sight.get("limb"), sight.get("body")
    if limb in ("lower", "upper") and body is not None and body not in LIMBS:
        message = f'given "{limb}", but {body} shows no limb; right is limb = "centre", or to leave it out'
        findings.add(sight.at("limb"), message)
    if sight.given.get("readings"):
        rows = sight.values.pop("readings", None)
        if rows is not None and start is not None and not ("time" in sight and sight.get("time") is None):
            begin = start + timedelta(seconds=watch_error_s(watch, start, start) if watch else 0.0)
            _date(sight, rows, begin, last, findings)
        return
    for key in ("time", "hs"):
        if key not in sight:
            findings.add(sight.path, f"{key} is missing; a sight needs time and hs, or readings")


def _date(
    sight: Entry, rows: tuple[tuple[object, float], ...], begin: datetime, last: datetime | None, findings: Findings
) -> None:
    near = sight.get("time")
    try:
        readings = Readings.dated(rows, near, begin)
    except EntryError as error:
        findings.add(sight.at("readings"), str(error))
        return
    sight.values["readings"] = readings
    middle, of_what = (near, "the time of the sight") if near else (readings[0].time, "the first reading")
    for row, reading in enumerate(readings):
        if abs(reading.time - middle) > WITHIN:
            message = (
                f"{write_instant(reading.time)} lies {_span(reading.time - middle)} from {of_what}, "
                f"{write_instant(middle)}; the readings of one sight lie within an hour of each other"
            )
            findings.add((*sight.at("readings"), row), message)
            return
    if near is None and not isinstance(rows[0][0], datetime) and last is not None:
        _check_late(sight, readings, begin, last, findings)


def _check_late(
    sight: Entry, readings: tuple[Reading, ...], begin: datetime, last: datetime, findings: Findings
) -> None:
    """Refuses a day that only the clock gives and that nothing else in the file reaches."""
    first = readings[0].time
    if first - begin > LATEST_UNDATED and first - last > WITHIN:
        clock, date = write_instant(first)[11:-1], write_instant(first)
        message = (
            f"after the start the clock first shows {clock} on {first:%Y-%m-%d}, {_span(first - begin)} later, where "
            f'nothing else in the file reaches; if that is meant, give time, or write the date: "{date}"'
        )
        findings.add((*sight.at("readings"), 0), message)


def _span(span: timedelta) -> str:
    minutes = round(abs(span).total_seconds() / 60.0)
    return f"{minutes // 60} h {minutes % 60:02d} min"


def last_time(draft: Draft) -> datetime | None:
    """The latest time that any entry of the file gives, but for sights and readings without one."""
    names = ("start", "leg", "sight", "fix", "line", "heading_check", "drift", "plotted", "next_sight", "log")
    times = [entry.get("time") for name in names for entry in draft.of(name)]
    return max((time for time in times if time is not None), default=None)


def check_times(draft: Draft, start: datetime, watch: Watch | None, findings: Findings) -> None:
    """Nothing that the DR is needed for lies before the start, and no shot at the edge of the ephemeris."""
    for name in (*_SHOTS, "fix", "line", "drift"):
        for entry in draft.of(name):
            when, key = _when(entry)
            by_watch = name in _SHOTS
            if when is None or (by_watch and watch is None):
                continue
            gmt = watch_to_gmt(watch, start, when) if by_watch and watch is not None else when
            told = write_instant(gmt)
            if key == "readings":
                told = f"the mean of the readings, {write_instant(when)},"
            if gmt != when:
                told = f"{write_instant(when)} by the watch, which is {write_instant(gmt)} by GMT,"
            if gmt < start:
                message = f"{told} is before the start of the flight, {write_instant(start)}"
                findings.add(entry.at(key), message)
            elif by_watch and not EARLIEST_SHOT <= gmt <= LATEST_SHOT:
                message = (
                    f"{told} is outside the ephemeris; shots can be worked from {write_instant(EARLIEST_SHOT)} "
                    f"to {write_instant(LATEST_SHOT)}"
                )
                findings.add(entry.at(key), message)


# The motion of a body takes its place one step before and after.
EARLIEST_SHOT = FIRST + timedelta(minutes=RATE_STEP_MIN)
LATEST_SHOT = LAST - timedelta(minutes=RATE_STEP_MIN)


def _when(entry: Entry) -> tuple[datetime | None, str]:
    """The time of an entry as it is written, or the mean of its readings, and the key that gives it."""
    if not entry.get("readings"):
        return entry.get("time"), "time"
    times = [one.time for one in entry.get("readings")]
    return times[0] + sum((one - times[0] for one in times), timedelta()) / len(times), "readings"
