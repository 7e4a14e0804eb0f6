"""Papers: what an issued paper froze, laid out as HTML and printed as PDF."""
