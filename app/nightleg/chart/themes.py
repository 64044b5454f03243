"""Three grounds to draw on: paper for daylight and print, dim for a lit room, red for a dark one.

A theme is a table of named colour roles. What a kind of line looks like (its role, width and dash) is a second table,
the same for all themes except where the red one, which has a single ink, needs a stronger difference. Meaning never
rests on colour alone: every kind of line has a dash or a width of its own.

Contrast is that of WCAG 2.1 (relative luminance, contrast ratio); text and lines that carry meaning reach 4.5 against
ground and land. Coast and graticule are background and do not.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal, get_args

from msgspec import Struct, structs

Role = Literal["ground", "land", "coast", "graticule", "muted", "ink", "line", "fix", "truth", "route", "pointer"]
"""Colour roles: muted is quiet text and ticks, ink the DR and text, line a line of position, pointer what shows where
the pointer is before a projector: no object of the chart has its colour."""

ThemeName = Literal["paper", "dim", "red"]

PenName = Literal[
    "coast",
    "graticule",
    "minute",
    "frame",
    "scale",
    "track",
    "track_past",
    "symbol",
    "circle",
    "line",
    "line_crowded",
    "line_past",
    "origin",
    "stub",
    "ellipse95",
    "ellipse50",
    "ellipse_past",
    "fix",
    "truth",
    "route",
    "wind",
    "grid",
    "landfall",
    "air",
    "ghost_line",
    "ghost_ellipse",
]


class PenStyle(Struct, frozen=True):
    """A kind of line: colour role, width in px at scale 1, dash pattern in px (empty: unbroken)."""

    role: Role
    width_px: float
    dash_px: tuple[float, ...] = ()


PENS: dict[PenName, PenStyle] = {
    "coast": PenStyle("coast", 0.8),
    "graticule": PenStyle("graticule", 1.0),
    "minute": PenStyle("muted", 0.9),
    "frame": PenStyle("ink", 1.0),
    "scale": PenStyle("ink", 1.4),
    "track": PenStyle("ink", 2.4),
    "track_past": PenStyle("ink", 1.3),
    "symbol": PenStyle("ink", 1.4),
    "circle": PenStyle("ink", 1.3, (1.6, 4.2)),
    "line": PenStyle("line", 1.9),
    "line_crowded": PenStyle("line", 1.0),
    "line_past": PenStyle("line", 0.9),
    "origin": PenStyle("line", 0.8, (1.5, 4.5)),
    "stub": PenStyle("line", 0.9, (5.0, 3.0)),
    "ellipse95": PenStyle("fix", 2.0),
    "ellipse50": PenStyle("fix", 1.0),
    "ellipse_past": PenStyle("fix", 1.0),
    "fix": PenStyle("fix", 2.0),
    "truth": PenStyle("truth", 2.0, (2.0, 3.0, 8.0, 3.0)),
    "route": PenStyle("route", 1.4, (11.0, 6.0)),
    "wind": PenStyle("ink", 1.5),
    "grid": PenStyle("muted", 0.8, (2.0, 3.0, 2.0, 9.0)),
    "landfall": PenStyle("line", 1.6, (14.0, 4.0, 2.0, 4.0)),
    "air": PenStyle("ink", 1.1, (6.0, 4.0)),
    "ghost_line": PenStyle("line", 2.6, (2.6, 6.0)),
    "ghost_ellipse": PenStyle("fix", 2.2, (2.2, 5.0)),
}

_RED_PENS: dict[PenName, PenStyle] = PENS | {
    "ellipse95": PenStyle("fix", 3.0),
    "ellipse50": PenStyle("fix", 1.6),
    "fix": PenStyle("fix", 2.8),
    "track": PenStyle("ink", 2.4),
    "truth": PenStyle("truth", 2.0, (1.5, 3.5)),
    "route": PenStyle("route", 1.2, (22.0, 9.0)),
    "line": PenStyle("line", 1.6),
}

LINE_DASHES_PX: tuple[tuple[float, ...], ...] = (
    (),
    (20.0, 6.0),
    (18.0, 5.0, 4.0, 5.0),
    (9.0, 5.0),
    (18.0, 5.0, 4.0, 5.0, 4.0, 5.0),
    (30.0, 5.0, 9.0, 5.0),
)
"""Dashes of the lines of position of one fix, newest first: each sight has its own."""


@dataclass(frozen=True, slots=True)
class Theme:
    """Colours by role ("#RRGGBB"), pens by name, text sizes in px, and one scale for type and widths together."""

    name: ThemeName
    colours: dict[Role, str]
    pens: dict[PenName, PenStyle] = field(default_factory=lambda: PENS)
    text_px: float = 14.0
    small_px: float = 13.0
    title_px: float = 21.0
    scale: float = 1.0

    def pen(self, name: PenName) -> PenStyle:
        """The pen of that name at this theme's scale."""
        style, scale = self.pens[name], self.scale
        return structs.replace(
            style, width_px=style.width_px * scale, dash_px=tuple(length * scale for length in style.dash_px)
        )

    def scaled(self, scale: float) -> Theme:
        """The same theme with type and lines `scale` times as large, for a projector."""
        return replace(self, scale=self.scale * scale)


_ROLES: tuple[Role, ...] = get_args(Role)


def _colours(table: str) -> dict[Role, str]:
    return dict(zip(_ROLES, table.split(), strict=True))


THEMES: dict[ThemeName, Theme] = {
    #                        ground  land    coast   gratic. muted   ink     line    fix     truth   route   pointer
    "paper": Theme(
        "paper", _colours("#FAF7F0 #ECE5D3 #A79C82 #D8D1BF #6B6658 #1C2733 #0B5FA5 #B83A0B #0F7050 #7A4E8F #F2B705")
    ),
    "dim": Theme(
        "dim", _colours("#12181F #1B242D #4A5A66 #26323C #8FA1AE #E6EDF3 #6CB8F5 #FF9B5E #5FD3A8 #C49BE0 #F7E27A")
    ),
    "red": Theme(
        "red",
        _colours("#0A0000 #160302 #5A1712 #3A0F0C #CE4E41 #FF6A5A #FF6A5A #FF6A5A #FF6A5A #FF6A5A #E0301E"),
        _RED_PENS,
    ),
}

MEANING: tuple[Role, ...] = ("muted", "ink", "line", "fix", "truth", "route")
"""Roles whose contrast must reach 4.5."""


def theme(name: str) -> Theme:
    """The theme of that name. Raises ValueError that lists the names there are."""
    for known, value in THEMES.items():
        if known == name:
            return value
    raise ValueError(f"theme {name!r}: there is no such theme; choose one of {', '.join(THEMES)}")


def luminance(colour: str) -> float:
    """Relative luminance (0 to 1) of "#RRGGBB", WCAG 2.1."""
    channels = (int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5))
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    """Contrast ratio (1 to 21) of two colours, WCAG 2.1."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)
