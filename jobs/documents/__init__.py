"""Papers: the frozen content of an issued paper, laid out as HTML and printed as PDF."""
