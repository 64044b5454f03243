"""Start Nightleg: `python3 app/run.py [ARGS]`. The first start makes its own environment beside the checkout."""

from __future__ import annotations

import sys

from setup_environment import provided, start
from system_libraries import provide_qt_libraries

WITHOUT_QT = ("solve", "almanac")


def main(arguments: list[str]) -> int:
    """Set up what is missing, then hand over to the program."""
    python = provided()
    if draws(arguments):
        provide_qt_libraries()
    return start(python, "-m", "nightleg", *arguments)


def draws(arguments: list[str]) -> bool:
    """Whether this call may draw: all but the commands that only compute, and help."""
    computes = bool(arguments) and arguments[0] in WITHOUT_QT
    return not computes and not {"-h", "--help", "--version"}.intersection(arguments)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
