"""One fix being worked: its shots and other lines, as the estimator asks for them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from nightleg.air.reckoning import Reckoning, carry_beside
from nightleg.fix.estimator import WIND_STEP_KT, ErrorModel, SeeFunction, Seen
from nightleg.fix.lines.base import wrapped
from nightleg.flight.linework import LineAt
from nightleg.flight.model import Fix
from nightleg.flight.shots import Kit, Shot
from nightleg.sight.chain import compute, correct
from nightleg.sight.observation import Observations
from nightleg.units.positions import Position
from nightleg.units.times import gmt_s

Array = NDArray[np.float64]

POLAR_DEG = 80.0  # of latitude, from which on meridians converge within a fix
_LEAST_SIGMA_ARCMIN = 1e-3  # a reading said to be better is exact for all purposes, and weights keep their digits


class Shots(Struct, frozen=True):
    """The altitudes that a fix may use, with what they come to at the DR."""

    shots: tuple[Shot, ...]
    obs: Observations
    azimuths_deg: Array
    intercepts_nm: Array  # Ho - Hc at the DR of each, also where a shot is laid off from an assumed position
    ho_deg: Array


class FixWork(Struct, frozen=True):
    """One fix being worked. Its observations are the altitudes first, then the other lines."""

    fix: Fix
    time_s: float
    plot: Reckoning
    dr: Position
    model: ErrorModel
    altitudes: Shots | None
    lines: tuple[LineAt, ...]
    azimuths_deg: Array  # of all observations, at the DR of each; near a pole turned to the meridian of the fix
    intercepts_nm: Array

    @property
    def ids(self) -> tuple[str, ...]:
        return (*(shot.sight.id for shot in self.shots), *(line.id for line in self.lines))

    @property
    def names(self) -> tuple[str, ...]:
        """Each observation as it is called in words."""
        shots = (f"{shot.sight.id} {shot.sight.body}" for shot in self.shots)
        return (*shots, *(f"{line.id} {line.line.kind}" for line in self.lines))

    @property
    def shots(self) -> tuple[Shot, ...]:
        return self.altitudes.shots if self.altitudes else ()

    @property
    def intercepts(self) -> dict[str, float]:
        return dict(zip(self.ids, map(float, self.intercepts_nm), strict=True))

    def see(self) -> SeeFunction:
        """The observations carried to their times in the wind held and in two winds beside."""
        times = np.array([*(shot.time_s for shot in self.shots), *(line.time_s for line in self.lines)])
        carried, n = carrying(self.plot, self.time_s, times), len(self.shots)
        dr_lon = self.plot.position(times)[1][:n]

        def seen(lats: Array, lons: Array) -> Seen:
            lat, lon = carried(lats, lons)
            if self.altitudes is None:
                altitudes = Seen(np.zeros(lat[:, :0].shape), np.zeros(0), np.zeros(0))
            else:
                altitudes = altitudes_seen(self.altitudes.obs, lat[:, :n], lon[:, :n], dr_lon)
            return _with_lines(altitudes, self.lines, lat[:, n:], lon[:, n:])

        return seen


def carrying(plot: Reckoning, time_s: float, times: Array) -> Callable[[Array, Array], tuple[Array, Array]]:
    """How places (…, 3, 1) at `time_s` become places (…, 5, n) at the times (…, n) of the shots.

    The three are carried in the wind held, the first of them also in two winds beside it, as the estimator asks.
    """
    plots = [plot] * 3 + [plot.with_wind_changed(WIND_STEP_KT, 0.0), plot.with_wind_changed(0.0, WIND_STEP_KT)]
    at = times if times.ndim == 1 else times[..., None, :]
    rows = np.array([0, 1, 2, 0, 0])

    def carried(lats: Array, lons: Array) -> tuple[Array, Array]:
        return carry_beside(plots, lats[..., rows, :], lons[..., rows, :], time_s, at)

    return carried


def altitudes_seen(obs: Observations, lat: Array, lon: Array, dr_lon: Array) -> Seen:
    """Ho - Hc of shots at their places (…, 5, n); with leading dimensions the observations are (…, 1, n).

    `dr_lon` are the longitudes that the tracks of the observations are for: a great circle beside is flown parallel to
    that of the DR, and so on another true track as the meridians converge.
    """
    if not np.all(obs.rhumb == 1.0):
        turned = np.sin(np.radians(lat)) * wrapped(lon - dr_lon)
        obs = replace(obs, track_deg=obs.track_deg + (1.0 - obs.rhumb) * turned)
    at = compute(obs, lat, lon)
    left = (correct(obs, at, lat).ho_deg - at.hc_deg) * 60.0
    return Seen(left, at.zn_deg[..., 0, :], at.rate[..., 0, :] / 60.0)


def _with_lines(altitudes: Seen, lines: tuple[LineAt, ...], lat: Array, lon: Array) -> Seen:
    """Add the offsets of other lines: NM stand beside minutes of arc, and no watch enters."""
    if not lines:
        return altitudes
    offsets = np.stack([line.shape.offset_nm(lat[:, k], lon[:, k]) for k, line in enumerate(lines)], axis=-1)
    normals = [float(line.shape.normal_deg(lat[0, k], lon[0, k])) for k, line in enumerate(lines)]
    return Seen(
        np.concatenate([altitudes.residuals_arcmin, offsets], axis=-1),
        np.concatenate([altitudes.azimuth_deg, normals]),
        np.concatenate([altitudes.rate_arcmin_per_s, np.zeros(len(lines))]),
    )


def fix_work(kit: Kit, fix: Fix, altitudes: Shots | None, lines: tuple[LineAt, ...], plot: Reckoning) -> FixWork:
    """A fix with at least one observation, ready to be worked."""
    time_s = gmt_s(fix.time)
    lat, lon = plot.position(time_s)
    shots = altitudes.shots if altitudes else ()
    near_pole = 1.0 if abs(float(lat)) > POLAR_DEG else 0.0
    sigmas = [max(shot.sight.sigma_arcmin or kit.sextant.sigma_arcmin, _LEAST_SIGMA_ARCMIN) for shot in shots]
    azimuths, intercepts = [np.zeros(0)], [np.zeros(0)]
    if altitudes:
        there = plot.position(np.array([shot.time_s for shot in shots]))
        turned = near_pole * np.sin(np.radians(lat)) * wrapped(there[1] - lon)
        azimuths, intercepts = [(altitudes.azimuths_deg - turned) % 360.0], [altitudes.intercepts_nm]
    for line in lines:
        there = plot.position(line.time_s)
        azimuths.append(np.atleast_1d(line.shape.normal_deg(*there)))
        intercepts.append(np.atleast_1d(line.shape.offset_nm(*there)))
    model = ErrorModel(
        sigma_arcmin=np.array([*sigmas, *(line.sigma_nm for line in lines)]),
        common_sigma_arcmin=kit.sextant.common_sigma_arcmin,
        wind_sigma_kt=kit.wind_sigma_kt,
        watch_sigma_s=kit.watch.sigma_s,
        shares_common=np.array([1.0] * len(shots) + [0.0] * len(lines)),
    )
    return FixWork(
        fix,
        time_s,
        plot,
        Position(float(lat), float(lon)),
        model,
        altitudes,
        lines,
        np.concatenate(azimuths),
        np.concatenate(intercepts),
    )
