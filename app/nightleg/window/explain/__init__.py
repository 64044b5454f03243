"""How a number came about: asking, and the sheet that shows it."""
