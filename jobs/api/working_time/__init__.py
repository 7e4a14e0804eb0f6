"""The API of working time."""
