"""Sights of a flight made ready: watch time to GMT, series to means, almanac places, all as arrays."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from nightleg.air.reckoning import Reckoning
from nightleg.earth.atmosphere import pressure_hpa, temperature_c
from nightleg.flight.model import Flight, Sight, Watch
from nightleg.sight.averaging import even_spread_min2, series_spread_min2
from nightleg.sight.observation import RATE_STEP_MIN, Observations, window_correction_arcmin
from nightleg.sight.refraction import dip_arcmin
from nightleg.sky.places import gha_aries_deg, places_of
from nightleg.units.times import gmt_s, instant

Array = NDArray[np.float64]

FT_M = 0.3048
LIMB = {"lower": 1.0, "centre": 0.0, "upper": -1.0}


class Shot(Struct, frozen=True):
    """One sight with its times and reading settled."""

    index: int  # in the file
    sight: Sight
    watch_time: datetime
    time_s: float  # GMT of the middle
    hs_deg: float
    spread_min2: float

    @property
    def place(self) -> str:
        """Where it stands in the file."""
        return f"[[sight]] {self.index + 1} ({self.sight.id})"


def watch_error_s(watch: Watch, start: datetime, when: datetime) -> float:
    """How fast the watch is at an instant, s."""
    check = watch.check or start
    return watch.error_s + watch.rate_s_per_day * (when - check).total_seconds() / 86400.0


def watch_to_gmt(watch: Watch, start: datetime, shown: datetime) -> datetime:
    """GMT of a time read on the watch."""
    return shown - timedelta(seconds=watch_error_s(watch, start, shown))


def ready(flight: Flight, index: int) -> Shot:
    """One sight of a checked flight made ready."""
    sight = flight.sights[index]
    if sight.readings:
        times = [gmt_s(reading.time) for reading in sight.readings]
        watch_s, hs = float(np.mean(times)), float(np.mean([reading.hs for reading in sight.readings]))
        spread = series_spread_min2(times)
    else:
        if sight.time is None or sight.hs is None:
            raise ValueError(f"sight {sight.id} has neither time and hs nor readings")
        watch_s, hs, spread = gmt_s(sight.time), sight.hs, even_spread_min2(sight.duration_s)
    watch_time = instant(watch_s)
    error_s = watch_error_s(flight.watch, flight.start.time, watch_time)
    return Shot(index, sight, watch_time, watch_s - error_s, hs, spread)


class Sky(Struct, frozen=True):
    """Places of the bodies of all shots: at the middle, and one rate step before and after; rows of shape (3, n)."""

    gha_deg: Array
    dec_deg: Array
    distance_km: Array  # (n,)
    radius_km: Array
    gha_aries_deg: Array


def sky_of(shots: Sequence[Shot]) -> Sky:
    """Look up all shots at once. Raises EphemerisRangeError outside the ephemeris."""
    step_s = 60.0 * RATE_STEP_MIN
    middle = np.array([shot.time_s for shot in shots])
    bodies = [shot.sight.body for shot in shots]
    found = places_of(bodies * 3, np.concatenate([middle, middle - step_s, middle + step_s]))
    n = len(shots)
    return Sky(
        gha_deg=found.gha_deg.reshape(3, n),
        dec_deg=found.dec_deg.reshape(3, n),
        distance_km=found.distance_km[:n],
        radius_km=found.radius_km[:n],
        gha_aries_deg=np.asarray(gha_aries_deg(middle)),
    )


def observe(flight: Flight, shots: Sequence[Shot], sky: Sky, index: Sequence[int], plot: Reckoning) -> Observations:
    """The shots of `index` as observed from an aircraft that moves as `plot` says at their times."""
    sextant = flight.sextant
    chosen = [shots[i] for i in index]
    sights = [shot.sight for shot in chosen]
    legs = [plot.leg(shot.time_s) for shot in chosen]
    natural = [1.0 if (sight.horizon or sextant.horizon) == "natural" else 0.0 for sight in sights]
    altitude_ft = np.array([leg.altitude_ft for leg in legs])
    standard_c = temperature_c(altitude_ft)
    given_c = np.array([np.nan if leg.temperature_c is None else leg.temperature_c for leg in legs])
    at = np.asarray(index, dtype=np.intp)
    return Observations(
        hs_deg=np.array([shot.hs_deg for shot in chosen]),
        sextant_arcmin=np.array(
            [sextant.correction_arcmin if s.correction_arcmin is None else s.correction_arcmin for s in sights]
        ),
        window_arcmin=np.array([window_correction_arcmin(sextant.table, shot.hs_deg) for shot in chosen]),
        spread_min2=np.array([shot.spread_min2 for shot in chosen]),
        natural=np.array(natural),
        dip_arcmin=dip_arcmin(sextant.height_of_eye_m) * np.array(natural),
        limb=np.array([LIMB[sight.limb] for sight in sights]),
        gha_deg=sky.gha_deg[0, at],
        dec_deg=sky.dec_deg[0, at],
        gha_before_deg=sky.gha_deg[1, at],
        dec_before_deg=sky.dec_deg[1, at],
        gha_after_deg=sky.gha_deg[2, at],
        dec_after_deg=sky.dec_deg[2, at],
        distance_km=sky.distance_km[at],
        radius_km=sky.radius_km[at],
        pressure_hpa=np.asarray(pressure_hpa(altitude_ft)),
        temperature_c=np.where(np.isnan(given_c), standard_c, given_c),
        height_m=altitude_ft * FT_M,
        track_deg=np.array([plot.track(shot.time_s) for shot in chosen]),
        gs_kt=np.array([leg.gs_kt for leg in legs]),
        rhumb=np.array([1.0 if leg.steering == "rhumb" else 0.0 for leg in legs]),
        turn_deg_per_min=np.array([sight.turn_deg_per_min for sight in sights]),
        speed_change_kt_per_min=np.array([sight.speed_change_kt_per_min for sight in sights]),
    )
