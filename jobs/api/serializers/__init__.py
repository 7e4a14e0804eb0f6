"""Shapes of what comes in and goes out, one module per noun. They check shapes; rules are the commands'."""
