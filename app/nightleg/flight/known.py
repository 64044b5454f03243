"""The flight as it was known at an instant: what had been logged by then, and nothing later."""

from __future__ import annotations

from datetime import UTC, datetime

from msgspec.structs import replace

from nightleg.flight.model import Fix, Flight, NextSight, Plotted, Sight
from nightleg.flight.shots import ready, watch_to_gmt
from nightleg.units.times import gmt_s, instant


def known_by(flight: Flight, now: datetime) -> Flight:
    """The flight with all that lies after `now` left out.

    A shot is known once it is over; a fix once its time has come, from those of its shots that are over. The first leg
    stays, since something is held from the start on. A checked flight gives a checked flight.
    """
    sights = tuple(sight for sight in flight.sights if _over_s(flight, sight) <= gmt_s(now))
    lines = tuple(line for line in flight.lines if line.time <= now)
    lone = {sight.id for sight in sights} | {line.id for line in lines}
    fixes = tuple(_so_far(fix, lone) for fix in flight.fixes if fix.time <= now)
    checks = tuple(
        check for check in flight.heading_checks if watch_to_gmt(flight.watch, flight.start.time, check.time) <= now
    )
    named = lone | {fix.id for fix in fixes} | {check.id for check in checks} | {"dr"}
    return replace(
        flight,
        legs=tuple(leg for i, leg in enumerate(flight.legs) if i == 0 or leg.time <= now),
        sights=sights,
        fixes=fixes,
        lines=lines,
        heading_checks=checks,
        drifts=tuple(drift for drift in flight.drifts if drift.time <= now),
        plotted=tuple(work for work in flight.plotted if work.of in named and _written(work) <= now),
        next_sight=_waiting(flight, {fix.id for fix in fixes}),
        log=tuple(remark for remark in flight.log if remark.time <= now),
    )


def over(flight: Flight, sight: Sight) -> datetime:
    """GMT of the end of a shot."""
    return instant(_over_s(flight, sight))


def _over_s(flight: Flight, sight: Sight) -> float:
    shot = ready(flight.watch, flight.start.time, sight)
    if not sight.readings:
        return shot.time_s + sight.duration_s / 2.0
    last = max(reading.time for reading in sight.readings)
    return gmt_s(watch_to_gmt(flight.watch, flight.start.time, last))


def _so_far(fix: Fix, known: set[str]) -> Fix:
    return replace(fix, sights=tuple(id for id in fix.sights if id in known))


def _waiting(flight: Flight, fixes: set[str]) -> NextSight | None:
    """The sight that waits; the fix it is meant for may be still to come."""
    waiting = flight.next_sight
    return replace(waiting, fix=None) if waiting is not None and waiting.fix not in fixes else waiting


def _written(work: Plotted) -> datetime:
    return work.entered or work.time or _ALWAYS


_ALWAYS = datetime.min.replace(tzinfo=UTC)
