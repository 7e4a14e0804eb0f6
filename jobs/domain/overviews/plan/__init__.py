"""The published plan as people read it: with names, by day and person."""
