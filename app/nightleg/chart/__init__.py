"""The chart: what a solution looks like, painted with Qt on anything that Qt can paint on."""
