"""The REST door: JSON in, a command or a query, JSON out. Shapes are checked here, rules are not."""
