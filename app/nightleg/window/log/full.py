"""The full log: every column that navigators keep, for every row. No Qt here."""

from __future__ import annotations

from datetime import timedelta
from functools import lru_cache

from nightleg.air.speeds import cas_from_tas
from nightleg.flight.legs import HeldLeg
from nightleg.flight.model import Flight
from nightleg.flight.solution import DrState, SightResult, Solution
from nightleg.flight.state import dr_state
from nightleg.units.positions import write_position
from nightleg.units.times import gmt_s, write_clock, write_date
from nightleg.window.ahead import ahead
from nightleg.window.flight.text import NO, YES
from nightleg.window.log.entries import COLUMNS, LogEntry, held_at, held_of
from nightleg.window.log.others import full_texts, kind_of_row, record_of
from nightleg.window.words import NONE, direction, drift, wind

FULL = (
    "time",
    "entry",
    "id",
    "position",
    "TC",
    "drift",
    "TH",
    "var",
    "MH",
    "dev",
    "CH",
    "altitude",
    "temp",
    "CAS/Mach",
    "TAS",
    "wind",
    "GS",
    "bank",
    "next",
    "distance",
    "to run",
    "ETA",
    "reading",
    "D1",
    "by",
    "limb",
    "1σ",
    "duration",
    "turn",
    "change",
    "horizon",
    "correction",
    "assumed",
    "Ho",
    "Hc",
    "Zn",
    "intercept",
    "shots",
    "prior",
    "common",
    "use",
    "note",
)
"""All columns; the first two stay in sight."""

FIXED = 2
MEANINGS = {
    "time": "GMT",
    "TC": "true course: the track",
    "TH": "true heading",
    "var": "magnetic variation, east positive",
    "MH": "magnetic heading",
    "dev": "deviation of the compass, east positive",
    "CH": "compass heading",
    "temp": "temperature outside, °C; in brackets that of the standard atmosphere",
    "altitude": "pressure altitude, ft",
    "GS": "ground speed, kt",
    "bank": "of the turn onto a leg, degrees; empty where its corner is sharp",
    "next": "the waypoint that comes next",
    "distance": "distance to run to it, NM",
    "to run": "time to run to it, at the ground speed of the moment",
    "id": "the name by which fixes, legs and other entries refer to it",
    "D1": "first D of a pressure line, ft",
    "by": "what it is counted by: where the first D was read, the north of a radial, how a range was measured",
    "1σ": "of a reading in minutes, of a line in NM or degrees; in brackets the usual one",
    "duration": "of a shot, s",
    "turn": "during a shot, °/min, right positive",
    "change": "of ground speed during a shot, kt/min",
    "correction": "of this reading, in place of that of the sextant, minutes",
    "assumed": "position that a sight is reduced from in place of the DR",
    "prior": "whether the DR is taken into the fix",
    "common": "whether an error common to the shots is solved for",
    "use": "whether a shot is used, and whether the DR goes on from a fix",
}
"""What the short headings stand for."""


def full_cells(flight: Flight, solution: Solution, entry: LogEntry) -> tuple[str, ...]:
    """The text of every column of FULL in a row."""
    columns = dict(zip(COLUMNS, entry.cells, strict=True))
    texts = {"time": columns["time"], "entry": columns["entry"], "note": columns["note"]}
    if entry.kind == "day":
        texts["entry"] = write_date(entry.time, short=True)
    elif entry.kind == "remark":
        texts[FULL[FIXED]] = columns["reading"]  # over all the columns from there
    elif entry.kind == "sight":
        texts |= {name: columns[name] for name in ("reading", "Ho", "Hc", "Zn", "intercept", "use")}
        texts |= _of_sight(solution, flight, entry.id)
    elif entry.kind == "fix":
        texts |= _motion(flight, solution, entry)
        texts |= {"position": columns["reading"], "shots": columns["Hc"], "use": columns["use"]}
        texts |= _of_fix(flight, entry.id)
    elif entry.kind in ("start", "leg", "now"):
        texts |= _motion(flight, solution, entry)
        texts["note"] = " ".join(flight.notes.split()) if entry.kind == "start" else ""
    else:
        texts |= {"reading": columns["reading"], "use": columns["use"]}
        texts |= {name: columns[name] for name in ("Zn", "intercept")} | _of_other(flight, entry)
    if entry.place is not None and isinstance(entry.place[-1], str) and len(entry.place) > 1:
        texts["id"] = entry.id
    return tuple(texts.get(name, "") for name in FULL)


