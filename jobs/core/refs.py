"""References to private texts: an id and a salted hash in an event, and the id alone in a state table."""

import uuid
from collections.abc import Iterator
from typing import Any

FORGOTTEN_CLIENT = uuid.UUID(int=0)
"""What stands in place of the private text of a name that is forgotten."""


def ref(kept: dict[str, str] | None) -> uuid.UUID | None:
    """The id a state row keeps, from what stands in an event."""
    return uuid.UUID(kept["private"]) if kept else None


def is_kept(data: dict[str, Any]) -> bool:
    """Whether this is what stands in an event in the place of a private text."""
    return data.keys() == {"private", "sha256"}


def kept_in(data: Any) -> Iterator[dict[str, str]]:
    """Every private text that the data of an event names, wherever it stands."""
    if isinstance(data, dict):
        if is_kept(data):
            yield data
        else:
            for inner in data.values():
                yield from kept_in(inner)
    elif isinstance(data, list):
        for inner in data:
            yield from kept_in(inner)
