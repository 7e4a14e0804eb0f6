"""Reads shared by the doors: plain dictionaries of plain values, in a fixed number of queries."""
