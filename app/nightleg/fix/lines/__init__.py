"""Lines of position that are not altitudes: one module for each kind."""
