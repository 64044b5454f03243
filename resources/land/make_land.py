"""Make the land outlines from Natural Earth's land polygons, as packed in the npm package world-atlas (TopoJSON).

    npm pack world-atlas@2.0.2 && tar xzf world-atlas-2.0.2.tgz
    python make_land.py package

Reads package/land-50m.json and package/land-10m.json and writes coarse.npz and fine.npz beside this script. What
is done to the polygons:

- rings that the source cuts at the 180th meridian are joined again, so that longitudes run on beyond 180°;
- islets that have shrunk to a line or a point on the source's grid become diamonds of one grid step;
- the ring round Antarctica is closed over the pole by edges that are marked as seams, to be filled but not drawn;
- points within a tolerance of the line between their neighbours are left out (Douglas and Peucker), never so many that
  an islet goes; no edge is left longer than three degrees;
- coordinates are rounded to a thousandth of a degree and stored as steps from point to point.

Files: `first` (rings × 2, int32: latitude and longitude of each ring's first point), `count` (rings, int32), `step`
(2 × points, int16: 0 for the first point of a ring), `seam` (int32: points whose edge to the next one is a seam); all
in thousandths of a degree. Rings are closed without repeating the first point. Holes (inland seas) are rings like any
other; what is inside an odd number of rings is land.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from itertools import pairwise
from pathlib import Path

import numpy as np

UNIT = 1000  # steps in a degree
LEVELS = {"coarse": ("land-50m.json", 0.8), "fine": ("land-10m.json", 0.12)}  # source, tolerance in NM
NM_PER_RADIAN = 180 * 60 / np.pi
LONGEST_DEG = 3.0
SPECK_DEG = 0.002
POLE_CAP_DEG = -89.5  # the coarse source has a hole round the pole; it is filled


def read_rings(path):
    """The rings of a TopoJSON file: arrays (n, 2) of grid steps in longitude (0 to `turn`), and degrees of latitude."""
    topology = json.loads(path.read_text())
    (scale_lon, scale_lat), (_, south) = topology["transform"]["scale"], topology["transform"]["translate"]
    arcs = [np.cumsum(np.array(arc), axis=0) for arc in topology["arcs"]]
    rings = []
    for geometry in topology["objects"]["land"]["geometries"]:
        for polygon in geometry["arcs"]:
            for ring in polygon:
                parts = [arcs[a] if a >= 0 else arcs[~a][::-1] for a in ring]
                points = np.concatenate([part[:-1] for part in parts])
                rings.append(points)
    turn = round(360 / scale_lon)
    return rings, turn, scale_lon, scale_lat, south


def unwrapped(ring, turn):
    """The ring with longitudes that run on, without repeated points, and how often it goes round the pole."""
    step = np.diff(ring[:, 0], append=ring[:1, 0])
    step -= turn * np.rint(step / turn).astype(int)
    lon = ring[0, 0] + np.concatenate([[0], np.cumsum(step[:-1])])
    turns = round((lon[-1] + step[-1] - lon[0]) / turn)
    out = np.column_stack([lon, ring[:, 1]])
    keep = np.any(out != np.roll(out, 1, axis=0), axis=1)
    return out[keep], turns


def on_cut(ring, turn):
    """Which edges lie on the 180th meridian."""
    at = ring[:, 0] % turn == 0
    return at & (ring[:, 0] == np.roll(ring[:, 0], -1))


def join_across_cut(rings, turn):
    """Join rings that share edges on the 180th meridian: edges that occur in both directions cancel."""
    cut = [ring for ring in rings if on_cut(ring, turn).any()]
    whole = [ring for ring in rings if not on_cut(ring, turn).any()]
    edges = []
    lats = sorted({int(lat) for ring in cut for lat in ring[ring[:, 0] % turn == 0, 1]})
    for ring in cut:
        # Whichever side it is given on: longitudes such that the cut is at 0, as a key; the shape keeps its side.
        shift = turn * round(ring[:, 0].mean() / turn)
        for (lon, lat), (lon2, lat2), cutting in zip(
            ring - [shift, 0], np.roll(ring, -1, axis=0) - [shift, 0], on_cut(ring, turn), strict=True
        ):
            stops = [lat, lat2]
            if cutting:
                stops = [v for v in lats if min(lat, lat2) <= v <= max(lat, lat2)][:: 1 if lat2 > lat else -1]
            for a, b in pairwise(stops):
                edges.append(((int(lon), int(a)), (int(lon2), int(b))))
    spent = Counter()
    cutting = Counter(edge for edge in edges if edge[0][0] == edge[1][0] == 0)
    following = {}
    for a, b in edges:
        if cutting[a, b] and cutting[b, a]:
            cutting[a, b] -= 1
            cutting[b, a] -= 1
            spent[b, a] += 1
        elif spent[a, b]:
            spent[a, b] -= 1
        else:
            following.setdefault(a, []).append(b)
    while following:
        start = point = next(iter(following))
        ring = []
        while True:
            ring.append(point)
            ends = following[point]
            after = ends.pop()
            if not ends:
                del following[point]
            point = after
            if point == start:
                break
        if len(ring) > 2:
            whole.append(np.array(ring))
    return whole


def simplified(lat, lon, keep_ends, tolerance_nm):
    """Douglas and Peucker on the sphere: indices of the points kept of an open run or of a ring."""
    phi, lam = np.radians(lat), np.radians(lon)
    xyz = np.column_stack([np.cos(phi) * np.cos(lam), np.cos(phi) * np.sin(lam), np.sin(phi)]) * NM_PER_RADIAN
    n = len(lat)
    if keep_ends:
        kept, stack = {0, n - 1}, [(0, n - 1)]
    else:
        far = int(np.argmax(np.sum((xyz - xyz[0]) ** 2, axis=1)))
        xyz = np.concatenate([xyz, xyz[:1]])
        kept, stack = {0, far}, [(0, far), (far, n)]
    while stack:
        a, b = stack.pop()
        if b - a < 2:
            continue
        chord, rel = xyz[b] - xyz[a], xyz[a + 1 : b] - xyz[a]
        along = np.clip(rel @ chord / max(chord @ chord, 1e-30), 0, 1)
        off = np.sum((rel - along[:, None] * chord) ** 2, axis=1)
        worst = int(np.argmax(off))
        if off[worst] > tolerance_nm**2:
            kept.add(a + 1 + worst)
            stack += [(a, a + 1 + worst), (a + 1 + worst, b)]
    return np.array(sorted(kept))


def thinned(lat, lon, tolerance_nm):
    """A closed ring with fewer points, islets with as many as they need to stay an area."""
    original = (lat, lon)
    while len(lat) > 4 and tolerance_nm > 0.02:
        keep = simplified(*original, False, tolerance_nm)
        if len(keep) > 4:
            return original[0][keep], original[1][keep]
        tolerance_nm /= 2
    return original


def with_short_edges(lat, lon, closed=True):
    """The same ring or run with points put into edges longer than LONGEST_DEG (straight in latitude and longitude)."""
    points = np.column_stack([lat, lon])
    ends = np.roll(points, -1, axis=0) if closed else points[1:]
    pieces = []
    for a, b in zip(points, ends, strict=closed):
        parts = max(1, int(np.ceil(np.max(np.abs(b - a)) / LONGEST_DEG - 1e-9)))
        pieces.append(a + (b - a) * (np.arange(parts) / parts)[:, None])
    out = np.concatenate(pieces if closed else [*pieces, points[-1:]])
    return out[:, 0], out[:, 1]


def polar_ring(lat, lon, turns, tolerance_nm):
    """The coast of a land that holds the south pole, closed over the pole: latitudes, longitudes, seam marks."""
    if turns > 0:  # make it run westward, so that it closes eastward along the pole
        lat, lon = lat[::-1], lon[::-1]
    start = int(np.argmin(np.abs((lon + 180) % 360 - 180 + 180)))  # cut it at the 180th meridian
    lat, lon = np.roll(lat, -start), np.concatenate([lon[start:], lon[:start] - 360])
    lat, lon = np.append(lat, lat[0]), np.append(lon, lon[0] - 360)
    keep = simplified(lat, lon, True, tolerance_nm)
    lat, lon = lat[keep], lon[keep]
    down = np.linspace(lat[0], -90, 1 + int(np.ceil((lat[0] + 90) / LONGEST_DEG)))[1:]
    along = np.linspace(lon[-1], lon[0], 121)
    back = down[::-1][1:]
    seam_lat = np.concatenate([down, np.full(120, -90.0), back])
    seam_lon = np.concatenate([np.full(len(down), lon[-1]), along[1:], np.full(len(back), lon[0])])
    lat, lon = with_short_edges(lat, lon, closed=False)
    coast = len(lat)
    lat, lon = np.concatenate([lat, seam_lat]), np.concatenate([lon, seam_lon])
    return lat, lon, np.arange(coast - 1, len(lat))


def make(source, tolerance_nm):
    """All rings of a source: lists of latitudes, longitudes and seam marks."""
    rings, turn, scale_lon, scale_lat, south = read_rings(source)
    plain, out = [], []
    for ring in rings:
        ring, turns = unwrapped(ring, turn)
        lat, lon = south + scale_lat * ring[:, 1], -180 + scale_lon * ring[:, 0]
        if turns and lat.max() < POLE_CAP_DEG:
            continue
        if turns:
            lat, lon, seam = polar_ring(lat, lon, turns, tolerance_nm)
            out.append((lat, lon + 360 * round(-lon.mean() / 360), seam))
        elif len(ring) > 2:
            plain.append(ring)
        else:  # an islet smaller than the source's grid: a diamond of one grid step
            lat, lon = (
                lat.mean() + SPECK_DEG * np.array([-1, 0, 1, 0]),
                lon.mean() + SPECK_DEG * np.array([0, 1, 0, -1]),
            )
            out.append((lat, lon, np.zeros(0, int)))
    for ring in join_across_cut(plain, turn):
        lat, lon = thinned(south + scale_lat * ring[:, 1], -180 + scale_lon * ring[:, 0], tolerance_nm)
        lon = lon - 360 * np.floor((0.5 * (lon.min() + lon.max()) + 180) / 360)
        out.append((*with_short_edges(lat, lon), np.zeros(0, int)))
    return out


def pack(rings, path):
    """Write the rings, largest box first, and say what is in the file."""
    rings.sort(key=lambda ring: -np.ptp(ring[0]) * np.ptp(ring[1]))
    firsts, counts, steps, seams, at = [], [], [], [], 0
    for lat, lon, seam in rings:
        points = np.rint(np.column_stack([lat, lon]) * UNIT).astype(np.int64)
        step = np.diff(points, axis=0, prepend=points[:1])
        assert np.abs(step).max() < 32767
        firsts.append(points[0])
        counts.append(len(points))
        steps.append(step)
        seams.append(seam + at)
        at += len(points)
    np.savez_compressed(
        path,
        first=np.array(firsts, np.int32),
        count=np.array(counts, np.int32),
        step=np.ascontiguousarray(np.concatenate(steps).T.astype(np.int16)),
        seam=np.concatenate(seams).astype(np.int32),
    )
    print(f"{path.name}: {len(rings)} rings, {at} points, {path.stat().st_size} bytes")


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    for name, (file, tolerance_nm) in LEVELS.items():
        pack(make(folder / file, tolerance_nm), Path(__file__).with_name(name + ".npz"))
