"""`python -m nightleg`: the same as the command `nightleg`."""

from __future__ import annotations

import sys

from nightleg.commands.main import process

if __name__ == "__main__":
    sys.exit(process())
