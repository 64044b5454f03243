"""How large type is to be: as the system asks, and larger before a projector."""

from __future__ import annotations

from PySide6.QtGui import QFont, QFontDatabase, QFontInfo

PROJECTOR = 1.85  # what the back row of a class room reads; common practice, no source
_USUAL_PX = (11.0, 15.0)  # system type between these is of the usual size: the window's own 14 px goes with it
_MIDDLE_PX = 13.3
_SMALLEST, _LARGEST = 0.8, 2.5


def system_scale(font: QFont | None = None) -> float:
    """How many times larger than usual the system's type is, in steps of a twentieth.

    The px of the system's font hold both its points and the logical resolution of the screen.
    """
    held = font or QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont)
    px = float(QFontInfo(held).pixelSize())
    if _USUAL_PX[0] <= px <= _USUAL_PX[1]:
        return 1.0
    return min(max(round(px / _MIDDLE_PX * 20.0) / 20.0, _SMALLEST), _LARGEST)
