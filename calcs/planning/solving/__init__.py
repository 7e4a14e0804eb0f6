"""The planning problem in the solver: its model, large steps from a plan, what gives way."""
