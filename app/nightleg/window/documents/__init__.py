"""Documents of the window: opening, saving, recovery copies, exporting, printing, what is remembered."""
