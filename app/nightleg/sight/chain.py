"""From reading to observed altitude Ho, each step kept, and back to the reading: the preset.

Order of the steps: sextant correction, window or dome, curvature over the averaging, dip of the sea horizon or
deflection of the bubble, refraction, semidiameter, parallax. Everything that depends on the place is evaluated at the
positions given, so the same code reduces a sight at its DR and serves the fix at the position being solved for.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from nightleg.earth.ellipsoid import meridian_radius_nm, normal_radius_nm
from nightleg.earth.local import offset
from nightleg.sight import bubble
from nightleg.sight.observation import RATE_STEP_MIN, Observations
from nightleg.sight.parallax import to_geocentric, to_observed
from nightleg.sight.reduction import altitude, altitude_azimuth
from nightleg.sight.refraction import apparent_altitude_deg, refraction_arcmin

Array = NDArray[np.float64]

_STRAIGHT_FROM_DEG = 80.0


class Computed(Struct, frozen=True):
    """What the almanac and the place give, before any reading."""

    hc_deg: Array
    zn_deg: Array
    off_track_deg: Array  # Zn less track
    rate: Array  # dHc/dt at the moving observer, arcmin per min
    curvature: Array  # d²Hc/dt² there, arcmin per min²


class Steps(Struct, frozen=True):
    """The corrections in arcmin, each added to the reading, and what they come to."""

    sextant: Array
    window: Array
    curvature: Array
    dip: Array
    coriolis: Array
    rhumb_line: Array
    wander: Array
    acceleration: Array
    cross_tilt: Array
    refraction: Array
    semidiameter: Array
    parallax: Array
    apparent_deg: Array  # altitude that refraction is taken for
    ho_deg: Array


def compute(obs: Observations, lat: Any, lon: Any) -> Computed:
    """Hc, Zn and the rates of the altitude at positions that broadcast with the shots, degrees."""
    lat, lon = np.asarray(lat, dtype=float), np.asarray(lon, dtype=float)
    # before, at and after the middle in one call, along a leading axis
    minutes = RATE_STEP_MIN * np.array([-1.0, 0.0, 1.0]).reshape(3, *(1,) * max(lat.ndim, obs.hs_deg.ndim))
    dlat, dlon = _step_deg(obs, lat, minutes)
    gha = np.stack([obs.gha_before_deg, obs.gha_deg, obs.gha_after_deg])
    dec = np.stack([obs.dec_before_deg, obs.dec_deg, obs.dec_after_deg])
    if lat.ndim > obs.hs_deg.ndim:
        wide = (3, *(1,) * (lat.ndim - obs.hs_deg.ndim), *obs.hs_deg.shape)
        gha, dec = gha.reshape(wide), dec.reshape(wide)
    heights, azimuths = altitude_azimuth(lat + dlat, lon + dlon, gha, dec)
    return Computed(
        hc_deg=heights[1],
        zn_deg=azimuths[1],
        off_track_deg=azimuths[1] - obs.track_deg,
        rate=60.0 * (heights[2] - heights[0]) / (2.0 * RATE_STEP_MIN),
        curvature=60.0 * (heights[0] - 2.0 * heights[1] + heights[2]) / RATE_STEP_MIN**2,
    )


def body_motion(obs: Observations, lat: Any, lon: Any) -> Array:
    """Rate of Hc by the body's own motion, arcmin per minute, for an observer at rest."""
    before = altitude(lat, lon, obs.gha_before_deg, obs.dec_before_deg)
    after = altitude(lat, lon, obs.gha_after_deg, obs.dec_after_deg)
    return np.asarray(60.0 * (after - before) / (2.0 * RATE_STEP_MIN))


def observer_motion(obs: Observations, at: Computed) -> Array:
    """Rate of Hc by the aircraft's run toward or away from the body, arcmin per minute."""
    return np.asarray(obs.gs_kt / 60.0 * np.cos(np.radians(at.off_track_deg)))


