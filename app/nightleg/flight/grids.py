"""The grid of a flight: its chart as the file says, and directions counted by it.

Where the file has no [grid], grid directions are those of the polar charts with the meridian of Greenwich.
"""

from __future__ import annotations

from msgspec import Struct

from nightleg.earth.grid import convergence_deg, lambert_constant, polar_constant
from nightleg.flight.model import Flight, Grid
from nightleg.flight.solution import DrState

GREENWICH = Grid()


class GridState(Struct, frozen=True):
    """Directions of a DR by the grid, degrees; `track_deg` is None at ground speed 0."""

    heading_deg: float
    track_deg: float | None
    convergence_deg: float  # true less grid
    wind_from_deg: float


def constant(grid: Grid, lat: float) -> float:
    """n of the grid's chart; a polar chart is that of the hemisphere of `lat`."""
    if grid.chart == "polar":
        return polar_constant(lat)
    if grid.cone_latitude_deg is not None:
        return lambert_constant(grid.cone_latitude_deg)
    assert grid.first_parallel_deg is not None  # checked
    return lambert_constant(grid.first_parallel_deg, grid.second_parallel_deg)


def convergence(grid: Grid | None, lat: float, lon: float) -> float:
    """True direction less grid direction at a place, degrees."""
    grid = grid or GREENWICH
    return float(convergence_deg(constant(grid, lat), lon, grid.reference_deg))


def used_grid(flight: Flight) -> Grid | None:
    """The grid by which this flight is told of; None where it neither has one nor counts anything by one."""
    if flight.grid is not None:
        return flight.grid
    legs = any(leg.heading_grid_deg is not None or getattr(leg.wind, "grid", False) for leg in flight.legs)
    return GREENWICH if legs else None


def grid_state(grid: Grid, state: DrState) -> GridState:
    """The directions of a DR by a grid."""
    turn = convergence(grid, *state.position)
    return GridState(
        heading_deg=(state.heading_deg - turn) % 360.0,
        track_deg=None if state.track_deg is None else (state.track_deg - turn) % 360.0,
        convergence_deg=turn,
        wind_from_deg=(state.wind_from_deg - turn) % 360.0,
    )


def grid_words(grid: Grid) -> str:
    """A grid in words: "polar grid, reference meridian 0°"."""
    turn = grid.reference_deg
    meridian = f"{abs(turn):g}°" + ("" if turn in (0.0, 180.0, -180.0) else " E" if turn > 0.0 else " W")
    if grid.chart == "polar":
        return f"polar grid, reference meridian {meridian}"
    return f"grid of a Lambert chart, n {constant(grid, 0.0):.4f}, reference meridian {meridian}".replace("-", "−")
