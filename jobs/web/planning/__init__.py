"""Pages of dates outside the shop, the days ahead, and who does what."""
