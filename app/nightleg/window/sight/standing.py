"""Whether the figures that are shown are those of the text as it stands. No Qt here, save the session it is told from.

Text that cannot be read, or not solved, has no answer. The chart then keeps its last picture, so that a slip of a
finger does not make it jump; its figures are not shown beside the text, where they would look as if they came from it.
"""

from __future__ import annotations

from nightleg.window.session import Session

_PLACING = ("body", "time", "series", "assumed", "fix", "sight")  # what altitude and azimuth depend on


def unanswered(session: Session) -> bool:
    """Whether what is shown came of an earlier text: the one that stands now has no answer."""
    return session.worked.draft not in (None, session.draft)


def placed(session: Session) -> bool:
    """Whether the place of the body is still that of the text, so that Hc and Zn hold."""
    before, now = session.worked.draft, session.draft
    return before is None or all(getattr(before, name) == getattr(now, name) for name in _PLACING)


def left_over(session: Session) -> str:
    """Id of the entry of which an earlier text is shown, and not the one that stands; empty where there is none."""
    worked = session.worked
    if not unanswered(session):
        return ""
    return worked.other.id if worked.other is not None else worked.typed_id or ""
