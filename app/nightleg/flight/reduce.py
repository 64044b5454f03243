"""Reduced sights: what the chain and the almanac come to at the DR of each, with the lines of the worked solution."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from nightleg.air.reckoning import Reckoning
from nightleg.flight.model import Sextant
from nightleg.flight.shots import Shot, observe, sky_of
from nightleg.flight.solution import Correction, SightResult
from nightleg.flight.turning import turn_caution
from nightleg.sight.averaging import scatter_arcmin
from nightleg.sight.chain import Computed, Steps, body_motion, compute, correct, observer_motion
from nightleg.sight.observation import Observations
from nightleg.sight.refraction import LOWEST_RELIABLE_DEG
from nightleg.units.angles import MINUS
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s, instant

SUN_CAUTION = "Sun: dark filters in place before looking; never look at the Sun through optics without them"
DIP_LIMIT_M = 300.0
LOWEST_VISIBLE_DEG = -3.0  # Hc down to which refraction, dip and a DR that is off may still show a body


class Reduced(Struct, frozen=True):
    """Some shots of one plot: their results, and what they are at the DR as arrays."""

    results: tuple[SightResult, ...]
    obs: Observations
    at_dr: Computed
    steps: Steps


def reduce(sextant: Sextant, shots: Sequence[Shot], plot: Reckoning, fix_id: str | None) -> Reduced:
    """Shots reduced at the DR of `plot`, or from their assumed positions. Raises EphemerisRangeError.

    Ho is always that of the DR; an assumed position changes Hc, Zn and the intercept only, so that both ways of laying
    off a sight give the same circle.
    """
    sky = sky_of(shots)
    obs = observe(sextant, shots, sky, plot)
    lat, lon = plot.position(np.array([shot.time_s for shot in shots]))
    at_dr = compute(obs, lat, lon)
    steps = correct(obs, at_dr, lat)
    assumed = [shot.sight.assumed for shot in shots]
    from_lat = np.array([a.lat if a else d for a, d in zip(assumed, lat, strict=True)])
    from_lon = np.array([a.lon if a else d for a, d in zip(assumed, lon, strict=True)])
    at = compute(obs, from_lat, from_lon) if any(assumed) else at_dr
    body, observer = body_motion(obs, from_lat, from_lon), observer_motion(obs, at)
    results = []
    for k, shot in enumerate(shots):
        leg = plot.leg(shot.time_s)
        ho, hc = float(steps.ho_deg[k]), float(at.hc_deg[k])
        refused = float(steps.apparent_deg[k]) < 0.0
        rate = float(body[k] + observer[k])
        results.append(
            SightResult(
                id=shot.sight.id,
                body=shot.sight.body,
                time=instant(shot.time_s),
                watch_time=shot.watch_time,
                hs=shot.hs_deg,
                corrections=_worked(obs, steps, k, plot.gs_kt(shot.time_s), float(lat[k]), leg.altitude_ft),
                ho=None if refused else ho,
                hc=hc,
                zn=float(at.zn_deg[k]),
                intercept_nm=None if refused else (ho - hc) * 60.0,
                gha=float(sky.gha_deg[0, k]),
                gha_aries=float(sky.gha_aries_deg[k]),
                dec=float(sky.dec_deg[0, k]),
                lha=float((sky.gha_deg[0, k] + from_lon[k]) % 360.0),
                reduced_from=Position(float(from_lat[k]), float(from_lon[k])),
                assumed=assumed[k] is not None,
                dr=Position(float(lat[k]), float(lon[k])),
                track_deg=plot.track(shot.time_s) if leg.gs_kt else None,
                body_motion_arcmin_per_min=float(body[k]),
                observer_motion_arcmin_per_min=float(observer[k]),
                sigma_arcmin=shot.sight.sigma_arcmin or sextant.sigma_arcmin,
                fix=fix_id,
                used=shot.sight.use and not refused,
                scatter_arcmin=_scatter(shot, rate),
                n_readings=max(1, len(shot.sight.readings)),
                gs_kt=plot.gs_kt(shot.time_s),
                altitude_ft=leg.altitude_ft,
                temperature_c=float(obs.temperature_c[k]),
                warnings=_warnings(sextant, shot, plot, float(steps.apparent_deg[k]), hc, bool(obs.natural[k])),
            )
        )
    return Reduced(tuple(results), obs, at_dr, steps)


def _half_span_s(shot: Shot) -> float:
    """Half of the time that a shot takes."""
    if not shot.sight.readings:
        return shot.sight.duration_s / 2.0
    times = [gmt_s(reading.time) for reading in shot.sight.readings]
    return max((max(times) - min(times)) / 2.0, 0.5)


def _scatter(shot: Shot, rate: float) -> float | None:
    readings = shot.sight.readings
    return scatter_arcmin([gmt_s(r.time) for r in readings], [r.hs for r in readings], rate) if readings else None


def _worked(
    obs: Observations, steps: Steps, k: int, gs_kt: float, lat: float, altitude_ft: float
) -> tuple[Correction, ...]:
    """The lines of the worked solution, in the order of the work; a step that cannot apply has no line."""
    natural = bool(obs.natural[k])
    flying = f"GS {gs_kt:.0f} kt"
    air = f"{f'{altitude_ft:,.0f}'.replace(',', ' ')} ft, {obs.temperature_c[k]:.0f} °C".replace("-", MINUS)
    lines = [("sextant correction", steps.sextant, "")]
    if float(np.asarray(steps.window)[k]) != 0.0:
        lines.append(("window", steps.window, f"at {obs.hs_deg[k]:.0f}°"))
    lines.append(("curvature", steps.curvature, "over the averaging"))
    if natural:
        lines.append(("dip", steps.dip, "sea horizon"))
    else:
        lines.append(("Coriolis", steps.coriolis, f"{flying}, latitude {abs(lat):.1f}°{'N' if lat >= 0 else 'S'}"))
        if obs.rhumb[k]:
            lines.append(("rhumb-line", steps.rhumb_line, f"{flying}, track {obs.track_deg[k] % 360:03.0f}°"))
        lines.append(("wander", steps.wander, f"{obs.turn_deg_per_min[k]:+.1f}°/min".replace("-", MINUS)))
        if obs.speed_change_kt_per_min[k]:
            change = f"{obs.speed_change_kt_per_min[k]:+.1f} kt/min".replace("-", MINUS)
            lines.append(("acceleration", steps.acceleration, change))
        lines.append(("cross tilt", steps.cross_tilt, "second order"))
    lines.append(("refraction", steps.refraction, air))
    if obs.limb[k]:
        lines.append(("semidiameter", steps.semidiameter, "lower limb" if obs.limb[k] > 0 else "upper limb"))
    if np.isfinite(obs.distance_km[k]):
        lines.append(("parallax", steps.parallax, "in altitude"))
    return tuple(Correction(name, float(np.asarray(values)[k]), detail) for name, values, detail in lines)


def _warnings(
    sextant: Sextant, shot: Shot, plot: Reckoning, apparent_deg: float, hc_deg: float, natural: bool
) -> tuple[str, ...]:
    said = []
    half_s = _half_span_s(shot)
    if not natural and (turns := turn_caution(plot, shot.time_s - half_s, shot.time_s + half_s)):
        said.append(turns)
    if shot.sight.body == "Sun":
        said.append(SUN_CAUTION)
    if apparent_deg < 0.0:
        said.append(f"{apparent_deg:.1f}° after its corrections: below the horizon there is no refraction to apply")
    if hc_deg < LOWEST_VISIBLE_DEG:
        said.append(f"at the DR {shot.sight.body} is {-hc_deg:.0f}° below the horizon: check body, date and time")
    if 0.0 <= apparent_deg < LOWEST_RELIABLE_DEG:
        said.append(f"{apparent_deg:.1f}° above the horizon: refraction is uncertain below 5°")
    if natural and sextant.height_of_eye_m > DIP_LIMIT_M:
        said.append(f"dip from {sextant.height_of_eye_m:.0f} m: the rule is for heights at sea")
    return tuple(said)
