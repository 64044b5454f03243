"""The fix panel: shots, bars, trust, and what would explain a disagreement."""
