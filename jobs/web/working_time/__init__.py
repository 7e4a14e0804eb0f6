"""Pages of working time."""
