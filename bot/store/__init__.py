"""SQLite through sqlite-utils: what was said, what is true, what is due, what must still be sent."""
