"""A solution as a log that a navigator reads: one aligned column of times, entries in the order of the flight."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Mapping
from datetime import date, datetime

from nightleg.commands.figures import (
    NONE,
    angle,
    axis,
    clip,
    clock,
    direction,
    drift,
    intercept,
    nearest_second,
    place,
    probability,
    signed,
    whole,
    winds,
)
from nightleg.commands.terminal import plain
from nightleg.commands.wind_text import of_check, of_fix, of_line, of_state
from nightleg.flight.grids import grid_state, grid_words, used_grid
from nightleg.flight.latitude_hint import may_give_latitude
from nightleg.flight.model import Flight, Grid, Truth
from nightleg.flight.solution import DrState, FixResult, LineResult, SightResult, Solution
from nightleg.flight.suspects import Verdict

WIDTH = 100  # columns, at most
_INDENT = 19  # where the third column begins: after the time and the entry
_DR_HEAD = (
    f"{'GMT':<9}{'entry':<10}{'position':<22}{'TH':<5}  {'TAS':>4}  {'alt ft':>6}  "
    f"{'W/V':<7}  {'TC':<5} {'GS':>5}  {'drift':>6}  {'1σ NM':>6}"
)
_HOLD = "\u00a0"  # a space at which no line is broken
_RANK = {"remark": 0, "sight": 1, "fix": 2, "dr": 3, "now": 4}  # order of entries of one instant

Entry = tuple[datetime, int, list[str]]


def log(flight: Flight, solution: Solution, name: str, verdicts: Mapping[str, Verdict] | None = None) -> str:
    """The log of a solved flight, from the file of that name: lines of at most 100 columns, ended by a line feed.

    `verdicts` holds, by the fix's id, what would explain a disagreement.
    """
    entries = sorted(_entries(flight, solution, verdicts or {}), key=lambda entry: entry[:2])
    lines = _heading(solution, name)
    grid = used_grid(flight)
    if grid is not None:
        lines += _wrapped(f"GH, GT, grid W/V: by the {grid_words(grid)}; convergence is true less grid", "")
    day: date | None = None
    for time, _, block in entries:
        if nearest_second(time).date() != day:
            day = nearest_second(time).date()
            lines += ["", day.isoformat(), _DR_HEAD]
        lines += block
    if solution.warnings:
        lines.append("")
        for warning in solution.warnings:
            lines += remark(warning, 0)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _heading(solution: Solution, name: str) -> list[str]:
    title = plain(solution.title) or "Flight"
    name = clip(plain(name), WIDTH // 2)
    title = clip(title, WIDTH - len(name) - 2)
    return [title + name.rjust(WIDTH - len(title)), "─" * WIDTH]


def _entries(flight: Flight, solution: Solution, verdicts: Mapping[str, Verdict]) -> Iterator[Entry]:
    grid = used_grid(flight)
    for state in solution.dr:
        yield (
            state.time,
            _RANK["now" if state.kind == "now" else "dr"],
            [
                _dr(state),
                *_by_grid(grid, state),
                *_under(of_state(flight, solution, state)),
            ],
        )
    for sight in solution.sights:
        yield (
            sight.time,
            _RANK["sight"],
            [
                *_sight(sight),
                *_latitude(flight, solution, sight),
                *_under(of_line(flight, solution, sight)),
            ],
        )
    for fix in solution.fixes:
        yield (
            fix.time,
            _RANK["fix"],
            [
                *_fix(fix),
                *_under(of_fix(flight, solution, fix)),
                *_suspects(verdicts.get(fix.id)),
            ],
        )
    for line in solution.lines:
        yield line.time, _RANK["sight"], [*_line(line), *_under(of_line(flight, solution, line))]
    for check in solution.heading_checks:
        warned = [text for warning in check.warnings for text in remark(warning)]
        yield check.time, _RANK["sight"], _wrapped(of_check(flight, check), start(check.time, plain(check.id))) + warned
    yield from _landfalls(flight, solution)
    for entry in flight.log:
        text = plain(" ".join(entry.text.split())) or NONE
        yield entry.time, _RANK["remark"], _wrapped(text, start(entry.time, ""))


def start(time: datetime, entry: str) -> str:
    """The first two columns of an entry: its time and its name."""
    return f"{clock(time):<9}{clip(entry, 9):<10}"


def remark(text: str, indent: int = _INDENT) -> list[str]:
    """A warning, marked and wrapped."""
    return _wrapped(plain(text), " " * indent + "! ")


def _wrapped(text: str, first: str) -> list[str]:
    lines = textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=" " * len(first)) or [first.rstrip()]
    return [line.replace(_HOLD, " ") for line in lines]


def _dr(state: DrState) -> str:
    names = {"start": "start", "leg": "leg", "fix": f"from {plain(state.of or 'fix')}", "now": "DR"}
    return (
        start(state.time, names[state.kind])
        + f"{place(state.position):<22}{direction(state.heading_deg)}  {whole(state.tas_kt):4d}  "
        + f"{whole(state.altitude_ft):6d}  {winds(state.wind_from_deg, state.wind_kt):<7}  "
        + f"{direction(state.track_deg)} {whole(state.gs_kt):5d}  {drift(state.drift_deg):>6}  {state.sigma_nm:6.1f}"
    ).rstrip()


def _under(lines: Iterator[str]) -> list[str]:
    """Lines that stand under an entry."""
    return [text for line in lines for text in _wrapped(line, " " * _INDENT)]


def _by_grid(grid: Grid | None, state: DrState) -> list[str]:
    """The directions of a DR by the flight's grid, under its row."""
    if grid is None:
        return []
    by = grid_state(grid, state)
    wind = winds(by.wind_from_deg, state.wind_kt)
    facts = f"GH {direction(by.heading_deg)}  GT {direction(by.track_deg)}  grid W/V {wind}"
    return [f"{'':<{_INDENT}}{facts}  convergence {signed(by.convergence_deg)}°"]


