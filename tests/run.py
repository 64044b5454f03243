"""Run the tests: `python3 tests/run.py [ARGS]`; ARGS go to pytest, paths among them relative to the checkout."""

from __future__ import annotations

import sys
from pathlib import Path

HOME = Path(__file__).resolve().parents[1]


def main(arguments: list[str]) -> int:
    """Set up what is missing, the libraries the program is checked against included, then hand over to pytest."""
    sys.path.insert(0, str(HOME / "app"))
    from setup_environment import provided, start
    from system_libraries import provide_qt_libraries

    python = provided("test")
    provide_qt_libraries()
    return start(python, "-m", "pytest", *arguments, folder=HOME)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
