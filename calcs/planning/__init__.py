"""Planning of work over calendar time: tasks, waits, people, clamps and places. No clock, no database."""
