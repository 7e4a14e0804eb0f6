"""Who does what, and dates outside the shop."""
