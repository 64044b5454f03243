"""Starting the window."""

from __future__ import annotations

import contextlib
import gc
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from nightleg.flight.errors import FlightError, visible
from nightleg.window.loading import load_qt

if TYPE_CHECKING:
    from nightleg.flight.document import Document
    from nightleg.window.documents.export import Writers
    from nightleg.window.documents.settings import Keeper
    from nightleg.window.main import MainWindow

DEMO = "demo"


def run(path: Path | None, writers: Writers | None = None) -> int:
    """Open the window with a flight file, or with the demo flight, and stay until it is closed.

    `writers` turn a solution into the text of a file; see there.
    Returns the exit code: 1 where the flight cannot be read or solved, which is then said on standard error.
    """
    from nightleg.flight.solve import Unsolvable
    from nightleg.window.documents.folders import recovery_folder, settings_folder
    from nightleg.window.documents.recovery import RecoveryFolder
    from nightleg.window.documents.remembered import restore
    from nightleg.window.documents.settings import NAME, Keeper

    try:
        held = document(path)
        load_qt()
        from PySide6.QtWidgets import QApplication

        application = QApplication.instance() or QApplication(["nightleg"])
        keeper = Keeper(settings_folder() / NAME)
        window = main_window(held, keeper, writers)
    except (FlightError, FileNotFoundError) as error:
        return _refuse(path, str(error))
    except Unsolvable as error:
        return _refuse(path, str(FlightError(error.problems)))
    window.keep_copies(RecoveryFolder(recovery_folder()))
    restore(window, keeper)
    window.show()
    window.welcome()
    board = window.canvas.board
    if board.is_laid:
        gc.enable()
    else:  # a start makes much that stays, and nothing that is worth collecting
        board.laid.connect(_started)
    return application.exec()


def _started() -> None:
    """What waited for the start to be over."""
    from nightleg.sky.kept import kept

    gc.freeze()
    gc.enable()
    if store := kept():
        store.write()


def document(path: Path | None) -> Document:
    """The flight of a file, or the demo flight, which belongs to no file. Raises FlightError, FileNotFoundError."""
    from nightleg.flight.read import parse_flight, read_flight
    from nightleg.resources import scenario

    return read_flight(path) if path is not None else parse_flight(scenario(DEMO).read_text(encoding="utf-8"))


def main_window(held: Document, keeper: Keeper | None = None, writers: Writers | None = None) -> MainWindow:
    """The window of a document, not shown yet. Needs a QApplication. Raises Unsolvable."""
    from PySide6.QtWidgets import QApplication

    from nightleg.chart import fonts
    from nightleg.window.fontscale import system_scale
    from nightleg.window.main import MainWindow
    from nightleg.window.session import Session

    fonts.load()
    QApplication.setApplicationDisplayName("Nightleg")
    if QApplication.style().name() != "fusion":  # setting it again would dress every widget there is anew
        QApplication.setStyle("Fusion")  # the one that looks the same everywhere
    QApplication.setFont(fonts.font(14.0 * system_scale()))
    return MainWindow(Session(held), keeper=keeper, writers=writers)


def _refuse(path: Path | None, message: str) -> int:
    name = "the demo flight" if path is None else visible(str(path), 300)
    lines = message.split("\n")
    told = f"{name}: {message}" if len(lines) == 1 else "\n  ".join([f"{name}:", *lines])
    if sys.stderr is not None:
        with contextlib.suppress(OSError, ValueError):  # a standard error that is gone is no matter
            sys.stderr.write(f"nightleg: {told}\n")
            sys.stderr.flush()
    return 1
