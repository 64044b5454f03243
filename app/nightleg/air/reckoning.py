"""Dead reckoning: one plot that starts from a known position and follows the legs.

A flight has one `Reckoning` from its start and one from each adopted fix. Within a leg the ground track is a rhumb
line or a great circle on WGS 84; where a bank is given, the leg begins with an arc (`air.turn`). Carrying a point from
one time to another is the legs' own motion applied to that point, forward or backward, so carrying there and back
returns the point.

A great-circle leg sets out on its wind-triangle track at its start; a plot that begins in the middle of such a leg goes
on with the track of that moment. Every point carried along the leg is taken to have set out on that same track at that
same time, as a gyro shows it: parallel to the track of the plot where the plot set out, or where the grid is steered
by, and on a leg that sets out beyond 85° of latitude, on the same grid track. So points near each other stay so over a
pole, where courses of the same true track would meet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from nightleg.air.greatcircle import origins
from nightleg.air.motion import LegMotion, fly_heading, in_wind, wind_named, wind_vector
from nightleg.air.turn import Turn, carry_in_turn
from nightleg.earth.local import between, offset
from nightleg.earth.rhumb import rhumb_direct

Array = NDArray[np.float64]

GRID_FROM_DEG = 85.0  # a great-circle leg that sets out beyond this is carried by the polar grid

_HOUR_S = 3600.0


class Reckoning(Struct, frozen=True):
    """A DR plot. `legs` rise in time and follow each other without a gap; the first holds for all time before.

    `entry_track_deg` is the track at `time_s` where the plot begins inside a great-circle leg (None: the leg's own).
    `cov_nm2` is the covariance of the position at `time_s`, `wind_sigma_kt` the 1σ of each component of a constant
    error of the wind held.
    """

    legs: tuple[LegMotion, ...]
    time_s: float
    lat: float
    lon: float
    cov_nm2: tuple[tuple[float, float], tuple[float, float]]
    wind_sigma_kt: float
    entry_track_deg: float | None = None

    @property
    def entry_leg(self) -> int:
        """Index of the leg flown when the plot begins."""
        return self.leg_index(self.time_s)

    def leg_index(self, time_s: float) -> int:
        """Index of the leg that is flown at `time_s` (at a change: the new one)."""
        index = 0
        for i, leg in enumerate(self.legs):
            if leg.start_s <= time_s:
                index = i
        return index

    def leg(self, time_s: float) -> LegMotion:
        """The leg that is flown at `time_s`."""
        return self.legs[self.leg_index(time_s)]

    def hours(self, time_s: Any) -> Any:
        """Hours since the plot began."""
        return (time_s - self.time_s) / _HOUR_S

    def covariance(self, time_s: float) -> Array:
        """Covariance of the DR position at `time_s`, NM², north and east."""
        grown = (self.wind_sigma_kt * self.hours(time_s)) ** 2
        return np.asarray(np.asarray(self.cov_nm2, dtype=float) + grown * np.eye(2), dtype=np.float64)

    def carried_covariance(self, time_s: float) -> tuple[Array, Array]:
        """Covariance of the DR at `time_s` and its change with the wind, exactly.

        Returns (2, 2) NM² and (2, 2) NM per kt: rows north and east of the position, columns of the wind. Unlike
        `covariance`, which is the navigator's rule, it follows how a constant track draws positions together or apart
        as the meridians converge, some percent in hours.
        """
        steps = np.array([[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]])
        lats, lons = offset(self.lat, self.lon, steps[:, 0], steps[:, 1])
        moved = self.carry(lats, lons, self.time_s, time_s)
        blown = [self.with_wind_changed(north, east).position(time_s) for north, east in steps]
        by_place = self._halves(*moved)
        by_wind = self._halves(np.array([lat for lat, _ in blown]), np.array([lon for _, lon in blown]))
        wind_part = self.wind_sigma_kt**2 * by_wind @ by_wind.T
        return np.asarray(by_place @ np.asarray(self.cov_nm2, dtype=float) @ by_place.T + wind_part), by_wind

    @staticmethod
    def _halves(lat: Array, lon: Array) -> Array:
        """Central differences of pairs of positions as a matrix: rows north and east, a column for each pair."""
        north, east = between(lat[1::2], lon[1::2], lat[0::2], lon[0::2])
        return np.asarray(np.stack([north, east]) / 2.0)

    def position(self, time_s: Any) -> tuple[Array, Array]:
        """DR latitudes and longitudes (degrees) at times of any shape."""
        return self.carry(self.lat, self.lon, self.time_s, time_s)

    def track(self, time_s: float) -> float:
        """Track made good at `time_s`, degrees true; on a great circle it changes on the way."""
        leg_index = self.leg_index(time_s)
        leg = self.legs[leg_index]
        if self.turning(time_s) is not None:
            return fly_heading(self.heading(time_s), leg.tas_kt, leg.wind_from_deg, leg.wind_kt)[0]
        if leg.steering == "rhumb" or leg.gs_kt == 0.0:
            return leg.track_deg
        from nightleg.earth.geodesic import direct  # pulls in a library that rhumb-line flights do without

        reference_s, track_deg = self._set_out(leg_index)
        lat, lon = self.position(reference_s)
        _, _, azimuth = direct(lat, lon, track_deg, leg.gs_kt * (time_s - reference_s) / _HOUR_S)
        return float(azimuth) % 360.0

    def heading(self, time_s: float) -> float:
        """True heading at `time_s`: the track less the drift held on the leg."""
        leg, turn = self.leg(time_s), self.turning(time_s)
        if turn is not None:
            return turn.heading_deg(time_s - leg.start_s)
        if leg.steering == "rhumb" or leg.gs_kt == 0.0:
            return leg.heading_deg
        return (self.track(time_s) - leg.drift_deg) % 360.0

    def carry(self, lat: Any, lon: Any, from_s: Any, to_s: Any) -> tuple[Array, Array]:
        """Points (lat, lon) at `from_s` moved to `to_s` by the legs' own motion. All broadcast."""
        lat, lon = np.asarray(lat, dtype=float), np.asarray(lon, dtype=float)
        from_s, to_s = np.asarray(from_s, dtype=float), np.asarray(to_s, dtype=float)
        shape = np.broadcast(lat, lon, from_s, to_s).shape
        earliest, latest = min(from_s.min(), to_s.min()), max(from_s.max(), to_s.max())
        touched = [i for i in range(len(self.legs)) if self._begin(i) < latest and self._end(i) > earliest]
        if len(touched) == 1:
            lat, lon = self._along(touched[0], lat, lon, from_s, to_s)
        else:
            lat, lon = self._through(touched, lat, lon, from_s, to_s)
        if lat.shape != shape:
            lat, lon = np.broadcast_to(lat, shape), np.broadcast_to(lon, shape)
        return lat, lon

    def _through(self, touched: list[int], lat: Array, lon: Array, from_s: Array, to_s: Array) -> tuple[Array, Array]:
        """Move points through several legs: those that go back first, then those that go on; the others stand."""
        if np.any(to_s < from_s):
            for i in reversed(touched):
                upper = np.clip(from_s, self._begin(i), self._end(i))
                lower = np.clip(to_s, self._begin(i), self._end(i))
                lat, lon = self._along(i, lat, lon, upper, np.minimum(upper, lower))
        if np.any(to_s > from_s):
            for i in touched:
                lower = np.clip(from_s, self._begin(i), self._end(i))
                upper = np.clip(to_s, self._begin(i), self._end(i))
                lat, lon = self._along(i, lat, lon, lower, np.maximum(lower, upper))
        return lat, lon

    def wind_to_reach(self, lat: float, lon: float, time_s: float) -> tuple[float, float] | None:
        """The one wind (from, kt) that, held since the plot began, puts the aircraft at (lat, lon) at `time_s`.

        Heading and airspeed are those of the legs. In plane geometry it is the way from the air position to the fix
        over the time between; here the plot is flown again until it arrives, so a long interval on the curved Earth
        leaves no error. None if no time has passed, and where no wind leads there (a place that lies across the world).
        """
        hours = self.hours(time_s)
        if hours <= 0.0:
            return None
        last = self.leg(time_s)
        wind = np.array(wind_vector(last.wind_from_deg, last.wind_kt))
        moves, before_nm = hours * np.eye(2), math.inf  # NM per kt: north and east of the place, by those of the wind
        for _ in range(20):
            off = self._blown_off(wind, lat, lon, time_s)
            miss_nm = math.hypot(*off)
            if not math.isfinite(miss_nm):
                return None
            if not miss_nm < 0.5 * before_nm:  # north there is not north here, as beyond a pole
                steps = [self._blown_off(wind + step, lat, lon, time_s) for step in np.eye(2)]
                moves = off[:, None] - np.stack(steps, axis=1)
                if not np.all(np.isfinite(moves)) or abs(np.linalg.det(moves)) < 1e-6 * hours**2:
                    return None
            before_nm = miss_nm
            wind = wind + np.linalg.solve(moves, off)
            if miss_nm / hours < 1e-4:  # the rest falls a hundredfold with the step just taken
                return wind_named(float(wind[0]), float(wind[1]))
        return None

    def _blown_off(self, wind: Array, lat: float, lon: float, time_s: float) -> Array:
        """How far (lat, lon) lies north and east, NM, of where the plot leads in one wind (its motion, kt)."""
        there = self.with_wind(float(wind[0]), float(wind[1])).position(time_s)
        return np.array(between(*there, lat, lon), dtype=float)

    def with_wind(self, north_kt: float, east_kt: float) -> Reckoning:
        """The same headings and airspeeds in one wind for all legs, given by the components of the air's motion."""
        return self._refly(tuple(in_wind(leg, north_kt, east_kt) for leg in self.legs))

    def with_wind_changed(self, north_kt: float, east_kt: float) -> Reckoning:
        """The same headings and airspeeds, each leg's wind changed by those components of the air's motion."""
        legs = []
        for leg in self.legs:
            held_north, held_east = wind_vector(leg.wind_from_deg, leg.wind_kt)
            legs.append(in_wind(leg, held_north + north_kt, held_east + east_kt))
        return self._refly(tuple(legs))

    def _refly(self, legs: tuple[LegMotion, ...]) -> Reckoning:
        entry = self.entry_track_deg
        if entry is not None:
            # the track of the moment the plot began turns by as much as the drift changes
            entry = (entry + legs[self.entry_leg].track_deg - self.legs[self.entry_leg].track_deg) % 360.0
        return Reckoning(legs, self.time_s, self.lat, self.lon, self.cov_nm2, self.wind_sigma_kt, entry)

    def _begin(self, index: int) -> float:
        return -math.inf if index == 0 else self.legs[index].start_s

    def _end(self, index: int) -> float:
        return math.inf if index + 1 == len(self.legs) else self.legs[index + 1].start_s

    def _rolled_out(self, index: int) -> float:
        """When a leg's own heading is reached: at its beginning, or at the end of its turn."""
        leg = self.legs[index]
        return leg.start_s if leg.turn is None else leg.start_s + leg.turn.duration_s

    def turning(self, time_s: float) -> Turn | None:
        """The turn that is being flown at `time_s`."""
        index = self.leg_index(time_s)
        leg = self.legs[index]
        return leg.turn if leg.turn is not None and leg.start_s <= time_s < self._rolled_out(index) else None

    def gs_kt(self, time_s: float) -> float:
        """Ground speed at `time_s`; in a turn it changes with the heading."""
        leg = self.leg(time_s)
        if self.turning(time_s) is None:
            return leg.gs_kt
        return fly_heading(self.heading(time_s), leg.tas_kt, leg.wind_from_deg, leg.wind_kt)[1]

    def run_nm(self, time_s: float) -> float:
        """Way over the ground from the beginning of the plot to `time_s`, NM, along the track."""
        whole = 0.0
        for i, leg in enumerate(self.legs):
            begin, end = max(self._begin(i), self.time_s), min(self._end(i), time_s)
            if end <= begin:
                continue
            turned = min(max(self._rolled_out(i), begin), end) if leg.turn is not None else begin
            whole += leg.gs_kt * (end - turned) / _HOUR_S
            if turned > begin:
                times = np.linspace(begin, turned, 25)
                whole += float(np.trapezoid([self.gs_kt(float(t) - 1e-6) for t in times], times)) / _HOUR_S
        return whole

    def _set_out(self, index: int) -> tuple[float, float]:
        """Reference of a great-circle leg in this plot: a time and the track then."""
        if index == self.entry_leg and self.entry_track_deg is not None:
            return self.time_s, self.entry_track_deg
        return self._rolled_out(index), self.legs[index].track_deg

    def _along(self, index: int, lat: Array, lon: Array, from_s: Array, to_s: Array) -> tuple[Array, Array]:
        """Move points along one leg between times inside it (equal times: not at all)."""
        end_s = self._rolled_out(index)
        if self.legs[index].turn is None or min(from_s.min(), to_s.min()) >= end_s:
            return self._straight(index, lat, lon, from_s, to_s)
        # out of the leg backward: the straight part first, then the arc; into it: the arc first
        early, late = np.minimum(from_s, end_s), np.maximum(from_s, end_s)
        on = np.maximum(to_s, end_s)
        lat, lon = self._straight(index, lat, lon, late, np.minimum(on, late))
        lat, lon = self._arc(index, lat, lon, early, np.minimum(to_s, end_s))
        return self._straight(index, lat, lon, late, np.maximum(on, late))

    def _arc(self, index: int, lat: Array, lon: Array, from_s: Array, to_s: Array) -> tuple[Array, Array]:
        """Move points along the turn at the beginning of a leg."""
        leg = self.legs[index]
        if leg.turn is None:
            return lat, lon
        blown = wind_vector(leg.wind_from_deg, leg.wind_kt)
        return carry_in_turn(leg.turn, leg.tas_kt, blown, lat, lon, from_s - leg.start_s, to_s - leg.start_s)

    def _straight(self, index: int, lat: Array, lon: Array, from_s: Array, to_s: Array) -> tuple[Array, Array]:
        """Move points along a leg once its heading is held."""
        leg = self.legs[index]
        distance_nm = leg.gs_kt * (to_s - from_s) / _HOUR_S
        if not np.any(distance_nm):
            return lat, lon
        if leg.steering == "rhumb":
            return rhumb_direct(lat, lon, leg.track_deg, distance_nm)
        return self._along_great_circle(index, lat, lon, from_s, to_s)

    def _along_great_circle(
        self, index: int, lat: Array, lon: Array, from_s: Array, to_s: Array
    ) -> tuple[Array, Array]:
        from nightleg.earth.geodesic import direct

        gs_kt = self.legs[index].gs_kt
        reference_s, track_deg = self._set_out(index)
        lat, lon, from_s, to_s = np.broadcast_arrays(lat, lon, from_s, to_s)
        n, from_lon = self._shared_grid(index)
        flown_nm = gs_kt * (from_s - reference_s) / _HOUR_S
        lat0, lon0, course_deg = origins(lat, lon, flown_nm, track_deg, n, from_lon)
        lat2, lon2, _ = direct(lat0, lon0, course_deg, gs_kt * (to_s - reference_s) / _HOUR_S)
        still = from_s == to_s
        return np.where(still, lat, lat2), np.where(still, lon, lon2)

    def _shared_grid(self, index: int) -> tuple[float, float]:
        """How fast the track that points of a great-circle leg share turns with the longitude, and from which on.

        Courses parallel to each other turn with the sine of the latitude there. The longitude is that of the plot
        itself where it sets out on the leg.
        """
        leg, (reference_s, track_deg) = self.legs[index], self._set_out(index)
        hours = abs(reference_s - self.time_s) / _HOUR_S
        if reference_s < self.time_s:  # begun before the plot
            run_nm = np.array([leg.gs_kt * hours])
            origin = origins(np.array([self.lat]), np.array([self.lon]), run_nm, track_deg, 0.0, 0.0)
            lat, lon = float(origin[0][0]), float(origin[1][0])
        else:
            lat, lon = (float(x) for x in self.position(reference_s))
        if leg.grid_n == 0.0 and abs(lat) > GRID_FROM_DEG:
            return math.copysign(1.0, lat), lon
        return leg.grid_n or math.sin(math.radians(lat)), lon


def last_plot(plots: Sequence[Reckoning], time_s: float, *, before: bool = False) -> Reckoning:
    """The last plot begun at `time_s` or earlier (`before`: earlier only); the first, if none was."""
    last = plots[0]
    for plot in plots:
        if plot.time_s < time_s or (plot.time_s == time_s and not before):
            last = plot
    return last


def carry_beside(plots: Sequence[Reckoning], lat: Any, lon: Any, from_s: float, to_s: Any) -> tuple[Array, Array]:
    """Points carried in several plots of the same legs that differ in their winds only.

    `lat`, `lon` are (…, k, 1) with a row for each of the k plots, `to_s` broadcasts over the last axis. The same as
    each plot's own `carry`; along one rhumb-line leg it is one call for all.
    """
    first = plots[0]
    to_s = np.asarray(to_s, dtype=float)
    low, high = min(from_s, float(to_s.min())), max(from_s, float(to_s.max()))
    index = first.leg_index(low)
    single = index == first.leg_index(high) or (index + 1 < len(first.legs) and first.legs[index + 1].start_s >= high)
    single = single and first.turning(low) is None
    if single and all(plot.legs[index].steering == "rhumb" for plot in plots):
        legs = [plot.legs[index] for plot in plots]
        track, gs = np.array([leg.track_deg for leg in legs]), np.array([leg.gs_kt for leg in legs])
        return rhumb_direct(lat, lon, track[:, None], gs[:, None] * ((to_s - from_s) / _HOUR_S))
    rows = [plot.carry(lat[..., k : k + 1, :], lon[..., k : k + 1, :], from_s, to_s) for k, plot in enumerate(plots)]
    return np.concatenate([a for a, _ in rows], axis=-2), np.concatenate([b for _, b in rows], axis=-2)
