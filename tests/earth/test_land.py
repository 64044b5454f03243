"""Land outlines: places known to be on land and at sea, areas, and the shape of the data."""

from __future__ import annotations

import numpy as np
import pyproj
import pytest

from nightleg.earth.land import LandOutlines, Level, level_for, outlines

LEVELS: tuple[Level, ...] = ("coarse", "fine")
EACH = pytest.mark.parametrize("level", LEVELS)

# Names and places as in any atlas (from memory, to a tenth of a degree, well inland).
ON_LAND = {
    "Madrid": (40.4, -3.7),
    "Paris": (48.9, 2.3),
    "Moscow": (55.8, 37.6),
    "Denver": (39.7, -105.0),
    "Manaus interior": (-4.0, -60.0),
    "Nairobi": (-1.3, 36.8),
    "Alice Springs": (-23.7, 133.9),
    "Ulaanbaatar": (47.9, 106.9),
    "Chukotka east of 180": (66.5, -176.0),
    "Chukotka west of 180": (66.5, 177.0),
    "Chukotka on 180": (67.5, 180.0),
    "Wrangel Island west of 180": (71.2, 179.6),
    "Wrangel Island east of 180": (71.2, -179.2),
    "Vostok": (-78.5, 106.8),
    "South Pole": (-90.0, 0.0),
    "beside the South Pole": (-89.999, -179.9),
    "Greenland ice": (72.0, -40.0),
    "Sao Miguel, Azores": (37.78, -25.5),
    "Hawaii": (19.6, -155.5),
    "Reykjavik inland": (64.4, -20.0),
}
AT_SEA = {
    "middle of the North Atlantic": (40.0, -40.0),
    "equatorial Pacific": (0.0, -150.0),
    "south Indian Ocean": (-40.0, 80.0),
    "Gulf of Mexico": (25.0, -90.0),
    "Bay of Biscay": (45.5, -5.0),
    "Tasman Sea": (-40.0, 160.0),
    "Bering Sea on 180": (60.0, 180.0),
    "North Pole": (90.0, 0.0),
    "Weddell Sea": (-68.0, -35.0),
    "Caspian Sea": (42.0, 50.5),
    "Black Sea": (43.5, 34.0),
}
# Small islands of the oceans, which a navigator over water looks for. Places from memory, to 0.01°.
ISLANDS = {
    "Ascension": (-7.94, -14.36),
    "Bermuda": (32.30, -64.78),
    "Corvo": (39.70, -31.11),
    "Easter Island": (-27.12, -109.35),
    "Guam": (13.45, 144.78),
    "Jan Mayen": (71.02, -8.30),
    "Kiritimati": (1.87, -157.43),
    "Midway": (28.21, -177.38),
    "Niue": (-19.05, -169.87),
    "Oahu": (21.45, -158.00),
    "St Helena": (-15.96, -5.71),
    "Tristan da Cunha": (-37.11, -12.28),
}


@EACH
def test_known_places(level: Level) -> None:
    land = outlines(level)
    for names, expected in ((ON_LAND, True), (AT_SEA, False)):
        for name, (lat, lon) in names.items():
            assert bool(land.is_land(lat, lon)) is expected, name
            assert bool(land.is_land(lat, lon + 360.0)) is expected, name


def test_islands_of_the_oceans_are_there() -> None:
    land = outlines("fine")
    for name, (lat, lon) in ISLANDS.items():
        assert land.is_land(lat, lon), name
    # Atolls and rocks too thin to hit with a point: a ring within 0.1° (Wake, Johnston, Diego Garcia; from memory).
    for lat, lon in ((19.29, 166.63), (16.74, -169.53), (-7.32, 72.42)):
        found, shift = land.rings_in(lat - 0.1, lat + 0.1, lon - 0.1, lon + 0.1)
        assert any(np.ptp(land.ring(i, s)[0]) < 0.5 for i, s in zip(found, shift, strict=True)), (lat, lon)


def area_km2(land: LandOutlines, lat: float, lon: float) -> float:
    """Area of the smallest ring whose box holds a place, on the ellipsoid."""
    found, _ = land.rings_in(lat, lat, lon, lon)
    ring = min(found, key=lambda i: float(np.prod(np.ptp(land.box[:, i].reshape(2, 2), axis=1))))
    lats, lons, _ = land.ring(int(ring))
    area_m2, _ = pyproj.Geod(ellps="WGS84").polygon_area_perimeter(lons, lats)
    return abs(area_m2) / 1e6


@EACH
@pytest.mark.parametrize(
    ("name", "lat", "lon", "km2"),
    [
        # From memory: mainland of Australia (Geoscience Australia), Tasmania's main island, Iceland's (Statistics
        # Iceland), Great Britain's and Madagascar's main islands (UNEP island directory).
        ("Australia", -25.0, 134.0, 7_633_565.0),
        ("Tasmania", -42.0, 146.6, 64_519.0),
        ("Iceland", 65.0, -19.0, 102_000.0),
        ("Great Britain", 52.5, -1.5, 218_600.0),
        ("Madagascar", -19.0, 47.0, 587_700.0),
    ],
)
def test_areas(level: Level, name: str, lat: float, lon: float, km2: float) -> None:
    # Published areas differ among themselves by 1 to 2 % in what they count (inlets, tidal flats, islands close in).
    assert area_km2(outlines(level), lat, lon) == pytest.approx(km2, rel=0.03), name


