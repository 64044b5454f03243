"""What the JSON document tells beside the solution: directions by the grid, latitudes of sights, landfalls."""

from __future__ import annotations

from typing import Any

from nightleg.commands.solution_json import azimuth, iso, longitude, number
from nightleg.flight.grids import constant, grid_state, used_grid
from nightleg.flight.latitudes import LatitudeFound, latitude_found
from nightleg.flight.model import Flight
from nightleg.flight.solution import Solution


def add_to(document: dict[str, Any], flight: Flight, solution: Solution) -> None:
    """Put into a document of `solution_json` what is worked out on demand."""
    _grid(document, flight, solution)
    for entry, sight in zip(document["sights"], solution.sights, strict=True):
        found = latitude_found(flight, solution, sight)
        entry["latitude"] = None if found is None else _latitude(found)


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
