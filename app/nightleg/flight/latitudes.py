"""Latitude by Polaris and by meridian passage, as it is worked on paper, beside the exact line of the same sight.

Made only when asked for. The fix rests on the exact line; what is found here tells how near the rule of the trade comes
to it. A latitude by one shot is for the moment of the shot; by a series about the transit it is for the transit, and is
held against the exact line carried there along the DR.

For a moving observer the greatest altitude is not the transit: northing and the change of declination shift it. So a
series is fitted with the curve of the altitude as the moving aircraft sees it, raised and tilted, and the altitude is
read off where the body crosses the meridian of the DR.
"""

from __future__ import annotations

from datetime import datetime
from typing import Literal

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from nightleg.air.reckoning import Reckoning, last_plot
from nightleg.flight.latitude_hint import POLARIS, by_meridian, may_give_latitude
from nightleg.flight.model import Flight, Sight
from nightleg.flight.shots import Shot, observe, sky_of, watch_to_gmt
from nightleg.flight.solution import SightResult, Solution
from nightleg.sight.chain import compute, correct
from nightleg.sight.latitude import (
    exact_latitude_deg,
    meridian_altitude_deg,
    meridian_angle_deg,
    meridian_latitude_deg,
    polaris_bound_arcmin,
    polaris_latitude_deg,
)
from nightleg.sight.reduction import altitude
from nightleg.sky.ephemeris import EphemerisRangeError
from nightleg.sky.places import places
from nightleg.units.times import gmt_s, instant

Array = NDArray[np.float64]
Transit = Literal["upper", "lower"]

FEWEST_FITTED = 4  # readings of a series that are fitted with a curve
_SPAN_MIN = 180.0  # to both sides of the transit, where a greatest altitude is looked for
_STEP_MIN = 1.0


class LatitudeFound(Struct, frozen=True):
    """A latitude and how it came about. `difference_nm` is how far it lies north of the exact line."""

    by: Literal["polaris", "meridian"]
    lat: float
    time: datetime  # that it is for
    lon: float  # the meridian of the DR then
    exact_lat: float
    difference_nm: float
    left_out_arcmin: float | None  # a bound of what the rule leaves out; None for a fitted series
    ho: float  # altitude that the rule is worked from: the sight's, or on the meridian
    dec: float
    lha: float
    transit: Transit | None = None
    transit_time: datetime | None = None
    reduction_arcmin: float | None = None  # from the altitude of the shot to that on the meridian
    greatest_time: datetime | None = None  # of the greatest altitude (at lower transit the least), if within hours
    greatest_deg: float | None = None
    readings: int = 1  # that were fitted


def latitude_found(flight: Flight, solution: Solution, sight: SightResult) -> LatitudeFound | None:
    """The latitude of a sight of Polaris, or of a body near the meridian; None for any other, and where refused.

    Near the meridian is within as many minutes of the transit as the body's zenith distance there has degrees (common
    practice, no source), and not within 5° of the zenith.
    """
    if sight.ho is None or not solution.plots or not may_give_latitude(sight):
        return None
    plot = solution.plot_of_fix[sight.fix] if sight.fix is not None else last_plot(solution.plots, gmt_s(sight.time))
    exact = float(exact_latitude_deg(sight.ho, sight.dec, sight.gha + sight.dr.lon, sight.dr.lat))
    if not np.isfinite(exact):
        return None
    if sight.body == POLARIS:
        return _polaris(sight, sight.ho, exact)
    try:
        return _meridian(flight, sight, sight.ho, plot, exact)
    except EphemerisRangeError:
        return None


def _polaris(sight: SightResult, ho: float, exact: float) -> LatitudeFound:
    lha = (sight.gha + sight.dr.lon) % 360.0
    lat = float(polaris_latitude_deg(ho, sight.dec, lha))
    return LatitudeFound(
        by="polaris",
        lat=lat,
        time=sight.time,
        lon=sight.dr.lon,
        exact_lat=exact,
        difference_nm=(lat - exact) * 60.0,
        left_out_arcmin=float(polaris_bound_arcmin(ho, sight.dec)),
        ho=ho,
        dec=sight.dec,
        lha=lha,
    )


def _meridian(flight: Flight, sight: SightResult, ho: float, plot: Reckoning, exact: float) -> LatitudeFound | None:
    upper, zenith, angle = by_meridian(sight)
    lha, time_s = (sight.gha + sight.dr.lon) % 360.0, gmt_s(sight.time)
    transit_s = _transit(sight.body, plot, time_s, angle, upper)
    if transit_s is None or abs(transit_s - time_s) / 60.0 > zenith:
        return None
    transit: Transit = "upper" if upper else "lower"
    curve = _Curve(sight.body, plot, transit_s, upper)
    logged = next((one for one in flight.sights if one.id == sight.id), None)
    fitted = _fit(flight, logged, plot, curve) if logged is not None else None
    if fitted is not None:
        return _by_series(sight, fitted, curve, exact, transit)
    high, left_out = meridian_altitude_deg(ho, sight.dec, angle, sight.dr.lat, upper=upper)
    lat = float(meridian_latitude_deg(high, sight.dec, sight.dr.lat, upper=upper))
    greatest = curve.greatest(0.0, 0.0)
    return LatitudeFound(
        by="meridian",
        lat=lat,
        time=sight.time,
        lon=sight.dr.lon,
        exact_lat=exact,
        difference_nm=(lat - exact) * 60.0,
        left_out_arcmin=float(left_out),
        ho=float(high),
        dec=sight.dec,
        lha=lha,
        transit=transit,
        transit_time=instant(transit_s),
        reduction_arcmin=(float(high) - ho) * 60.0,
        greatest_time=greatest[0],
        greatest_deg=greatest[1],
    )