def _sight(sight: SightResult) -> list[str]:
    line = (
        start(sight.time, plain(sight.id))
        + f"{clip(plain(sight.body), 16):<16} Hs {angle(sight.hs):>8}  Ho {angle(sight.ho):>8}  "
        + f"Hc {angle(sight.hc):>8}  Zn {direction(sight.zn)}  {intercept(sight.intercept_nm):>8}"
    )
    notes = []
    if not sight.used:
        notes.append("not used")
    if sight.assumed:
        notes.append(f"from the assumed position {place(sight.reduced_from)}")
    if sight.n_readings > 1:
        scatter = "" if sight.scatter_arcmin is None else f", scatter {sight.scatter_arcmin:.1f}′"
        notes.append(f"{sight.n_readings} readings{scatter}")
    lines = [line]
    if notes:
        lines += _wrapped(", ".join(notes), " " * _INDENT)
    for warning in sight.warnings:
        lines += remark(warning)
    return lines


def _latitude(flight: Flight, solution: Solution, sight: SightResult) -> list[str]:
    """The latitude that a sight gives by the rules of the trade, under its row."""
    if not may_give_latitude(sight):
        return []
    from nightleg.commands.added_text import latitude_text  # only for those that may

    return _wrapped(latitude_text(flight, solution, sight), " " * _INDENT)


def _landfalls(flight: Flight, solution: Solution) -> Iterator[Entry]:
    """What to steer, when to turn, and the altitudes prepared."""
    if not flight.landfalls:
        return
    from nightleg.commands.added_text import landfall_texts  # few flights have any

    indent = " " * _INDENT
    for found in landfall_texts(flight, solution):
        lines = [start(found.time, found.id) + found.head]
        lines += [text for warning in found.warnings for text in remark(warning)]
        lines += [text for words in found.words for text in _wrapped(words, indent)]
        yield found.time, _RANK["dr"], [*lines, *(indent + row for row in found.rows)]


def _fix(fix: FixResult) -> list[str]:
    indent = " " * _INDENT
    head = start(fix.time, f"FIX {plain(fix.id)}")
    if fix.position is None:
        lines = _wrapped(f"no position; DR {place(fix.dr)}", head)
    else:
        away = ""
        if fix.from_dr_nm is not None:
            away = f"{fix.from_dr_nm:.1f} NM from the DR"
            if fix.from_dr_deg is not None and fix.from_dr_nm >= 0.05:
                away += f", bearing {direction(fix.from_dr_deg, 0)}°"
        lines = [f"{head}{place(fix.position):<22}{away}".rstrip()]
    for text in _judgement(fix):
        lines += _wrapped(text, indent)
    for text in fix.trust:
        lines += _wrapped(plain(text), indent + "· ")
    for warning in fix.warnings:
        if warning not in fix.trust:
            lines += remark(warning)
    return lines


