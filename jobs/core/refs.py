"""References to private texts: id and salted hash in an event, the id alone in a state table."""

import uuid
from collections.abc import Iterator
from typing import Any

FORGOTTEN_CLIENT = uuid.UUID(int=0)
"""Reference to the name of a client who was forgotten."""


def ref(kept: dict[str, str] | None) -> uuid.UUID | None:
    """Return the id for a state row from the reference in an event."""
    return uuid.UUID(kept["private"]) if kept else None


def is_kept(data: dict[str, Any]) -> bool:
    """Return whether this part of an event's data is a reference to a private text."""
    return data.keys() == {"private", "sha256"}


def kept_in(data: Any) -> Iterator[dict[str, str]]:
    """Yield every reference to a private text in the data of an event, at any depth."""
    if isinstance(data, dict):
        if is_kept(data):
            yield data
        else:
            for inner in data.values():
                yield from kept_in(inner)
    elif isinstance(data, list):
        for inner in data:
            yield from kept_in(inner)
