"""Finding the shipped files in a checkout; tests/setup/test_wheel.py does the same from a wheel."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from nightleg.resources import resource, scenario, scenarios

HOME = Path(__file__).resolve().parents[2]


def test_a_resource_is_found_in_the_checkout() -> None:
    assert resource("fonts", "OFL.txt") == HOME / "resources" / "fonts" / "OFL.txt"
    assert resource("fonts").is_dir()


@pytest.mark.parametrize("style", ["Regular", "Bold", "Italic", "BoldItalic"])
def test_the_typeface_travels_in_four_styles_with_its_licence(style: str) -> None:
    # OpenType fonts with PostScript outlines begin with this tag (OpenType specification, "Font file").
    assert resource("fonts", f"B612-{style}.otf").read_bytes()[:4] == b"OTTO"
    assert "SIL OPEN FONT LICENSE Version 1.1" in resource("fonts", "OFL.txt").read_text(encoding="utf-8")


def test_a_scenario_is_found_by_its_short_name() -> None:
    assert "demo" in scenarios()
    assert scenario("demo") == scenario("demo.flight.toml") == HOME / "scenarios" / "demo.flight.toml"


def test_what_is_not_there_is_named() -> None:
    with pytest.raises(FileNotFoundError, match=r"resources/fonts/Missing\.otf did not come with this installation"):
        resource("fonts", "Missing.otf")
    with pytest.raises(FileNotFoundError, match=r"no scenario 'dawn' is shipped; there are: .*demo"):
        scenario("dawn")


@pytest.mark.parametrize("parts", [("..", "pyproject.toml"), ("fonts", "..", "..", "app"), ("/etc/passwd",)])
def test_only_what_is_shipped_is_reached(parts: tuple[str, ...]) -> None:
    with pytest.raises(ValueError, match="is not a path inside resources/"):
        resource(*parts)


def test_looking_for_a_file_loads_neither_qt_nor_numpy() -> None:
    code = (
        "import sys, nightleg.resources; print(sorted({'PySide6', 'numpy', 'importlib.resources'} & set(sys.modules)))"
    )
    call = [sys.executable, "-c", code]
    answer = subprocess.run(call, cwd=HOME / "app", capture_output=True, text=True, check=True)
    assert answer.stdout == "[]\n"
