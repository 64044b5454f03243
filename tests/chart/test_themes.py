"""Colours and pens: contrast by WCAG 2.1, and lines told apart without colour."""

from __future__ import annotations

from itertools import combinations

import pytest

from nightleg.chart.themes import LINE_DASHES_PX, MEANING, THEMES, PenName, PenStyle, Role, contrast, luminance, theme


def test_contrast_of_known_pairs() -> None:
    # WCAG 2.1: black on white is 21, a colour on itself 1. #767676 is known as the lightest grey that reaches 4.5 on
    # white (4.54; from memory), #777777 falls short (4.48).
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast("#123456", "#123456") == 1.0
    assert contrast("#767676", "#FFFFFF") == pytest.approx(4.54, abs=0.005)  # two decimals are published
    assert contrast("#777777", "#FFFFFF") == pytest.approx(4.48, abs=0.005)
    assert luminance("#FF0000") == pytest.approx(0.2126)


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize("role", MEANING)
def test_text_and_lines_reach_4_5_on_ground_and_land(name: str, role: Role) -> None:
    colours = theme(name).colours
    grounds: tuple[Role, ...] = ("ground", "land")
    for ground in grounds:
        assert contrast(colours[role], colours[ground]) >= 4.5, (name, role, ground)


def test_background_stays_in_the_background() -> None:
    for value in THEMES.values():
        quiet = max(contrast(value.colours[role], value.colours["ground"]) for role in ("land", "coast", "graticule"))
        assert quiet < min(contrast(value.colours[role], value.colours["ground"]) for role in MEANING)


def _look(style: PenStyle) -> tuple[float, tuple[float, ...]]:
    return style.width_px, style.dash_px


@pytest.mark.parametrize("name", THEMES)
def test_kinds_of_lines_differ_without_colour(name: str) -> None:
    pens = theme(name).pens
    kinds: tuple[PenName, ...] = (
        "track",
        "circle",
        "line",
        "line_past",
        "origin",
        "stub",
        "ellipse95",
        "truth",
        "route",
    )
    for one, other in combinations(kinds, 2):
        a, b = _look(pens[one]), _look(pens[other])
        # A width counts as different from a fifth on, or where the dashes differ; the ellipse is closed as well.
        alike = a[1] == b[1] and max(a[0], b[0]) < 1.2 * min(a[0], b[0])
        assert not alike or "ellipse95" in (one, other), (one, other)


def test_each_sight_of_a_fix_has_its_own_dash() -> None:
    assert len(set(LINE_DASHES_PX)) == len(LINE_DASHES_PX) >= 6
    assert all(len(dash) % 2 == 0 for dash in LINE_DASHES_PX)


def test_scaled_theme_is_larger_throughout() -> None:
    plain, large = theme("paper"), theme("paper").scaled(1.5)
    assert large.pen("route").width_px == pytest.approx(1.5 * plain.pen("route").width_px)
    assert large.pen("route").dash_px == tuple(1.5 * length for length in plain.pen("route").dash_px)


def test_unknown_theme_names_those_there_are() -> None:
    with pytest.raises(ValueError, match=r"'sepia'.*paper, dim, red"):
        theme("sepia")
