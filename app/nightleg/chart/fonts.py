"""The one typeface of the chart, B612, from the files shipped with the program.

Text must look the same on every machine, also where no fonts are installed, so nothing here falls back to another
family: a missing or broken font file is an error.
"""

from __future__ import annotations

from functools import cache

from PySide6.QtGui import QFont, QFontDatabase, QFontMetricsF, QGuiApplication

from nightleg.resources import resource

FAMILY = "B612"
FILES = ("B612-Regular.otf", "B612-Bold.otf", "B612-Italic.otf")


class FontMissing(RuntimeError):
    """The typeface that comes with the program cannot be used."""


@cache
def load() -> tuple[str, ...]:
    """Make the typeface known to Qt, once a process; the files loaded. Raises FontMissing.

    A QGuiApplication must exist: Qt keeps its fonts with it.
    """
    if QGuiApplication.instance() is None:
        raise FontMissing("fonts can only be loaded once a QGuiApplication exists")
    for name in FILES:
        try:
            path = resource("fonts", name)
        except FileNotFoundError as error:
            raise FontMissing(f"font file {name}: {error}; install the program again") from error
        number = QFontDatabase.addApplicationFont(str(path))
        if number < 0 or FAMILY not in QFontDatabase.applicationFontFamilies(number):
            raise FontMissing(f"font file {name} is not the typeface {FAMILY}; install the program again")
    return FILES


@cache
def font(px: float, *, bold: bool = False, italic: bool = False) -> QFont:
    """B612 at a size in px (of the em), without hinting, so that metrics do not depend on the machine."""
    load()
    made = QFont(FAMILY)
    # Qt takes whole px sizes only; points at 72 to the inch are no way out on all devices, so round here, once.
    made.setPixelSize(max(1, round(px)))
    made.setBold(bold)
    made.setItalic(italic)
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    made.setStyleStrategy(QFont.StyleStrategy.NoFontMerging | QFont.StyleStrategy.PreferAntialias)
    return made


@cache
def metrics(px: float, *, bold: bool = False, italic: bool = False) -> QFontMetricsF:
    """Metrics of `font` with the same arguments."""
    return QFontMetricsF(font(px, bold=bold, italic=italic))


@cache
def text_width_px(text: str, px: float, *, bold: bool = False) -> float:
    """Width of a line of text, px."""
    return metrics(px, bold=bold).horizontalAdvance(text)
