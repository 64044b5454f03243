"""What there is to say of something on the chart, in a few lines."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime

from nightleg.chart.marks import ChartScene
from nightleg.chart.pick import Entry
from nightleg.chart.trackfacts import dr_now, land_facts, route_facts, tick_facts, track_facts, wind_facts
from nightleg.earth.rhumb import rhumb_inverse
from nightleg.flight.linefacts import from_dr, line_facts
from nightleg.flight.solution import FixResult, SightResult, Solution
from nightleg.units.angles import write_angle, write_bearing
from nightleg.units.positions import Position, write_position
from nightleg.units.times import write_clock


def facts(scene: ChartScene, entry: Entry) -> tuple[str, ...]:
    """The first line names it, the others say what it comes to. Empty where it is no longer on the chart."""
    solution = scene.solution
    try:
        if entry.kind == "waypoint":
            return tuple(_waypoint(scene, entry.id))
        if entry.kind == "route":
            return tuple(route_facts(scene, int(entry.id)))
        if entry.kind == "land" and entry.at is not None:
            return tuple(land_facts(scene, entry.at))
        if solution is None:
            return ()
        if entry.kind == "dr":
            return tuple(_dr(scene))
        if entry.kind in ("tick", "track"):
            told_of = tick_facts if entry.kind == "tick" else track_facts
            return tuple(told_of(scene, datetime.fromisoformat(entry.id)))
        if entry.kind == "wind":
            return tuple(wind_facts(scene))
        if entry.kind == "fix":
            return tuple(_fix(solution.fix(entry.id)))
        told = (_sight if entry.kind == "sight" else _line)(solution, entry.id)
        return (*told, *_check(scene, solution, entry))
    except KeyError:
        return ()


def _sight(solution: Solution, id: str) -> Iterator[str]:
    sight: SightResult = solution.sight(id)
    yield f"{sight.body}, {write_clock(sight.time, seconds=True)} GMT"
    if sight.ho is not None and sight.intercept_nm is not None:
        side = "toward" if sight.intercept_nm >= 0.0 else "away"
        yield f"Ho {write_angle(sight.ho)}   Hc {write_angle(sight.hc)}"
        yield f"Zn {write_bearing(sight.zn, 1)}   intercept {abs(sight.intercept_nm):.1f} NM {side}"
    else:
        yield f"Hc {write_angle(sight.hc)}   Zn {write_bearing(sight.zn, 1)}"
    if sight.fix is not None:
        fix = solution.fix(sight.fix)
        residual = fix.residuals_arcmin.get(id)
        moved = f"to {write_clock(fix.time)}, for fix {fix.id}"
        yield moved if residual is None else f"{moved}; Ho − Hc at it {_signed(residual)}′"
    if not sight.used:
        yield "not used"


def _check(scene: ChartScene, solution: Solution, entry: Entry) -> Iterator[str]:
    """What a speed line or a course line checks by itself."""
    if scene.flight is None:
        return
    from nightleg.flight.linenames import line_check  # asked for by a click: the chart's own tests run without it
    from nightleg.flight.working_wind import check_words

    line = solution.sight(entry.id) if entry.kind == "sight" else solution.line(entry.id)
    check = line_check(scene.flight, solution, line)
    if check is not None:
        yield from check_words(check).split(", ")


def _line(solution: Solution, id: str) -> Iterator[str]:
    line = solution.line(id)
    yield f"{line.kind} {line.id}, {write_clock(line.time, seconds=True)} GMT"
    if line.offset_nm is not None:
        yield from_dr(line)
    for fact in line_facts(line):
        yield f"{fact.name} {fact.value}" + (f", {fact.detail}" if fact.detail else "")
    yield from line.warnings
    if line.fix is not None:
        fix = solution.fix(line.fix)
        residual = fix.residuals_arcmin.get(id)
        moved = f"to {write_clock(fix.time)}, for fix {fix.id}"
        yield moved if residual is None else f"{moved}; {abs(residual):.1f} NM from it"
    if not line.used:
        yield "not used"


def _fix(fix: FixResult) -> Iterator[str]:
    kind = "fix by other means" if fix.kind == "known" else "most probable position" if fix.prior else "fix"
    yield f"{write_clock(fix.time)} {kind} {fix.id}"
    if fix.position is None:
        yield "no position"
        return
    yield write_position(fix.position)
    if fix.ellipse95 is not None:
        ellipse = fix.ellipse95
        yield (
            f"95 %: {ellipse.semi_major_nm:.1f} by {ellipse.semi_minor_nm:.1f} NM, "
            f"long axis {write_bearing(ellipse.azimuth_deg % 180.0)}"
        )
    if fix.from_dr_nm is not None and fix.from_dr_deg is not None:
        yield f"{fix.from_dr_nm:.1f} NM, {write_bearing(fix.from_dr_deg)} from the DR before it"
    yield from fix.trust[:1]


def _dr(scene: ChartScene) -> Iterator[str]:
    dr, solution = scene.dr, scene.solution
    if dr is None or solution is None:
        return
    yield dr.name
    yield write_position(dr.position)
    state = next((state for state in reversed(solution.dr) if state.time <= scene.now), None)
    if state is not None and state.track_deg is not None:
        yield f"track {write_bearing(state.track_deg)}, ground speed {state.gs_kt:.0f} kt"
    if dr.circle50_nm is not None:
        yield f"half of its errors lie within {dr.circle50_nm:.1f} NM"


def _waypoint(scene: ChartScene, name: str) -> Iterator[str]:
    place: Position | None = dict(scene.route.waypoints).get(name) if scene.route else None
    if place is None:
        return
    yield name
    yield write_position(place)
    dr = dr_now(scene)
    if dr is not None:
        distance, course = (float(v) for v in rhumb_inverse(*dr[0], *place))
        if math.isfinite(distance):
            yield f"{write_bearing(course)}  {distance:.1f} NM from the {dr[1]}"


def _signed(value: float) -> str:
    return f"{value:+.1f}".replace("-", "−")
