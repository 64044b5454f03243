"""The sight form: body, time, reading, series, and what is typed of a sight."""
