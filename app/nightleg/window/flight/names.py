"""What the keys of a flight are called in the window, in undo steps and beside fields. No Qt here."""

from __future__ import annotations

from datetime import datetime

from nightleg.flight.document import Document
from nightleg.flight.layout import Path
from nightleg.flight.model import Flight
from nightleg.units.times import write_clock

_NAMES = {
    "aim_off_nm": "aim-off",
    "altitude_ft": "altitude",
    "bank_deg": "bank",
    "bearing_deg": "bearing",
    "cas_kt": "CAS",
    "check": "last check",
    "chart": "chart of the grid",
    "common_sigma_arcmin": "common error 1σ",
    "cone_latitude_deg": "standard parallel",
    "correction_arcmin": "correction",
    "d1_ft": "first D",
    "d2_ft": "second D",
    "deviation_deg": "deviation",
    "drift_deg": "drift",
    "due": "time due",
    "duration_s": "duration",
    "error_s": "error",
    "first_parallel_deg": "first parallel",
    "gs_kt": "ground speed",
    "heading_compass_deg": "compass heading",
    "heading_grid_deg": "grid heading",
    "heading_deg": "true heading",
    "heading_magnetic_deg": "magnetic heading",
    "height_of_eye_m": "height of eye",
    "highest_deg": "highest altitude",
    "from": "place of the first D",
    "hs": "reading",
    "id": "name",
    "lowest_deg": "lowest altitude",
    "mach": "Mach number",
    "radial_deg": "radial",
    "range_nm": "range",
    "rate_s_per_day": "rate",
    "reference_deg": "reference meridian",
    "relative_bearing_deg": "relative bearing",
    "second_parallel_deg": "second parallel",
    "shown_deg": "heading shown",
    "sigma_arcmin": "1σ of a reading",
    "sigma_kt": "1σ",
    "sigma_nm": "1σ",
    "sigma_s": "1σ",
    "sights": "shots",
    "table": "table of corrections",
    "tas_kt": "TAS",
    "temperature_c": "temperature",
    "track_deg": "track",
    "use": "use",
}


def key_name(key: str) -> str:
    """A key in words: `reading` for hs."""
    return _NAMES.get(key, key.replace("_", " "))


def place_name(flight: Flight, place: Path) -> str:
    """A table in words: `s3`, `leg 3`, `start`, `remark of 2210`, `waypoint KILO`."""
    if not place:
        return "the flight"
    name, number = str(place[0]), place[1] if len(place) > 1 else None
    if number is None:
        return name.replace("_", " ")
    if isinstance(number, str):
        return number
    if name == "log" and number < len(flight.log):
        return f"remark of {write_clock(flight.log[number].time)}"
    if name == "waypoint" and number < len(flight.waypoints):
        return f"waypoint {flight.waypoints[number].name}"
    return f"{name.replace('_', ' ')} {number + 1}"


def step_name(document: Document, place: Path, key: str, value: object = None) -> str:
    """What an edit is called in the list of steps: `reading of s3`, `wind of leg 3`.

    Where the edit gives its table another name, that is by the new `value`: `name of waypoint ZULU`.
    """
    name = place_name(document.flight, place)
    if key == "id" and value:
        name = str(value)
    elif key == "name" and value and place[:1] == ("waypoint",):
        name = f"waypoint {value}"
    elif key == "time" and isinstance(value, datetime) and place[:1] == ("log",):
        name = f"remark of {write_clock(value)}"
    return f"{key_name(key)} of {name}"
