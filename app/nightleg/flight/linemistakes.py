"""The usual mistakes of lines that are no altitudes, each undone: the line as it would have been logged without it.

How often they are made is a matter of experience (common practice, no source); the table stands in `LINE_PRIOR`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from msgspec.structs import replace

from nightleg.air.reckoning import Reckoning
from nightleg.earth.magnetic import valid, variation_deg
from nightleg.flight.linework import Known, LineAt, line_at
from nightleg.flight.mistakes import Change
from nightleg.flight.model import Line
from nightleg.flight.quantities import HALF_EARTH_NM

# how often a line carries each mistake (common practice, no source)
LINE_PRIOR = {
    "reciprocal": 0.004,
    "ten degrees": 0.004,
    "side": 0.004,
    "variation": 0.004,
    "ten miles": 0.004,
    "hundred miles": 0.002,
    "slant": 0.01,
    "exchanged": 0.004,
    "hemisphere": 0.004,
    "degree": 0.004,
    "outlier": 0.004,
}
OUTLIER_NM = 60.0  # spread of a line that is wrong for no reason that is known
_SAME_SIGMAS = 0.1  # a line that moves by less is the same one
_FIGURES = 9  # decimals kept of sums of degrees and miles: their ends are no part of what was read

Meant = tuple[str, float, Line]  # words, how often, and the line as it would have been


def line_mistakes(at: LineAt, plot: Reckoning, known: dict[str, Known]) -> Iterator[Change]:
    """Every usual mistake of a line of a fix, undone one at a time; those that leave it where it is are left out."""
    lat, lon = plot.position(at.time_s)
    here = float(at.shape.offset_nm(lat, lon))
    for words, often, line in _OF_KIND[at.line.kind](at.line):
        try:
            meant = line_at(line, plot, known)
        except ValueError:  # so it would be no line at all
            continue
        if abs(float(meant.shape.offset_nm(lat, lon)) - here) > _SAME_SIGMAS * at.sigma_nm:
            yield Change(words, often, line=meant)
    yield Change("wrong for a reason unknown", LINE_PRIOR["outlier"], line=at, spread_arcmin=OUTLIER_NM)


def _of_direction(line: Line, key: str) -> Iterator[Meant]:
    """A direction round the whole circle: its reciprocal, and ten degrees misread."""
    given = getattr(line, key)
    if given is None:
        return
    yield "written as its reciprocal", LINE_PRIOR["reciprocal"], _with(line, key, (given + 180.0) % 360.0)
    for by, side in ((10.0, "low"), (-10.0, "high")):
        words = f"read ten degrees too {side}"
        yield words, LINE_PRIOR["ten degrees"] / 2.0, _with(line, key, (given + by) % 360.0)


def _of_bearing(line: Line) -> Iterator[Meant]:
    yield from _of_direction(line, "bearing_deg")
    yield from _of_direction(line, "relative_bearing_deg")
    relative = line.relative_bearing_deg
    if relative is not None:
        words = "relative bearing counted to the wrong side"
        yield words, LINE_PRIOR["side"], _with(line, "relative_bearing_deg", -relative % 360.0)


def _of_radial(line: Line) -> Iterator[Meant]:
    yield from _of_direction(line, "radial_deg")
    often, radial, given = LINE_PRIOR["variation"], line.radial_deg, line.station_variation_deg
    if radial is None or line.station is None:
        return
    if line.reference != "true":
        yield "variation applied to a true radial", often, replace(line, reference="true")
        if given is not None:
            yield "variation with the wrong sign", often, replace(line, station_variation_deg=-given)
    elif given is not None or valid(line.time):
        east = float(variation_deg(*line.station, 0.0, line.time)) if given is None else given
        yield "variation left out", often, replace(line, reference=None)
        turned = round((radial + 2.0 * east) % 360.0, 1)  # nobody works a radial to more
        yield "variation applied with the wrong sign", often, replace(line, radial_deg=turned)


def _of_range(line: Line) -> Iterator[Meant]:
    given = line.range_nm
    if given is None:
        return
    for size, name in ((10.0, "ten miles"), (100.0, "hundred miles")):
        for by, side in ((size, "short"), (-size, "long")):
            if 0.0 < given + by <= HALF_EARTH_NM:
                words = f"read {size:.0f} NM too {side}"
                yield words, LINE_PRIOR[name] / 2.0, _with(line, "range_nm", given + by)
    if line.slant is False:
        yield "slant range taken for one along the ground", LINE_PRIOR["slant"], replace(line, slant=None)
    else:
        yield "range along the ground taken for a slant one", LINE_PRIOR["slant"], replace(line, slant=False)


def _of_pressure(line: Line) -> Iterator[Meant]:
    if line.d1_ft is not None and line.d2_ft is not None:
        exchanged = replace(line, d1_ft=line.d2_ft, d2_ft=line.d1_ft)
        yield "the two values of D exchanged", LINE_PRIOR["exchanged"], exchanged


def _of_latitude(line: Line) -> Iterator[Meant]:
    given = line.latitude
    if given is None:
        return
    meant = replace(line, latitude=-given)
    yield f"written {'N for S' if given > 0.0 else 'S for N'}", LINE_PRIOR["hemisphere"], meant
    for by, side in ((1.0, "south"), (-1.0, "north")):
        if abs(given + by) <= 90.0:
            words = f"read one degree too far {side}"
            yield words, LINE_PRIOR["degree"] / 2.0, _with(line, "latitude", given + by)


def _with(line: Line, key: str, value: float) -> Line:
    return replace(line, **{key: round(value, _FIGURES)})


_OF_KIND: dict[str, Callable[[Line], Iterator[Meant]]] = {
    "bearing": _of_bearing,
    "latitude": _of_latitude,
    "pressure": _of_pressure,
    "radial": _of_radial,
    "range": _of_range,
}
