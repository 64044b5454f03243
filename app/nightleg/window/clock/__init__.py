"""The flight clock: running, jumping, and the time line."""
