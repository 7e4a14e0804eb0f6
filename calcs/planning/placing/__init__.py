"""Placing of tasks one cluster after another, on sets of slots kept as integers."""
