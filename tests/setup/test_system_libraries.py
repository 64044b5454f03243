"""Qt's system libraries: the list is that of the Qt installed; what is missing is installed, or named in one line."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

APP = Path(__file__).resolve().parents[2] / "app"

# What every Debian machine has, since its package manager links to it.
ALWAYS_THERE = ("linux-vdso", "/lib", "libc.", "libm.", "libdl.", "libpthread.", "librt.", "libstdc++.", "libgcc_s.")
DRAWN_WITH = ("lib/libQt6Gui.so.6", "lib/libQt6Widgets.so.6", "lib/libQt6Svg.so.6", "lib/libQt6OpenGLWidgets.so.6")
PLATFORMS = ("plugins/platforms/libqoffscreen.so", "plugins/platforms/libqxcb.so")


@pytest.fixture
def libraries() -> ModuleType:
    spec = importlib.util.spec_from_file_location("system_libraries", APP / "system_libraries.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def linked(file: str) -> dict[str, str]:
    """Names and paths of all libraries a file is linked to, directly or not, by the system's loader."""
    lines = subprocess.run(["ldd", file], capture_output=True, text=True, check=True).stdout.splitlines()
    words = [line.split() for line in lines]
    return {line[0]: line[2] if len(line) > 2 else line[0] for line in words if not line[0].startswith(ALWAYS_THERE)}


def test_the_list_covers_the_qt_that_is_installed(libraries: ModuleType) -> None:
    spec = importlib.util.find_spec("PySide6")
    assert spec is not None and spec.origin is not None
    qt = Path(spec.origin).parent / "Qt"
    if not sys.platform.startswith("linux"):
        assert libraries.missing_packages() == []
        return
    needed = {name: path for part in (*DRAWN_WITH, *PLATFORMS) for name, path in linked(str(qt / part)).items()}
    own = {name for name, path in needed.items() if Path(path).resolve().is_relative_to(qt.resolve())}
    listed = set(libraries.QT_LIBRARIES)
    brought_along = {name for library in listed & set(needed) for name in linked(needed[library])}
    assert len(own) >= 4
    assert set(needed) - own - listed - brought_along == set()


def test_nothing_is_missing_where_the_tests_run(libraries: ModuleType) -> None:
    assert libraries.missing_packages() == []
    assert libraries.provide_qt_libraries()


def test_without_root_it_says_in_one_line_what_to_install(
    libraries: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(os, "geteuid", lambda: 1000, raising=False)
    monkeypatch.setitem(libraries.QT_LIBRARIES, "libnobodyhasthis.so.7", "libnobodyhasthis7")
    assert not libraries.provide_qt_libraries()
    out, said = capsys.readouterr()
    assert out == ""
    assert said.count("\n") == 1
    assert said.endswith("apt-get install libnobodyhasthis7\n")


def test_as_root_it_says_so_and_installs_with_fresh_lists_where_they_were_missing(
    libraries: ModuleType, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    apt = tmp_path / "apt-get"
    # Like a bare machine's: nothing can be installed before the lists are there.
    apt.write_text(
        f'#!/bin/sh\ncd "{tmp_path}"\nfor word; do last=$word; done\n'
        'echo "$DEBIAN_FRONTEND $last" >> calls\n'
        'if [ "$last" = update ]; then touch lists; fi\n'
        "[ -e lists ]\n"
    )
    apt.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path), prepend=os.pathsep)
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(os, "geteuid", lambda: 0, raising=False)
    monkeypatch.setitem(libraries.QT_LIBRARIES, "libnobodyhasthis.so.7", "libnobodyhasthis7")
    assert libraries.provide_qt_libraries()
    assert capfd.readouterr() == ("", "nightleg: installing the Debian packages libnobodyhasthis7\n")
    calls = (tmp_path / "calls").read_text().splitlines()
    assert calls == ["noninteractive libnobodyhasthis7", "noninteractive update", "noninteractive libnobodyhasthis7"]
