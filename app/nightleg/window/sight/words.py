"""What there is to say of the sight being typed, in words. No Qt here, save the session it is told from."""

from __future__ import annotations

import numpy as np

from nightleg.units.times import gmt_s
from nightleg.window.session import Session, Worked
from nightleg.window.sight.draft import FIELDS, Draft, FieldName, Typed, all_whole, in_series

NAMES: dict[FieldName, str] = {"body": "Body", "time": "Watch time", "reading": "Reading"}
# Where an intercept asks for a second look: common practice, no source. A degree misread is 60 NM; a DR so uncertain
# that this is within its 2 σ is not called into question by it, one that is well known by less.
FAR_NM, FAR_SIGMAS = 58.0, 2.0
NEAR_NM, MANY_SIGMAS = 20.0, 5.0
_LOWEST_SEEN_DEG = -2.0  # from a height a body is seen somewhat below the horizontal


def remark_of(session: Session, folded: bool = False) -> tuple[str, bool]:
    """What stands under the fields, and whether it tells something wrong. `folded`: rows of a series are not seen."""
    typed, draft = session.typed, session.draft
    shown = [
        (typed.remarks[name].wrong, f"{NAMES[name]}: {typed.remarks[name].text}")
        for name in FIELDS
        if name in typed.remarks
    ]
    wrong = any(is_wrong for is_wrong, _ in shown)
    if shown:
        return "\n".join(text for is_wrong, text in shown if is_wrong == wrong), wrong
    if folded and in_series(draft):
        left_out = "series" in typed.remarks
        more = "some of its rows do not count" if left_out else "its rows count"
        strange = _below_horizon(session.worked) or _far_off(session)
        return "\n".join(filter(None, (f"Mean of a series: {more}. Series shows them.", strange))), left_out
    if session.hint and not draft.reading.strip() and not in_series(draft) and _is_waiting(session):
        return session.hint, False
    return _below_horizon(session.worked) or _far_off(session) or _still_to_come(typed, draft), False


def belongs(worked: Worked) -> str:
    """`s12 of fix f4`."""
    if worked.typed_id is None:
        return ""
    return f"{worked.typed_id}, in no fix" if worked.fix is None else f"{worked.typed_id} of fix {worked.fix.id}"


def _is_waiting(session: Session) -> bool:
    waiting = session.document.flight.next_sight
    return waiting is not None and session.typed.body == waiting.body and session.draft.sight is None


def _below_horizon(worked: Worked) -> str:
    sight = worked.sight
    if sight is None or sight.hc > _LOWEST_SEEN_DEG:
        return ""
    return f"{sight.body} stands {-sight.hc:.0f}° below the horizon at the DR: is it the right body, the right time?"


def _far_off(session: Session) -> str:
    """A word where the line lies so far from the DR that something else than the DR is likelier to be wrong."""
    worked, sight = session.worked, session.worked.sight
    if worked.typed_id is None or sight is None or sight.intercept_nm is None or not all_whole(session.draft):
        return ""
    off_nm = abs(sight.intercept_nm)
    sigma_nm = 0.0
    if not sight.assumed:
        when_s = gmt_s(sight.time)
        plot = worked.solution.plot_of_fix.get(sight.fix or "") or worked.solution.plot_at(sight.time)
        toward = np.array([np.cos(np.radians(sight.zn)), np.sin(np.radians(sight.zn))])
        sigma_nm = float(np.hypot(np.sqrt(toward @ plot.covariance(when_s) @ toward), sight.sigma_arcmin))
    degree_off = off_nm > FAR_NM and off_nm > FAR_SIGMAS * sigma_nm
    many_sigmas = not sight.assumed and off_nm > NEAR_NM and off_nm > MANY_SIGMAS * sigma_nm
    if not (degree_off or many_sigmas):
        return ""
    return f"Intercept of {off_nm:.0f} NM: wrong body, time or degree?"


def _still_to_come(typed: Typed, draft: Draft) -> str:
    if typed.remarks:  # told at their fields
        return ""
    if typed.complete:
        return "Enter puts the change in the log." if draft.sight else ""  # else the button says it
    if in_series(draft):
        return "Still to come: body" if not draft.body.strip() else ""
    if not (draft.body or draft.time or draft.reading):
        return "Body, watch time and reading, as on paper: Vega 2300 4123.5"
    missing = [NAMES[name].lower() for name in FIELDS if not str(getattr(draft, name)).strip()]
    return "Still to come: " + " and ".join(missing) if missing else ""
