"""The log: its rows, columns, table, and what is edited, inserted and taken away in it."""