def _by_series(
    sight: SightResult, fitted: tuple[float, float, int], curve: _Curve, exact: float, transit: Transit
) -> LatitudeFound:
    """The latitude at the transit from the altitude that the fitted curve has there."""
    raised, tilt, count = fitted
    high = curve.at_transit_deg + raised / 60.0
    lat = float(meridian_latitude_deg(high, curve.dec_deg, curve.lat, upper=transit == "upper"))
    carried = curve.lat + exact - sight.dr.lat
    greatest = curve.greatest(raised, tilt)
    return LatitudeFound(
        by="meridian",
        lat=lat,
        time=instant(curve.transit_s),
        lon=curve.lon,
        exact_lat=carried,
        difference_nm=(lat - carried) * 60.0,
        left_out_arcmin=None,
        ho=high,
        dec=curve.dec_deg,
        lha=0.0 if transit == "upper" else 180.0,
        transit=transit,
        transit_time=instant(curve.transit_s),
        greatest_time=greatest[0],
        greatest_deg=greatest[1],
        readings=count,
    )


def _transit(body: str, plot: Reckoning, time_s: float, angle_deg: float, upper: bool) -> float | None:
    """When the body crosses the meridian of the moving DR, nearest to a time; None where it does not settle."""
    at_s = time_s - angle_deg * 240.0
    for _ in range(20):
        times = np.array([at_s - 30.0, at_s, at_s + 30.0])
        _, lon = plot.position(times)
        before, now, after = meridian_angle_deg(places(body, times).gha_deg + lon, upper=upper).tolist()
        per_s = ((after - before + 180.0) % 360.0 - 180.0) / 60.0
        if not np.isfinite(per_s) or abs(per_s) < 1e-4:  # the aircraft keeps up with the body, or passes a pole
            return None
        step = now / per_s
        if abs(step) > 7200.0:
            return None
        at_s -= step
        if abs(step) < 1e-3:
            return float(at_s)
    return None


class _Curve:
    """The altitude of a body as the DR sees it about its transit."""

    def __init__(self, body: str, plot: Reckoning, transit_s: float, upper: bool) -> None:
        self.transit_s, self._body, self._plot, self._upper = transit_s, body, plot, upper
        lat, lon = plot.position(transit_s)
        self.lat, self.lon = float(lat), float(lon)
        self.dec_deg = float(places(body, transit_s).dec_deg)
        self.at_transit_deg = float(self.deg(np.array([transit_s]))[0])

    def deg(self, times_s: Array) -> Array:
        """Altitudes at times."""
        lat, lon = self._plot.position(times_s)
        there = places(self._body, times_s)
        return altitude(lat, lon, there.gha_deg, there.dec_deg)

    def greatest(self, raised_arcmin: float, tilt_arcmin_per_min: float) -> tuple[datetime, float] | tuple[None, None]:
        """When and how high it stands highest (at lower transit lowest), the curve raised and tilted about transit."""
        minutes = np.arange(-_SPAN_MIN, _SPAN_MIN + _STEP_MIN, _STEP_MIN)
        sign = 1.0 if self._upper else -1.0
        try:
            heights = self.deg(self.transit_s + 60.0 * minutes) + (raised_arcmin + tilt_arcmin_per_min * minutes) / 60.0
        except EphemerisRangeError:
            return None, None
        if not np.isfinite(heights).all():
            return None, None
        k = int(np.argmax(sign * heights))
        if k in (0, minutes.size - 1):
            return None, None
        low, mid, high = heights[k - 1 : k + 2].tolist()
        bend = low - 2.0 * mid + high
        off = 0.5 * (low - high) / bend if bend else 0.0
        when = instant(self.transit_s + 60.0 * (float(minutes[k]) + off * _STEP_MIN))
        return when, mid - 0.25 * (low - high) * off


def _fit(flight: Flight, sight: Sight, plot: Reckoning, curve: _Curve) -> tuple[float, float, int] | None:
    """How far the readings stand above the DR's curve at transit, arcmin, and per minute, and how many there are.

    None for a series that is short or does not reach over the transit: there a shot is reduced to the meridian.
    """
    if len(sight.readings) < FEWEST_FITTED:
        return None
    shots = []
    for reading in sight.readings:
        gmt = watch_to_gmt(flight.watch, flight.start.time, reading.time)
        shots.append(Shot(sight, reading.time, gmt_s(gmt), reading.hs, 0.0))
    times = np.array([shot.time_s for shot in shots])
    if not times.min() <= curve.transit_s <= times.max():
        return None
    obs = observe(flight.sextant, shots, sky_of(shots), plot)
    lat, lon = plot.position(times)
    steps = correct(obs, compute(obs, lat, lon), lat)
    above = (steps.ho_deg - curve.deg(times)) * 60.0
    if not np.isfinite(above).all():
        return None
    tilt, raised = np.polyfit((times - curve.transit_s) / 60.0, above, 1)
    return float(raised), float(tilt), len(shots)
