"""The flight form: legs, route, start, watch, sextant, grid; each field is a key of the flight."""
