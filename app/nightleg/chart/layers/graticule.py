"""Meridians and parallels, with ticks of minutes on the ones through the middle, as on a plotting sheet."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from PySide6.QtGui import QPainter

from nightleg.chart.box import Box
from nightleg.chart.crossings import edge, extent, step_arcmin, whole_multiples
from nightleg.chart.labels import Request
from nightleg.chart.layers.base import Array, Layer
from nightleg.chart.lettering import request, style
from nightleg.chart.paths import bundle, clip_lines, smooth, stroke, to_px
from nightleg.chart.pens import pen

if TYPE_CHECKING:
    from nightleg.chart.sheet import Sheet

_LINES_PX = 150.0  # least distance of neighbouring lines
_TICKS_PX = 4.2  # least distance of neighbouring ticks


class Grid(NamedTuple):
    """Steps of lines and ticks, minutes of arc, and the lines there are, degrees."""

    lat_step: int
    lon_step: int
    lat_tick: int
    lon_tick: int
    lats: Array
    lons: Array


def seen(sheet: Sheet) -> tuple[float, float, float, float]:
    """South, north, west and east ends of what the sheet shows; see `extent`."""
    return sheet.remembered("extent", (), lambda: extent(sheet.view))


def grid(sheet: Sheet) -> Grid:
    """The graticule of a sheet: round steps that leave the chart open."""
    return sheet.remembered("grid", (), lambda: _grid(sheet))


def _grid(sheet: Sheet) -> Grid:
    view, scale = sheet.view, sheet.theme.scale
    south, north, west, east = seen(sheet)
    minute_px = 1.0 / view.true_nm_per_px()
    # Meridians close up toward the poles: the widest place in view decides.
    nearest = 0.0 if south * north < 0.0 else min(abs(south), abs(north))
    shrink = max(math.cos(math.radians(min(nearest, 89.0))), 0.02)
    lat_step = step_arcmin(_LINES_PX * scale / minute_px)
    lon_step = step_arcmin(_LINES_PX * scale / (minute_px * shrink))
    lat_tick = step_arcmin(_TICKS_PX * scale / minute_px)
    lon_tick = step_arcmin(
        _TICKS_PX * scale / (minute_px * max(math.cos(math.radians(min(abs(view.centre.lat), 89.0))), 0.02))
    )
    lat_step = min(lat_step, 1800)
    lats: Array = np.arange(math.ceil(south * 60.0 / lat_step), math.floor(north * 60.0 / lat_step) + 1.0) * (
        lat_step / 60.0
    )
    lons: Array = np.arange(math.ceil(west * 60.0 / lon_step), math.floor(east * 60.0 / lon_step) + 1.0) * (
        lon_step / 60.0
    )
    if east - west >= 360.0:
        lons = lons[lons < west + 360.0 - 1e-9]
    return Grid(lat_step, lon_step, lat_tick, lon_tick, lats, lons)


class GraticuleLayer(Layer):
    """Thin lines well in the background."""

    name = "graticule"
    title = "Graticule"
    z = 20

    def paint(self, painter: QPainter, sheet: Sheet) -> None:
        """Lines, then ticks."""
        stroke(painter, sheet.kept("graticule", lambda: _lines(sheet)), pen(sheet.theme, "graticule"))
        stroke(painter, sheet.kept("minute ticks", lambda: _ticks(sheet)), pen(sheet.theme, "minute"))

    def labels(self, sheet: Sheet) -> Iterable[Request]:
        """Degrees inside the frame, where there is no margin to hold them."""
        if sheet.view.margins.top >= 20.0:
            return
        lettering = style(sheet.theme, "muted", small=True)
        for x, y, text, side in sheet.remembered("marks inside", (), lambda: degree_marks(sheet, ("top", "left"))):
            yield request(((text, lettering),), partial(_inside, x, y, side), 10.0, key=f"grid {text}")


def _inside(x: float, y: float, side: str, width: float, height: float) -> tuple[Box, ...]:
    """Places for the degrees of a line that meets the edge at (x, y): beside the line, just inside."""
    if side in ("top", "bottom"):
        down = 6.0 + height / 2.0
        return tuple(
            Box(x + way * (5.0 + width / 2.0), y + (down if side == "top" else -down), width, height) for way in (1, -1)
        )
    right = 7.0 + width / 2.0
    return tuple(
        Box(x + (right if side == "left" else -right), y + way * (4.0 + height / 2.0), width, height) for way in (-1, 1)
    )


def degree_marks(sheet: Sheet, sides: tuple[str, ...]) -> list[tuple[float, float, str, str]]:
    """Where lines of the graticule meet sides of the frame: x, y, px, the degrees in words, the side."""
    net, view = grid(sheet), sheet.view
    marks = []
    for side in sides:
        x, y, lat, lon = edge(view, view.frame, side)
        level = side in ("top", "bottom")
        step = net.lon_step if level else net.lat_step
        places, multiples = whole_multiples(float(step), x if level else y, (lon if level else lat) * 60.0)
        for place, multiple in zip(places.tolist(), multiples.tolist(), strict=True):
            text = meridian_text(multiple * step) if level else parallel_text(multiple * step)
            marks.append((place, float(y[0]), text, side) if level else (float(x[0]), place, text, side))
    return marks


def meridian_text(arcmin: int) -> str:
    """A meridian in words, from whole minutes of arc, east positive."""
    turn = (arcmin + 180 * 60) % (360 * 60) - 180 * 60
    return _text(abs(turn), 3, "" if turn in (0, -180 * 60) else "E" if turn > 0 else "W")


def parallel_text(arcmin: int) -> str:
    """A parallel in words, from whole minutes of arc, north positive."""
    return _text(abs(arcmin), 2, "N" if arcmin > 0 else "S" if arcmin < 0 else "")


def _text(arcmin: int, width: int, letter: str) -> str:
    degrees, minutes = divmod(arcmin, 60)
    return f"{degrees:0{width}d}°" + (f"{minutes:02d}′" if minutes else "") + (f" {letter}" if letter else "")


def _lines(sheet: Sheet) -> list[Array]:
    view, net = sheet.view, grid(sheet)
    south, north, west, east = seen(sheet)
    pad_lat, pad_lon = 0.02 * (north - south), 0.02 * (east - west)
    low, high = view.projection.lat_limits_deg
    up = np.linspace(max(low, south - pad_lat), min(high, north + pad_lat), 61)
    across = np.linspace(west - pad_lon, east + pad_lon, 121)
    # Where meridians run together in a pole, four of them reach it and the others stop a parallel short of it.
    room = 90.0 - net.lat_step / 60.0
    short = up[np.abs(up) <= room] if max(abs(south), abs(north)) >= 89.9 else up
    runs = [(u, np.full_like(u, lon)) for lon in net.lons for u in ((up,) if lon % 90.0 == 0.0 else (short,))]
    runs += [(np.full_like(across, lat), across) for lat in net.lats]
    return smooth(clip_lines(to_px(view, bundle(runs)), view.frame)[0])


def _ticks(sheet: Sheet) -> list[Array]:
    """Ticks on the meridian and the parallel nearest the middle; longer at every fifth and tenth."""
    view, net, centre = sheet.view, grid(sheet), sheet.view.centre
    if net.lats.size == 0 or net.lons.size == 0 or not math.isfinite(centre.lat):
        return []
    middle_lon = float(net.lons[np.argmin(np.abs(np.mod(net.lons - centre.lon + 180.0, 360.0) - 180.0))])
    off_pole = net.lats[np.abs(net.lats) < 90.0]
    if off_pole.size == 0:
        return []
    middle_lat = float(off_pole[np.argmin(np.abs(off_pole - centre.lat))])
    south, north, west, east = seen(sheet)
    runs = []
    for step, first, last, fixed, upright in (
        (net.lat_tick, south, north, middle_lon, True),
        (net.lon_tick, west, east, middle_lat, False),
    ):
        number = np.arange(math.ceil(first * 60.0 / step), math.floor(last * 60.0 / step) + 1)
        at = number * (step / 60.0)
        lat, lon = (at, np.full_like(at, fixed)) if upright else (np.full_like(at, fixed), at)
        x, y = view.to_px(lat, lon)
        length = np.where(number % 10 == 0, 9.0, np.where(number % 5 == 0, 7.0, 4.0)) * sheet.theme.scale
        turn = np.radians(-view.projection.convergence_deg(lat, lon))
        # Off the meridian to the east, off the parallel to the north.
        dx, dy = (np.cos(turn), np.sin(turn)) if upright else (np.sin(turn), -np.cos(turn))
        gap = np.full_like(x, np.nan)
        points = np.stack(
            (np.stack((x, y), -1), np.stack((x + dx * length, y + dy * length), -1), np.stack((gap, gap), -1)), 1
        )
        runs.append(points.reshape(-1, 2))
    return clip_lines(np.concatenate(runs), view.frame)[0]
