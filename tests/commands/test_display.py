"""Whether a window can be shown."""

from __future__ import annotations

import pytest

from nightleg.commands.display import missing_display


@pytest.mark.parametrize(
    ("environment", "word"),
    [
        ({}, "No display"),
        ({"DISPLAY": ""}, "No display"),
        ({"QT_QPA_PLATFORM": "xcb"}, "No display"),
        ({"DISPLAY": ":63999"}, "display :63999 does not answer"),
        ({"DISPLAY": "unix:63999.0"}, "does not answer"),
    ],
)
def test_no_window_here(environment: dict[str, str], word: str) -> None:
    assert word in (missing_display(environment, "linux") or "")


@pytest.mark.parametrize(
    ("environment", "system"),
    [
        ({"QT_QPA_PLATFORM": "offscreen"}, "linux"),
        ({"WAYLAND_DISPLAY": "wayland-0"}, "linux"),
        ({"DISPLAY": "far.example:0"}, "linux"),
        ({}, "darwin"),
        ({}, "win32"),
    ],
)
def test_a_window_can_be_tried(environment: dict[str, str], system: str) -> None:
    assert missing_display(environment, system) is None
