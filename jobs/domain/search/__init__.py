"""Find anything by what somebody remembers of it."""
