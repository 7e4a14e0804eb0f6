"""Published figures as CSV, each row with where it comes from."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

PRACTICE = "common practice, no source"
# Provenance words of the tables, as a reader sees them.
PROVENANCE = {
    "read": "read",
    "mixed": "partly read, partly worked out",
    "memory": "from memory",
    "practice": PRACTICE,
    "computed": "worked out",
}


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of ``name``.csv in this folder."""
    with (Path(__file__).parent / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return tuple(csv.DictReader(file))


def cite(source: str, provenance: str) -> str:
    """Return a source with its provenance, as results carry it.

    Examples
    --------
    >>> cite("Wood Handbook", "memory"), cite("", "practice")
    ('Wood Handbook (from memory)', 'common practice, no source')
    """
    mark = PROVENANCE.get(provenance, provenance)
    return f"{source} ({mark})" if source and mark else source or mark
