"""Settings that every test shares."""

from __future__ import annotations

import os

# Before anything imports Qt: tests draw in memory, on machines with a display as on those without.
os.environ["QT_QPA_PLATFORM"] = "offscreen"
