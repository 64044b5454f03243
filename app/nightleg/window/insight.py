"""What has just been entered is seen: the chart moves to its fix where that lies outside. No widgets of its own."""

from __future__ import annotations

from nightleg.chart.canvas import ChartCanvas
from nightleg.chart.follow import in_sight
from nightleg.window.session import Session


def keep_in_sight(canvas: ChartCanvas, session: Session) -> None:
    """Move the chart so that the fix in hand is seen, fitted to the plot anew where it was fitted.

    Typing alone never moves it: a slip must not carry the chart away.
    """
    fix, view = session.fix_in_hand(), canvas.view
    if fix is None or fix.position is None or view is None or in_sight(view, fix.position):
        return
    if canvas.fitted is not None:
        canvas.fit_plot(canvas.fitted)
    canvas.bring(fix.position)
