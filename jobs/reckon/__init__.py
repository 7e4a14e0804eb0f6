"""The calculations of a piece, each from what was asked of it, the shop's settings and its equipment."""
