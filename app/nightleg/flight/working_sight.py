"""The working of a sight, from the watch to the intercept."""

from __future__ import annotations

from nightleg.flight.model import Flight
from nightleg.flight.shots import watch_error_s
from nightleg.flight.solution import Correction, SightResult
from nightleg.flight.working import Step, Working
from nightleg.sight.bubble import AHEAD_PER_KT_MIN, CORIOLIS_PER_KT, RHUMB_PER_KT2, WANDER_PER_KT_DEG_MIN
from nightleg.units.angles import MINUS, write_angle, write_arcmin, write_bearing
from nightleg.units.positions import write_latitude, write_longitude
from nightleg.units.times import write_clock

ALMANAC = "Nautical Almanac, sight reduction procedures"
EPHEMERIS = "DE421 through Skyfield: apparent place of date"
NEWTON = "acceleration over g; air-navigation handbooks (FAA-H-8083-18, AFPAM 11-216)"

# formula and source of each line of the worked solution
CORRECTIONS: dict[str, tuple[str, str]] = {
    "sextant correction": ("calibrated index and personal error, added", "the instrument's own"),
    "window": ("from the table of the window or dome, at the reading", "the instrument's own"),
    "curvature": (f"{MINUS}½·d²H/dt²·mean of (t {MINUS} mean t)², at the moving observer", "averaging of a curve"),
    "dip": (f"{MINUS}0.0293°·√(height of eye in metres)", ALMANAC),
    "Coriolis": (f"{CORIOLIS_PER_KT:.5f}′·GS·sin L·sin(Zn {MINUS} TC)", NEWTON),
    "rhumb-line": (f"{RHUMB_PER_KT2:.3e}′·GS²·sin TC·tan L·sin(Zn {MINUS} TC)", NEWTON),
    "wander": (f"{MINUS}{WANDER_PER_KT_DEG_MIN:.5f}′·GS·turn·sin(Zn {MINUS} TC)", NEWTON),
    "acceleration": (f"{MINUS}{AHEAD_PER_KT_MIN:.3f}′·change of GS per minute·cos(Zn {MINUS} TC)", NEWTON),
    "cross tilt": ("(lean across the line of sight)²·tan H/6876, as an exact tilt of the vertical", "geometry"),
    "refraction": (f"{MINUS}0.0167°/tan(H + 7.32/(H + 4.32))·0.28·P/(T + 273)", ALMANAC),
    "semidiameter": ("asin(radius/distance from the aircraft); lower limb added, upper subtracted", "geometry"),
    "parallax": (f"altitude from the Earth's centre {MINUS} altitude from the aircraft, WGS 84", "geometry, vectors"),
}


def sight_working(flight: Flight, sight: SightResult) -> Working:
    """All steps of one reduced sight."""
    steps = (*_time(flight, sight), *_place(sight), *_reading(sight), _intercept(sight))
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
        Step(
            "GHA",
            write_angle(sight.gha, wrap=True),
            f"GHA Aries {MINUS} right ascension",
            (("GHA Aries", write_angle(sight.gha_aries, wrap=True)),),
            EPHEMERIS,
        ),
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


def _reading(sight: SightResult) -> tuple[Step, ...]:
    readings: list[tuple[str, str]] = []
    if sight.n_readings > 1:
        readings.append(("readings", str(sight.n_readings)))
    if sight.scatter_arcmin is not None:
        readings.append(("scatter, 1σ of one", f"{sight.scatter_arcmin:.1f}′"))
    first = Step("Hs", write_angle(sight.hs), "mean of the observation, valid at its middle", tuple(readings))
    lines = tuple(_correction(correction) for correction in sight.corrections)
    total = sum(correction.arcmin for correction in sight.corrections)
    last = Step(
        "Ho",
        "refused" if sight.ho is None else write_angle(sight.ho),
        "Hs + all corrections",
        (("Hs", write_angle(sight.hs)), ("corrections", write_arcmin(total, 2))),
    )
    return (first, *lines, last)


def _correction(correction: Correction) -> Step:
    formula, source = CORRECTIONS[correction.name]
    inputs = (("with", correction.detail),) if correction.detail else ()
    return Step(correction.name, write_arcmin(correction.arcmin, 2), formula, inputs, source)


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
