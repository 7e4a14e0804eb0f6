"""What can be promised, and what would change a promise."""
