"""Sights of a flight made ready: watch time to GMT, series to means, almanac places, all as arrays."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from functools import lru_cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from nightleg.air.reckoning import Reckoning
from nightleg.earth.atmosphere import pressure_hpa, temperature_c
from nightleg.flight.model import Flight, Sextant, Sight, Watch
from nightleg.sight.averaging import even_spread_min2, series_spread_min2
from nightleg.sight.observation import RATE_STEP_MIN, Observations, window_correction_arcmin
from nightleg.sight.refraction import dip_arcmin
from nightleg.sky.places import gha_aries_deg, places_of
from nightleg.units.times import gmt_s, instant

Array = NDArray[np.float64]

FT_M = 0.3048
LIMB = {"lower": 1.0, "centre": 0.0, "upper": -1.0}


class Kit(Struct, frozen=True):
    """What a navigator works with: the parts of a flight that every sight and fix depends on."""

    sextant: Sextant
    watch: Watch
    start: datetime
    wind_sigma_kt: float


def kit_of(flight: Flight) -> Kit:
    """The kit of a flight."""
    return Kit(flight.sextant, flight.watch, flight.start.time, flight.wind_uncertainty.sigma_kt)


class Shot(Struct, frozen=True):
    """One sight with its times and reading settled."""

    sight: Sight
    watch_time: datetime
    time_s: float  # GMT of the middle
    hs_deg: float
    spread_min2: float


def watch_error_s(watch: Watch, start: datetime, when: datetime) -> float:
    """How fast the watch is at an instant, s."""
    check = watch.check or start
    return watch.error_s + watch.rate_s_per_day * (when - check).total_seconds() / 86400.0


def watch_to_gmt(watch: Watch, start: datetime, shown: datetime) -> datetime:
    """GMT of a time read on the watch."""
    return shown - timedelta(seconds=watch_error_s(watch, start, shown))


@lru_cache(maxsize=4096)
def ready(watch: Watch, start: datetime, sight: Sight) -> Shot:
    """One sight of a checked flight made ready; `start` is that of the flight."""
    if sight.readings:
        times = [gmt_s(reading.time) for reading in sight.readings]
        watch_s, hs = float(np.mean(times)), float(np.mean([reading.hs for reading in sight.readings]))
        spread = series_spread_min2(times)
    else:
        if sight.time is None or sight.hs is None:
            raise ValueError(f"sight {sight.id} has neither time and hs nor readings")
        watch_s, hs, spread = gmt_s(sight.time), sight.hs, even_spread_min2(sight.duration_s)
    watch_time = instant(watch_s)
    return Shot(sight, watch_time, watch_s - watch_error_s(watch, start, watch_time), hs, spread)


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


def observe(sextant: Sextant, shots: Sequence[Shot], sky: Sky, plot: Reckoning) -> Observations:
    """The shots as observed from an aircraft that moves as `plot` says at their times."""
    sights = [shot.sight for shot in shots]
    legs = [plot.leg(shot.time_s) for shot in shots]
    natural = np.array([1.0 if (sight.horizon or sextant.horizon) == "natural" else 0.0 for sight in sights])
    altitude_ft = np.array([leg.altitude_ft for leg in legs])
    given_c = np.array([np.nan if leg.temperature_c is None else leg.temperature_c for leg in legs])
    gha, dec = sky.gha_deg, sky.dec_deg
    return Observations(
        hs_deg=np.array([shot.hs_deg for shot in shots]),
        sextant_arcmin=np.array(
            [sextant.correction_arcmin if s.correction_arcmin is None else s.correction_arcmin for s in sights]
        ),
        window_arcmin=np.array([window_correction_arcmin(sextant.table, shot.hs_deg) for shot in shots]),
        spread_min2=np.array([shot.spread_min2 for shot in shots]),
        natural=natural,
        dip_arcmin=dip_arcmin(sextant.height_of_eye_m) * natural,
        limb=np.array([LIMB[sight.limb] for sight in sights]),
        gha_deg=gha[0],
        dec_deg=dec[0],
        gha_before_deg=gha[1],
        dec_before_deg=dec[1],
        gha_after_deg=gha[2],
        dec_after_deg=dec[2],
        distance_km=sky.distance_km,
        radius_km=sky.radius_km,
        pressure_hpa=np.asarray(pressure_hpa(altitude_ft)),
        temperature_c=np.where(np.isnan(given_c), temperature_c(altitude_ft), given_c),
        height_m=altitude_ft * FT_M,
        track_deg=np.array([plot.track(shot.time_s) for shot in shots]),
        gs_kt=np.array([plot.gs_kt(shot.time_s) for shot in shots]),
        rhumb=np.array([1.0 if leg.steering == "rhumb" else 0.0 for leg in legs]),
        turn_deg_per_min=np.array([sight.turn_deg_per_min for sight in sights]),
        speed_change_kt_per_min=np.array([sight.speed_change_kt_per_min for sight in sights]),
    )
