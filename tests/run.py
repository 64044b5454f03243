"""Run the tests: `python3 tests/run.py [ARGS]`; ARGS go to pytest, paths among them relative to the checkout.

Where no path is named all tests run, several at a time, and then the benches, which measure and so run alone.
`-n 0` among ARGS has everything run one after the other, in one process.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

HOME = Path(__file__).resolve().parents[1]
MOST = 8  # processes at a time
NOTHING_RAN = 5  # exit code of pytest: no test there was chosen, as when the benches, all slow, are left out


def main(arguments: list[str]) -> int:
    """Set up what is missing, the libraries the program is checked against included, then hand over to pytest."""
    sys.path.insert(0, str(HOME / "app"))
    from setup_environment import provided, run, start
    from system_libraries import provide_qt_libraries

    python = provided("test")
    provide_qt_libraries()
    if not for_all(arguments):
        return start(python, "-m", "pytest", *arguments, folder=HOME)
    several = ("-n", str(processes()), "--dist=worksteal", "--ignore=tests/bench")
    tests = run(python, "-m", "pytest", *several, *arguments, folder=HOME)
    if tests not in (0, NOTHING_RAN):
        return tests
    benches = run(python, "-m", "pytest", "tests/bench", *arguments, folder=HOME)
    return tests if benches == NOTHING_RAN else benches


def for_all(arguments: list[str]) -> bool:
    """Whether all tests are meant, to be run several at a time: no path is named, nor how many at a time."""
    if any(argument.startswith(("-n", "--numprocesses", "-p", "--pdb", "-h", "--help")) for argument in arguments):
        return False
    return not any((HOME / argument.split("::")[0]).exists() for argument in arguments if argument)


def processes() -> int:
    """As many as there are cores that this process may use."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return max(min(cores, MOST), 1)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
