"""What a line or another reading being typed comes to, and what there is to say of it, in words. No Qt here."""

from __future__ import annotations

from nightleg.flight.linefacts import from_dr, line_facts
from nightleg.flight.reduce import SUN_CAUTION
from nightleg.flight.solution import FixResult, LineResult, Solution
from nightleg.window.other.draft import OtherTyped
from nightleg.window.other.kinds import EntryKind, Other
from nightleg.window.other.landfallwords import landfall_answer, landfall_by_id
from nightleg.window.parts import Row
from nightleg.window.words import NONE, direction, drift, wind
from nightleg.window.worked import Worked


def answer_words(worked: Worked) -> tuple[str, list[Row]]:
    """The main result of what is being typed, and the figures beside it; a dash before there is one."""
    typing, solution = worked.other, worked.solution
    if typing is None:
        return NONE, []
    if typing.row == "line":
        line = solution.line(typing.id)
        return from_dr(line) or NONE, line_rows(line)
    if typing.row == "fix":
        return _fix(solution.fix(typing.id))
    if typing.row == "drift":
        return _drift(solution, typing.id)
    if typing.row == "landfall":
        return landfall_answer(worked.flight, solution, typing.id)
    return _check(solution, typing.id)


def line_rows(line: LineResult) -> list[Row]:
    """What was worked out of a line, the σ strong."""
    return [Row(one.name, one.value, one.detail, strong=number == 0) for number, one in enumerate(line_facts(line))]


def _fix(fix: FixResult) -> tuple[str, list[Row]]:
    if fix.from_dr_nm is None:
        return NONE, []
    rows = []
    if fix.wind_kt is not None:
        rows.append(Row("Wind found", wind(fix.wind_from_deg, fix.wind_kt), strong=True))
    return f"{fix.from_dr_nm:.1f} NM, {direction(fix.from_dr_deg)} from the DR", rows


def _drift(solution: Solution, id: str) -> tuple[str, list[Row]]:
    group = next((one for one in solution.drift_winds if id in one.ids), None)
    if group is None:
        return NONE, []
    state = next((one for one in reversed(solution.dr) if one.time <= group.time), solution.dr[0])
    rows = [
        Row("Drift of the DR", drift(state.drift_deg), "by the wind held"),
        Row("Worked with", " ".join(group.ids), "drifts within 15 minutes"),
    ]
    if group.wind is None:
        return "no wind yet", rows
    found = group.wind
    return f"wind {wind(float(found.from_deg), float(found.kt))}", rows


def _check(solution: Solution, id: str) -> tuple[str, list[Row]]:
    check = next(one for one in solution.heading_checks if one.id == id)
    error = f"{check.error_deg:+.1f}°".replace("-", "−")
    return f"{check.shown} error {error}", [
        Row("True heading", direction(check.true_heading_deg, 1), "Zn less relative bearing", strong=True),
        Row("Zn", direction(check.zn, 1), f"{check.body} {check.hc:.0f}° high"),
        Row("Should show", direction(check.should_show_deg, 1), check.shown),
    ]


def warnings_of(worked: Worked) -> tuple[str, ...]:
    """What there is to be said about the answer."""
    typing, solution = worked.other, worked.solution
    if typing is None:
        return ()
    if typing.row == "check":
        return next(one.warnings for one in solution.heading_checks if one.id == typing.id)
    if typing.row == "landfall":
        return landfall_by_id(worked.flight, solution, typing.id).warnings
    if typing.row == "drift":
        group = next((one for one in solution.drift_winds if typing.id in one.ids), None)
        return (group.why_not,) if group is not None and group.why_not else ()
    return solution.line(typing.id).warnings if typing.row == "line" else solution.fix(typing.id).warnings


def remark_of(draft: Other, typed: OtherTyped | None, worked: Worked) -> tuple[str, bool]:
    """What stands under the fields, and whether it tells something wrong."""
    if typed is None:
        return "", False
    kind = typed.kind
    wrong = any(remark.wrong for remark in typed.remarks.values())
    told = [f"{_caption(kind, key)}: {remark.text}" for key, remark in typed.remarks.items() if remark.wrong == wrong]
    if told:
        return "\n".join(told), wrong
    if typed.missing:
        if not any(draft.text(one.key).strip() for one in kind.fields):
            return kind.hint, False
        names = [_caption(kind, key).lower() if not kind.one_of else _caption(kind, key) for key in typed.missing]
        caution = f"{SUN_CAUTION}\n" if typed.values.get("body") == "Sun" and kind.row == "landfall" else ""
        return f"{caution}Still to come: " + " and ".join(names), False
    said = warnings_of(worked)
    return ("\n".join(said), False) if said else ("Enter puts it in the log.", False)


def _caption(kind: EntryKind, key: str) -> str:
    return kind.field(key).caption.split(",")[0]


def belongs(worked: Worked) -> str:
    """`p1 of fix f4`."""
    typing = worked.other
    if typing is None:
        return ""
    if typing.row != "line":
        return typing.id
    return f"{typing.id}, in no fix" if worked.fix is None else f"{typing.id} of fix {worked.fix.id}"
