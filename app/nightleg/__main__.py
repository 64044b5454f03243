"""`python -m nightleg`: the same as the command `nightleg`."""

from __future__ import annotations

import sys

from nightleg.commands.main import main

if __name__ == "__main__":
    sys.exit(main())
