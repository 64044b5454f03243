"""Headings checked by a body, and the wind from drifts: what the navigator reads off beside the sights.

True heading = Zn less the relative bearing of the body. The error of an instrument is what it showed less what it
should have shown, as with a watch that is fast; the deviation of a compass is the same with the other sign.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import lru_cache

import numpy as np

from nightleg.air.drift import wind_by_drifts
from nightleg.air.reckoning import Reckoning, last_plot
from nightleg.earth.magnetic import variation_deg
from nightleg.flight.grids import convergence
from nightleg.flight.model import Drift, Flight, Grid, HeadingCheck
from nightleg.flight.shots import watch_to_gmt
from nightleg.flight.solution import HeadingResult, WindByDrift
from nightleg.sight.reduction import altitude_azimuth
from nightleg.sky.places import places
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

HIGH_BODY_DEG = 40.0  # a body higher than this makes a tilt of the instrument into an error of azimuth
TOGETHER = timedelta(minutes=15)  # drifts read within this of each other are one wind


def heading_result(flight: Flight, check: HeadingCheck, plot: Reckoning) -> HeadingResult:
    """One heading check worked at the DR of its time. Raises EphemerisRangeError."""
    time = watch_to_gmt(flight.watch, flight.start.time, check.time)
    time_s = gmt_s(time)
    lat, lon = (float(x) for x in plot.position(time_s))
    place = places(check.body, time_s)
    hc, zn = (float(x) for x in altitude_azimuth(lat, lon, place.gha_deg, place.dec_deg))
    true_deg = (zn - check.relative_bearing_deg) % 360.0
    altitude_ft = plot.leg(time_s).altitude_ft
    should_deg, warnings = should_show(check.shown, flight.grid, true_deg, lat, lon, altitude_ft, time)
    if hc > HIGH_BODY_DEG:
        warnings.append(f"{check.body} is {hc:.0f}° high: a low body is better, a tilt counts with tan H")
    if hc < 0.0:
        warnings.append(f"{check.body} is {-hc:.0f}° below the horizon: check body, date and time")
    return HeadingResult(
        id=check.id,
        body=check.body,
        time=time,
        zn=zn,
        hc=hc,
        true_heading_deg=true_deg,
        should_show_deg=should_deg,
        error_deg=(check.shown_deg - should_deg + 180.0) % 360.0 - 180.0,
        shown=check.shown,
        position=Position(lat, lon),
        warnings=tuple(warnings),
    )


def should_show(
    shown: str, grid: Grid | None, true_deg: float, lat: float, lon: float, altitude_ft: float, time: datetime
) -> tuple[float, list[str]]:
    """What an instrument without error would show of a true heading, and what is to be said of that."""
    if shown == "true":
        return true_deg, []
    if shown == "grid":
        return (true_deg - convergence(grid, lat, lon)) % 360.0, []
    try:
        variation = float(variation_deg(lat, lon, altitude_ft, time))
    except ValueError as error:
        return true_deg, [f"{error}; the error is that against true"]
    return (true_deg - variation) % 360.0, []


@lru_cache(maxsize=256)
def winds_by_drift(drifts: tuple[Drift, ...], plots: tuple[Reckoning, ...]) -> tuple[WindByDrift, ...]:
    """The winds of all groups of drifts of a flight, in the order of time."""
    groups: list[list[Drift]] = []
    for drift in sorted(drifts, key=lambda one: one.time):
        if groups and drift.time - groups[-1][-1].time <= TOGETHER:
            groups[-1].append(drift)
        else:
            groups.append([drift])
    return tuple(_group_wind(group, plots) for group in groups)


def _group_wind(group: list[Drift], plots: tuple[Reckoning, ...]) -> WindByDrift:
    ids, last = tuple(drift.id for drift in group), group[-1].time
    tas = [last_plot(plots, gmt_s(d.time)).leg(gmt_s(d.time)).tas_kt for d in group]
    try:
        wind = wind_by_drifts(
            np.array([d.heading_deg for d in group]),
            np.array(tas),
            np.array([d.drift_deg for d in group]),
            np.array([d.sigma_deg for d in group]),
        )
    except ValueError as error:
        return WindByDrift(ids, last, None, str(error))
    return WindByDrift(ids, last, wind)
