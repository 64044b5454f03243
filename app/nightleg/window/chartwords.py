"""The chart's main facts in words, for those who do not see it. No Qt here."""

from __future__ import annotations

from nightleg.units.positions import write_position
from nightleg.window.session import Session
from nightleg.window.words import axes, axis, clock, direction, wind


def described(session: Session) -> str:
    """DR, its motion, the fix in hand with its ellipse, and how many lines are on the chart."""
    solution = session.worked.solution
    state = solution.dr[-1]
    said = [
        f"DR at {clock(state.time)} GMT: {write_position(state.position)}, track {direction(state.track_deg)}, "
        f"ground speed {state.gs_kt:.0f} kt, wind {wind(state.wind_from_deg, state.wind_kt)}."
    ]
    fix = session.fix_in_hand()
    if fix is None or fix.position is None:
        said.append("No fix yet.")
    else:
        said.append(f"Fix {fix.id} at {clock(fix.time)}: {write_position(fix.position)}.")
        if fix.ellipse95 is not None:
            said.append(f"95 % ellipse {axes(fix.ellipse95)}, long axis {axis(fix.ellipse95.azimuth_deg)}.")
        if fix.from_dr_nm is not None:
            said.append(f"{fix.from_dr_nm:.1f} NM {direction(fix.from_dr_deg)} of the DR before it.")
    count = sum(sight.used for sight in solution.sights)
    said.append(f"{count} {'line' if count == 1 else 'lines'} of position.")
    return " ".join(said)