@EACH
def test_rings_are_whole(level: Level) -> None:
    land = outlines(level)
    assert land.offsets[0] == 0 and land.offsets[-1] == land.lat.size == land.lon.size == land.seam.size
    assert np.diff(land.offsets).min() >= 3
    assert np.abs(land.lat).max() <= 90.0
    middle = 0.5 * (land.box[2] + land.box[3])
    assert np.abs(middle).max() <= 180.0
    for i in range(0, land.n_rings, 97):
        lat, lon, _ = land.ring(i)
        assert land.box[:, i].tolist() == [lat.min(), lat.max(), lon.min(), lon.max()]


@EACH
def test_no_edge_is_long_and_none_runs_along_the_180th_meridian(level: Level) -> None:
    land = outlines(level)
    after = np.arange(1, land.lat.size + 1)
    after[land.offsets[1:] - 1] = land.offsets[:-1]
    d_lat, d_lon = land.lat[after] - land.lat, land.lon[after] - land.lon
    coast = ~land.seam
    # The files hold three degrees; rounding adds a thousandth.
    assert np.abs(d_lat).max() <= 3.001 and np.abs(d_lon[land.lat > -89.0]).max() <= 3.001
    on_180 = (np.abs(land.lon) % 360.0 == 180.0) & (d_lon == 0.0) & (np.abs(d_lat) > 0.05)
    assert not np.any(on_180 & coast)
    assert np.any(on_180 & land.seam)
    # Seams belong to one ring alone, the one over the pole, and hold every point at the pole.
    seam_rings = np.unique(np.searchsorted(land.offsets, np.flatnonzero(land.seam), side="right"))
    assert seam_rings.size == 1
    assert land.seam[land.lat == -90.0].all() and (land.lat == -90.0).any()
    assert np.ptp(land.lon[land.lat == -90.0]) == 360.0


@EACH
def test_rings_in_an_area(level: Level) -> None:
    land = outlines(level)
    chosen, shift = land.rings_in(62.0, 68.0, -26.0, -12.0)
    boxes = land.box[:, chosen] + np.array([[0.0], [0.0], [1.0], [1.0]]) * shift
    assert np.all(boxes[0] <= 68.0) and np.all(boxes[1] >= 62.0)
    assert np.all(boxes[2] <= -12.0) and np.all(boxes[3] >= -26.0)
    # None is missed: every ring with a point in the area is among them.
    inside = (land.lat >= 62.0) & (land.lat <= 68.0) & (land.lon >= -26.0) & (land.lon <= -12.0)
    owners = np.unique(np.searchsorted(land.offsets, np.flatnonzero(inside), side="right") - 1)
    assert set(owners) <= set(chosen.tolist()) and owners.size > 0


@EACH
def test_areas_across_the_180th_meridian_and_turned_round(level: Level) -> None:
    land = outlines(level)
    ways = [land.rings_in(-20.0, -14.0, *lons) for lons in ((175.0, -175.0), (175.0, 185.0), (-185.0, -175.0))]
    turns = [land.rings_in(-20.0, -14.0, 535.0, 545.0)]
    first = sorted(zip(*(a.tolist() for a in ways[0]), strict=True))
    assert len(first) > 2
    assert sorted(zip(*(a.tolist() for a in ways[1]), strict=True)) == first
    for (rings, shift), turn in ((ways[2], -360.0), (turns[0], 360.0)):
        assert sorted(zip(rings.tolist(), (shift - turn).tolist(), strict=True)) == first
    for ring, shift in first:
        _, lon, _ = land.ring(ring, shift)
        assert lon.min() <= 185.0 and lon.max() >= 175.0


@EACH
def test_the_whole_world_holds_every_ring(level: Level) -> None:
    land = outlines(level)
    chosen, shift = land.rings_in(-90.0, 90.0, -180.0, 180.0)
    assert set(chosen.tolist()) == set(range(land.n_rings))
    # Lands across the 180th meridian come at both ends of the sheet.
    assert np.count_nonzero(chosen == 0) == 2 and set(shift[chosen == 0].tolist()) == {0.0, -360.0}


@EACH
def test_a_polar_sheet_gets_each_ring_once(level: Level) -> None:
    land = outlines(level)
    for lons in ((-180.0, 180.0), (0.0, 360.0), (-270.0, 90.0)):
        often, _ = land.rings_in(50.0, 90.0, *lons)
        once, shift = land.rings_in(50.0, 90.0, *lons, once=True)
        assert once.size == np.unique(once).size < often.size and set(once.tolist()) == set(often.tolist())
        assert shift.shape == once.shape and np.all(shift % 360.0 == 0.0)


def test_an_impossible_area_is_refused() -> None:
    land = outlines("coarse")
    for area in ((10.0, -10.0, 0.0, 1.0), (float("nan"), 1.0, 0.0, 1.0), (0.0, 1.0, 0.0, float("inf"))):
        with pytest.raises(ValueError, match="an area needs"):
            land.rings_in(*area)


def test_read_once_and_kept_from_change() -> None:
    land = outlines("fine")
    assert outlines("fine") is land
    for array in (land.lat, land.lon, land.offsets, land.seam, land.box):
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 0


def test_the_scale_chooses_the_resolution() -> None:
    # 1 : 10 000 000 is 10 km, 5.4 NM, to the millimetre.
    assert level_for(6.0) == "coarse" and level_for(5.0) == "fine"
    assert outlines("coarse").lat.size < outlines("fine").lat.size / 5


def test_is_land_takes_arrays() -> None:
    found = outlines("coarse").is_land([[40.4], [40.0]], [-3.7, -40.0])
    assert found.tolist() == [[True, False], [True, False]]
