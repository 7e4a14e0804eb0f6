"""The shop's state as a planning problem: how long work takes, who does it, where, and what it waits for."""