def _suspects(verdict: Verdict | None) -> list[str]:
    """What would explain a disagreement: the likeliest, with the fixes they would give."""
    if verdict is None:
        return []
    return [*_wrapped(plain(verdict.words), " " * _INDENT + "? "), *_ranked(verdict, 3)]


def suspected(verdict: Verdict) -> list[str]:
    """All that was weighed of a fix, best first."""
    return [*_wrapped(plain(verdict.words), "  ? "), *_ranked(verdict, len(verdict.suspects))]


def _ranked(verdict: Verdict, most: int) -> list[str]:
    """The likeliest of them, each with its odds."""
    lines: list[str] = []
    for suspect in verdict.suspects[:most]:
        odds = f"odds {math.exp(min(suspect.log_odds, 20.0)):.2g}"
        lines += _wrapped(
            f"{plain(suspect.id)}: {plain(suspect.explanation)}, {odds}; then {place(suspect.position)}",
            " " * (_INDENT + 2),
        )
    return lines


def _line(line: LineResult) -> list[str]:
    head = start(line.time, plain(line.id)) + f"{line.kind} line"
    if line.position is None or line.normal_deg is None or line.offset_nm is None or line.sigma_nm is None:
        return [head, *(text for warning in line.warnings for text in remark(warning))]
    facts = (
        f"{head:<36} {abs(line.offset_nm):.1f} NM from the DR, bearing "
        f"{direction(line.normal_deg if line.offset_nm >= 0.0 else (line.normal_deg + 180.0) % 360.0, 0)}°, "
        f"1σ {line.sigma_nm:.1f} NM"
    )
    return [facts, *([" " * _INDENT + "not used"] if not line.used else [])]


def _judgement(fix: FixResult) -> Iterator[str]:
    if fix.sights:
        shares = [f"{id}{_HOLD}{signed(fix.residuals_arcmin.get(id))}′" for id in fix.sights]
        yield plain(f"{'Ho − Hc at the fix' if fix.position is not None else 'Ho − Hc at the DR'}: {', '.join(shares)}")
    if fix.ellipse95 is not None and fix.ellipse50 is not None:
        wide, half = fix.ellipse95, fix.ellipse50
        yield (
            f"ellipse 95 % {wide.semi_major_nm:.1f} × {wide.semi_minor_nm:.1f} NM, "
            f"50 % {half.semi_major_nm:.1f} × {half.semi_minor_nm:.1f} NM, "
            f"long axis {axis(wide.azimuth_deg)}" + ("" if fix.cep_nm is None else f"; CEP {fix.cep_nm:.1f} NM")
        )
    if fix.kind == "celestial" and fix.position is not None:
        check = f"chi-square {fix.chi2:.2f}, degrees of freedom {fix.dof}"
        check += "" if fix.p_value is None else f", p {probability(fix.p_value)}"
        yield check + (", DR taken in" if fix.prior else "")
    if fix.common_error_arcmin is not None:
        sigma = "" if fix.common_error_sigma_arcmin is None else f" ± {fix.common_error_sigma_arcmin:.1f}′"
        yield f"common error {signed(fix.common_error_arcmin)}′{sigma}"
    if fix.wind_from_deg is not None and fix.wind_kt is not None:
        since = "" if fix.wind_since is None else f" since {clock(fix.wind_since)}"
        yield f"wind found {winds(fix.wind_from_deg, fix.wind_kt)}{since}"
    if fix.mpp_rule is not None:
        yield f"most probable position by the rule for one line {place(fix.mpp_rule)}"
    if fix.position is not None and not fix.adopted:
        yield "not adopted: the DR runs on"


def truth(held: Truth) -> str:
    """The truth of a scenario: its track, or what makes it."""
    lines = ["Truth"]
    for point in held.track:
        height = "" if point.altitude_ft is None else f"{whole(point.altitude_ft):>8d} ft"
        lines.append(f"{start(point.time, '')}{place(point.position)}{height}")
    if held.wind is not None:
        lines.append(f"  wind {winds(held.wind.from_deg, held.wind.kt)}")
    if held.heading_error_deg is not None:
        lines.append(f"  heading error {signed(held.heading_error_deg)}°")
    if held.seed is not None:
        lines.append(f"  seed {held.seed}")
    return "\n".join(lines) + "\n"
