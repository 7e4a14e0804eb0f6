"""The API of planning."""
