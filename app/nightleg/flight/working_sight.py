"""The working of a sight, from the watch to the intercept."""

from __future__ import annotations

from nightleg.flight.model import Flight
from nightleg.flight.shots import watch_error_s
from nightleg.flight.solution import SightResult
from nightleg.flight.working_chain import ALMANAC, correction_steps
from nightleg.flight.working_step import Step, Working
from nightleg.sky.catalogue import is_star
from nightleg.units.angles import MINUS, write_angle, write_arcmin, write_bearing
from nightleg.units.positions import write_latitude, write_longitude
from nightleg.units.times import write_clock

EPHEMERIS = "DE421 through Skyfield: apparent place of date"


def sight_working(flight: Flight, sight: SightResult) -> Working:
    """All steps of one reduced sight."""
    steps = (*_time(flight, sight), *_place(sight), *_reading(flight, sight), _intercept(sight))
    return Working(of=sight.id, title=f"{sight.body}, {write_clock(sight.time, seconds=True)} GMT", steps=steps)


def _time(flight: Flight, sight: SightResult) -> tuple[Step, ...]:
    watch = flight.watch
    error_s = watch_error_s(watch, flight.start.time, sight.watch_time)
    return (
        Step(
            "GMT",
            write_clock(sight.time, seconds=True),
            f"watch time {MINUS} watch error; error = error at the check + rate·time since",
            (
                ("watch time", write_clock(sight.watch_time, seconds=True)),
                ("watch error", f"{error_s:+.1f} s".replace("-", MINUS)),
                ("rate", f"{watch.rate_s_per_day:+.1f} s/day".replace("-", MINUS)),
            ),
            "definition; fast is positive",
        ),
    )


def _place(sight: SightResult) -> tuple[Step, ...]:
    lat, lon = sight.reduced_from
    whence = "assumed position" if sight.assumed else "DR"
    latitude, longitude = (f"latitude ({whence})", write_latitude(lat)), (f"longitude ({whence})", write_longitude(lon))
    lha, dec = ("LHA", write_angle(sight.lha, wrap=True)), ("Dec", write_latitude(sight.dec))
    body, observer = sight.body_motion_arcmin_per_min, sight.observer_motion_arcmin_per_min
    track = "none" if sight.track_deg is None else write_bearing(sight.track_deg, 1)
    return (
        *_hour_angle(sight),
        Step("Dec", write_latitude(sight.dec), source=EPHEMERIS),
        Step(
            "LHA",
            write_angle(sight.lha, wrap=True),
            "GHA + longitude, east positive",
            (("GHA", write_angle(sight.gha, wrap=True)), longitude),
            "definition",
        ),
        Step(
            "Hc",
            write_angle(sight.hc),
            "sin Hc = sin L·sin d + cos L·cos d·cos LHA",
            (latitude, dec, lha),
            ALMANAC,
        ),
        Step(
            "Zn",
            write_bearing(sight.zn, 1),
            f"tan Zn = {MINUS}cos d·sin LHA/(cos L·sin d {MINUS} sin L·cos d·cos LHA)",
            (latitude, dec, lha),
            ALMANAC,
        ),
        Step(
            "motion of the body",
            f"{write_arcmin(body, 2)}/min",
            "dHc/dt at rest: n·cos L·sin Zn + change of Dec·cos q",
            (("Zn", write_bearing(sight.zn, 1)), latitude),
            "derivative of Hc",
        ),
        Step(
            "motion of the aircraft",
            f"{write_arcmin(observer, 2)}/min",
            f"GS/60·cos(Zn {MINUS} TC)",
            (("Zn", write_bearing(sight.zn, 1)), ("TC", track)),
            "derivative of Hc",
        ),
    )


def _hour_angle(sight: SightResult) -> tuple[Step, ...]:
    """GHA: of a star from its sidereal hour angle, as almanacs tabulate it; of the others from right ascension."""
    gha, aries = write_angle(sight.gha, wrap=True), ("GHA Aries", write_angle(sight.gha_aries, wrap=True))
    sha = write_angle((sight.gha - sight.gha_aries) % 360.0, wrap=True)
    if is_star(sight.body):
        inputs = (aries, ("SHA", sha), ("Dec", write_latitude(sight.dec)))
        return (
            Step("SHA", sha, f"360° {MINUS} right ascension", source=EPHEMERIS),
            Step("GHA", gha, "GHA Aries + SHA, less 360° where it is more", inputs, "definition"),
        )
    ascension = write_angle((sight.gha_aries - sight.gha) % 360.0, wrap=True)
    found = (aries, ("right ascension", ascension))
    return (Step("GHA", gha, f"GHA Aries {MINUS} right ascension", found, EPHEMERIS),)


def _reading(flight: Flight, sight: SightResult) -> tuple[Step, ...]:
    readings: list[tuple[str, str]] = []
    if sight.n_readings > 1:
        readings.append(("readings", str(sight.n_readings)))
    if sight.scatter_arcmin is not None:
        readings.append(("scatter, 1σ of one", f"{sight.scatter_arcmin:.1f}′"))
    first = Step("Hs", write_angle(sight.hs), "mean of the observation, valid at its middle", tuple(readings))
    lines = correction_steps(flight, sight)
    total = sum(correction.arcmin for correction in sight.corrections)
    last = Step(
        "Ho",
        "refused" if sight.ho is None else write_angle(sight.ho),
        "Hs + all corrections",
        (("Hs", write_angle(sight.hs)), ("corrections", write_arcmin(total, 2))),
    )
    return (first, *lines, last)


def _intercept(sight: SightResult) -> Step:
    if sight.ho is None or sight.intercept_nm is None:
        return Step("intercept", "none", source="the reading is refused")
    side = "toward" if sight.intercept_nm >= 0.0 else "away"
    return Step(
        "intercept",
        f"{abs(sight.intercept_nm):.1f} NM {side}",
        f"Ho {MINUS} Hc, 1′ = 1 NM; positive toward the body",
        (("Ho", write_angle(sight.ho)), ("Hc", write_angle(sight.hc)), ("Zn", write_bearing(sight.zn, 1))),
        ALMANAC,
    )
