"""Calendar feeds: their entries, the planned work in them, and how they are written."""