def _of_sight(solution: Solution, flight: Flight, id: str) -> dict[str, str]:
    result: SightResult | None = next((one for one in solution.sights if one.id == id), None)
    sight = next((one for one in flight.sights if one.id == id), None)
    texts = {"position": "" if result is None else write_position(result.dr)}
    if sight is None:
        return texts
    own = sight.sigma_arcmin
    return texts | {
        "limb": sight.limb,
        "1σ": f"({flight.sextant.sigma_arcmin:g})" if own is None else f"{own:g}",
        "duration": f"{sight.duration_s:g}",
        "turn": f"{sight.turn_deg_per_min:g}",
        "change": f"{sight.speed_change_kt_per_min:g}",
        "horizon": sight.horizon or f"({flight.sextant.horizon})",
        "correction": "" if sight.correction_arcmin is None else f"{sight.correction_arcmin:g}",
        "assumed": "" if sight.assumed is None else write_position(sight.assumed),
    }


def _of_fix(flight: Flight, id: str) -> dict[str, str]:
    fix = next((one for one in flight.fixes if one.id == id), None)
    if fix is None:
        return {}
    if fix.kind == "known":
        return {"1σ": "" if fix.sigma_nm is None else f"{fix.sigma_nm:g}", "shots": "known"}
    return {"prior": YES if fix.prior else NO, "common": YES if fix.solve_common_error else NO}


def _of_other(flight: Flight, entry: LogEntry) -> dict[str, str]:
    """A line or another reading: every field has its column."""
    record = record_of(flight, entry)
    return {} if record is None else full_texts(kind_of_row(entry.kind, record), record)


def _motion(flight: Flight, solution: Solution, entry: LogEntry) -> dict[str, str]:
    """What is held and made good from an instant on."""
    time_s = gmt_s(entry.time)
    state = dr_state("now", solution.plot_at(entry.time), time_s)
    held = held_of(flight)[held_at(flight, entry.time)]
    texts = {
        "position": write_position(state.position),
        "TC": direction(state.track_deg),
        "drift": drift(state.drift_deg),
        "TH": direction(state.heading_deg),
        "altitude": f"{state.altitude_ft:.0f}",
        "temp": _temperature(held),
        "CAS/Mach": _indicated(held, state),
        "TAS": f"{state.tas_kt:.0f}",
        "wind": wind(state.wind_from_deg, state.wind_kt),
        "GS": f"{state.gs_kt:.0f}",
    }
    if held.bank_deg:
        texts["bank"] = f"{held.bank_deg:g}"
    return texts | _compass(solution, held, state) | _ahead(flight, state)


def _temperature(held: HeldLeg) -> str:
    if held.temperature_c is not None:
        return f"{held.temperature_c:.0f}".replace("-", "−")
    from nightleg.earth.atmosphere import temperature_c

    return f"({float(temperature_c(held.altitude_ft)):.0f})".replace("-", "−")


def _indicated(held: HeldLeg, state: DrState) -> str:
    if held.speed == "mach":
        return f"M {held.speed_value:g}"
    try:
        cas_kt = float(cas_from_tas(state.tas_kt, state.altitude_ft, held.temperature_c))
    except ValueError:  # faster than the formula for subsonic flight goes
        return NONE
    return f"{cas_kt:.0f}"


def signed(deg: float) -> str:
    """Variation or deviation: `−3.3°`, `+1.5°`."""
    text = f"{deg:+.1f}°".replace("-", "−")
    return "0.0°" if text[1:] == "0.0°" else text


@lru_cache(maxsize=512)
def variation_at(held: HeldLeg, lat: float, lon: float) -> float | None:
    """Magnetic variation at the start of a leg; None where the model does not reach."""
    try:
        return held.variation(lat, lon)
    except ValueError:
        return None


def leg_variation(solution: Solution, held: HeldLeg) -> float | None:
    """The variation that a leg is flown with: that of the place where it begins, or the flight does."""
    begin_s = max(held.start_s, gmt_s(solution.dr[0].time))
    plot = next((one for one in reversed(solution.plots) if one.time_s <= begin_s), solution.plots[0])
    lat, lon = plot.position(begin_s)
    return variation_at(held, float(lat), float(lon))


def _compass(solution: Solution, held: HeldLeg, state: DrState) -> dict[str, str]:
    variation = leg_variation(solution, held)
    if variation is None:
        return {"var": NONE, "MH": NONE, "CH": NONE, "dev": signed(held.deviation_deg)}
    return {
        "var": signed(variation),
        "MH": direction((state.heading_deg - variation) % 360.0),
        "dev": signed(held.deviation_deg),
        "CH": direction((state.heading_deg - variation - held.deviation_deg) % 360.0),
    }


def _ahead(flight: Flight, state: DrState) -> dict[str, str]:
    point = ahead(flight, state)
    if point is None or point.passed:
        return {}
    texts = {"next": point.name, "distance": f"{point.distance_nm:.0f}"}
    if point.eta is not None:
        texts |= {"ETA": write_clock(point.eta), "to run": hours(point.eta - state.time)}
    return texts


def hours(duration: timedelta) -> str:
    """A time to run as `1:26`."""
    minutes = round(duration.total_seconds() / 60.0)
    return f"{minutes // 60}:{minutes % 60:02d}"
