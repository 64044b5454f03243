"""The form of other lines and readings: its kinds, what is typed of them, and filing it."""
