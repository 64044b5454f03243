"""The corrections of a sight, each with its formula, the figures that went in, and its source."""

from __future__ import annotations

from nightleg.earth.atmosphere import pressure_hpa
from nightleg.flight.model import Flight, Sight
from nightleg.flight.solution import Correction, SightResult
from nightleg.flight.working_step import Step
from nightleg.sight.bubble import AHEAD_PER_KT_MIN, CORIOLIS_PER_KT, RHUMB_PER_KT2, WANDER_PER_KT_DEG_MIN
from nightleg.sight.reduction import altitude_azimuth
from nightleg.units.angles import MINUS, write_angle, write_arcmin, write_bearing
from nightleg.units.positions import write_latitude

Inputs = tuple[tuple[str, str], ...]

ALMANAC = "Nautical Almanac, sight reduction procedures"
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


def correction_steps(flight: Flight, sight: SightResult) -> tuple[Step, ...]:
    """The corrections of a reduced sight in the order of the work."""
    made, altitude_deg = [], sight.hs
    logged = next((one for one in flight.sights if one.id == sight.id), None)  # one being typed is in no log yet
    for correction in sight.corrections:
        formula, source = CORRECTIONS[correction.name]
        inputs = () if logged is None else _inputs(flight, logged, sight, correction, altitude_deg)
        made.append(Step(correction.name, write_arcmin(correction.arcmin, 2), formula, inputs, source))
        altitude_deg += correction.arcmin / 60.0
    return tuple(made)


def _inputs(flight: Flight, logged: Sight, sight: SightResult, correction: Correction, altitude_deg: float) -> Inputs:
    """What goes into one correction; `altitude_deg` is the altitude with all corrections before it."""
    gs, latitude = ("GS", f"{sight.gs_kt:.1f} kt"), ("latitude", write_latitude(sight.dr.lat))
    altitude = ("H", write_angle(altitude_deg))
    off_track: Inputs = ()
    if sight.track_deg is not None:
        _, zn = altitude_azimuth(sight.dr.lat, sight.dr.lon, sight.gha, sight.dec)  # at the DR, also with `assumed`
        off_track = ((f"Zn {MINUS} TC", write_bearing(float(zn) - sight.track_deg, 1)),)
    match correction.name:
        case "sextant correction":
            own = logged.correction_arcmin is not None
            return (("given with", "the sight" if own else "the sextant"),)
        case "window":
            return (("Hs", write_angle(sight.hs)),)
        case "curvature" if logged.readings:
            return (("readings", str(len(logged.readings))),)
        case "curvature":
            return (("duration", f"{logged.duration_s:g} s"),)
        case "dip":
            return (("height of eye", f"{flight.sextant.height_of_eye_m:g} m"),)
        case "Coriolis":
            return (gs, latitude, *off_track)
        case "rhumb-line":
            return (gs, ("TC", write_bearing(sight.track_deg or 0.0, 1)), latitude, *off_track)
        case "wander":
            return (gs, ("turn", _signed(logged.turn_deg_per_min, "°/min")), *off_track)
        case "acceleration":
            return (("change of GS", _signed(logged.speed_change_kt_per_min, " kt/min")), *off_track)
        case "refraction":
            pressure = f"{float(pressure_hpa(sight.altitude_ft)):.1f} hPa"
            return (altitude, ("P", pressure), ("T", _signed(sight.temperature_c, " °C", plus=False)))
        case "semidiameter":
            return (("observed", correction.detail),)
        case _:
            return (altitude,)


def _signed(value: float, unit: str, *, plus: bool = True) -> str:
    return f"{value:{'+' if plus else ''}.1f}{unit}".replace("-", MINUS)