def correct(obs: Observations, at: Computed, lat: Any) -> Steps:
    """All steps from the readings to Ho, at the place that `at` was computed for."""
    curvature = -0.5 * at.curvature * obs.spread_min2
    instrument = obs.hs_deg + (obs.sextant_arcmin + obs.window_arcmin + curvature) / 60.0
    shown = 1.0 - obs.natural
    coriolis_right, rhumb_right, wander_right, ahead = _lean(obs, lat)
    coriolis = bubble.first_order_arcmin(coriolis_right, at.off_track_deg)
    rhumb_line = bubble.first_order_arcmin(rhumb_right, at.off_track_deg)
    wander = bubble.first_order_arcmin(wander_right, at.off_track_deg)
    acceleration = bubble.first_order_arcmin(ahead, at.off_track_deg + 90.0)
    levelled = bubble.level(instrument, coriolis_right + rhumb_right + wander_right, ahead, at.off_track_deg)
    deflection = 60.0 * (levelled - instrument) * shown
    dip = -obs.dip_arcmin * obs.natural
    apparent = instrument + (deflection + dip) / 60.0
    refraction = -refraction_arcmin(apparent, obs.pressure_hpa, obs.temperature_c)
    seen = apparent + refraction / 60.0
    semidiameter, parallax = to_geocentric(seen, at.zn_deg, lat, obs.height_m, obs.distance_km, obs.radius_km, obs.limb)
    return Steps(
        sextant=obs.sextant_arcmin,
        window=obs.window_arcmin,
        curvature=curvature,
        dip=dip,
        coriolis=coriolis,
        rhumb_line=rhumb_line,
        wander=wander,
        acceleration=acceleration,
        cross_tilt=deflection - (coriolis + rhumb_line + wander + acceleration),
        refraction=refraction,
        semidiameter=semidiameter,
        parallax=parallax,
        apparent_deg=apparent,
        ho_deg=seen + (semidiameter + parallax) / 60.0,
    )


def preset_deg(
    obs: Observations, at: Computed, lat: Any, ho_deg: Any = None, table: tuple[tuple[float, float], ...] = ()
) -> Array:
    """What the instrument will read if the body stands at `ho_deg` (default: at Hc): the exact inverse of `correct`.

    `table` is the window or dome table, taken at the reading found.
    """
    true = at.hc_deg if ho_deg is None else np.asarray(ho_deg, dtype=float)
    seen = to_observed(true, at.zn_deg, lat, obs.height_m, obs.distance_km, obs.radius_km, obs.limb)
    apparent = apparent_altitude_deg(seen, obs.pressure_hpa, obs.temperature_c)
    coriolis, rhumb_line, wander, ahead = _lean(obs, lat)
    leaning = bubble.lean(apparent, coriolis + rhumb_line + wander, ahead, at.off_track_deg)
    instrument = np.where(obs.natural == 1.0, apparent + obs.dip_arcmin / 60.0, leaning)
    unread = instrument - (obs.sextant_arcmin - 0.5 * at.curvature * obs.spread_min2) / 60.0
    if not table:
        return np.asarray(unread)
    altitudes, corrections = np.array(table, dtype=float).T
    reading = unread
    for _ in range(20):
        reading = unread - np.interp(reading, altitudes, corrections) / 60.0
    return np.asarray(reading)


def _lean(obs: Observations, lat: Any) -> tuple[Array, Array, Array, Array]:
    """Lean of the bubble's vertical in arcmin: Coriolis, rhumb line and wander to the right, and ahead.

    Zero for the sea horizon.
    """
    shown = 1.0 - obs.natural
    return (
        bubble.coriolis_right_arcmin(lat, obs.gs_kt) * shown,
        bubble.rhumb_right_arcmin(lat, obs.gs_kt, obs.track_deg) * obs.rhumb * shown,
        bubble.wander_right_arcmin(obs.gs_kt, obs.turn_deg_per_min) * shown,
        bubble.ahead_arcmin(obs.speed_change_kt_per_min) * shown,
    )


def _step_deg(obs: Observations, lat: Array, minutes: Array) -> tuple[Array, Array]:
    """How far the aircraft moves in latitude and longitude, degrees, along its track in a few minutes. Broadcasts."""
    run_nm = obs.gs_kt * minutes / 60.0
    track = np.radians(obs.track_deg)
    if np.max(np.abs(lat)) > _STRAIGHT_FROM_DEG:  # there meridians converge within a minute's run
        there, lon = offset(lat, 0.0, run_nm * np.cos(track), run_nm * np.sin(track))
        return np.asarray(there - lat), lon
    dlat = np.degrees(run_nm * np.cos(track) / meridian_radius_nm(lat))
    middle = np.clip(lat + dlat / 2.0, -89.9, 89.9)  # at the poles a longitude step has no meaning
    dlon = np.degrees(run_nm * np.sin(track) / (normal_radius_nm(middle) * np.cos(np.radians(middle))))
    return dlat, dlon
