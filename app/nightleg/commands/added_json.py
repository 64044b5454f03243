"""What the JSON document tells beside the solution: the grid, latitudes of sights, landfalls, work plotted by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from nightleg.commands.json_values import azimuth, iso, longitude, number
from nightleg.commands.wind_json import add_wind
from nightleg.flight.grids import constant, grid_state, used_grid
from nightleg.flight.latitude_hint import may_give_latitude
from nightleg.flight.model import Flight, Truth
from nightleg.flight.solution import SightResult, Solution
from nightleg.units.positions import Position

if TYPE_CHECKING:
    from nightleg.flight.landfall import LandfallResult, Run
    from nightleg.flight.latitudes import LatitudeFound


def add_to(document: dict[str, Any], flight: Flight, solution: Solution, truth: Truth | None = None) -> None:
    """Put into a document of `solution_json` what is worked out on demand; with `truth` only where it is revealed."""
    add_wind(document, flight, solution)
    _grid(document, flight, solution)
    document["landfalls"] = _landfalls(flight, solution) if flight.landfalls else []
    document["plotted"] = _plotted(flight, solution, truth) if flight.plotted else []
    for entry, sight in zip(document["sights"], solution.sights, strict=True):
        entry["latitude"] = _latitude_of(flight, solution, sight) if may_give_latitude(sight) else None


def _grid(document: dict[str, Any], flight: Flight, solution: Solution) -> None:
    """Directions by the grid in every entry of the DR; null where the flight has nothing to do with a grid."""
    grid = used_grid(flight)
    document["grid"] = None
    if grid is not None:
        document["grid"] = {"chart": grid.chart, "reference_deg": number(grid.reference_deg)}
    for entry, state in zip(document["dr"], solution.dr, strict=True):
        by = None if grid is None else grid_state(grid, state)
        entry["grid_heading_deg"] = azimuth(by.heading_deg) if by else None
        entry["grid_track_deg"] = azimuth(by.track_deg) if by else None
        entry["grid_wind_from_deg"] = azimuth(by.wind_from_deg) if by else None
        entry["convergence_deg"] = number(by.convergence_deg) if by else None
        entry["grid_n"] = number(constant(grid, state.position.lat)) if grid else None


def _plotted(flight: Flight, solution: Solution, truth: Truth | None) -> list[dict[str, Any]]:
    from nightleg.commands.plotted_json import plotted  # few flights have any

    return plotted(flight, solution, truth)


def _latitude_of(flight: Flight, solution: Solution, sight: SightResult) -> dict[str, Any] | None:
    from nightleg.flight.latitudes import latitude_found  # only for those that may

    found = latitude_found(flight, solution, sight)
    return None if found is None else _latitude(found)


def _latitude(found: LatitudeFound) -> dict[str, Any]:
    """A latitude by Polaris or by meridian passage; the least altitude stands for the greatest at lower transit."""
    return {
        "by": found.by,
        "lat": number(found.lat),
        "time": iso(found.time),
        "lon": longitude(found.lon),
        "exact_lat": number(found.exact_lat),
        "difference_nm": number(found.difference_nm),
        "left_out_arcmin": number(found.left_out_arcmin),
        "altitude_deg": number(found.ho),
        "reduction_arcmin": number(found.reduction_arcmin),
        "transit": found.transit,
        "transit_time": iso(found.transit_time) if found.transit_time else None,
        "greatest_altitude_time": iso(found.greatest_time) if found.greatest_time else None,
        "greatest_altitude_deg": number(found.greatest_deg),
        "readings": found.readings,
    }


def _landfalls(flight: Flight, solution: Solution) -> list[dict[str, Any]]:
    from nightleg.flight.landfall import landfalls  # few flights have any

    return [_landfall(found) for found in landfalls(flight, solution)]


def _landfall(found: LandfallResult) -> dict[str, Any]:
    """A landfall: where to turn, what to steer before and after, and the altitudes prepared for it."""
    return {
        "id": found.id,
        "body": found.body,
        "destination": {"name": found.name, **_place(found.destination)},
        "time": iso(found.expected),
        "side": found.side,
        "begin": iso(found.begin),
        "dr": _place(found.dr),
        "hc": number(found.hc),
        "zn": azimuth(found.zn),
        "line_deg": azimuth(found.line_deg),
        "sigma_nm": number(found.sigma_nm),
        "aim_off_nm": number(found.aim_off_nm),
        "turn": _place(found.turn) if found.turn else None,
        "turn_deg": number(found.turn_deg),
        "to_turn": _run(found.to_turn),
        "down_line": _run(found.down),
        "table": [
            {"time": iso(row.time), "hc": number(row.hc), "zn": azimuth(row.zn), "preset": number(row.preset)}
            for row in found.table
        ],
        "warnings": list(found.warnings),
    }


def _run(run: Run | None) -> dict[str, Any] | None:
    if run is None:
        return None
    return {
        "track_deg": azimuth(run.track_deg),
        "heading_deg": azimuth(run.heading_deg),
        "gs_kt": number(run.gs_kt),
        "distance_nm": number(run.distance_nm),
        "end": iso(run.end),
    }


def _place(place: Position) -> dict[str, float | None]:
    return {"lat": number(place.lat), "lon": longitude(place.lon)}
