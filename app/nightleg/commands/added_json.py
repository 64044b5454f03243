"""What the JSON document tells beside the solution: directions by the grid, latitudes of sights, landfalls."""

from __future__ import annotations

from typing import Any

from nightleg.commands.solution_json import azimuth, number
from nightleg.flight.grids import constant, grid_state, used_grid
from nightleg.flight.model import Flight
from nightleg.flight.solution import Solution


def add_to(document: dict[str, Any], flight: Flight, solution: Solution) -> None:
    """Put into a document of `solution_json` what is worked out on demand."""
    _grid(document, flight, solution)


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
