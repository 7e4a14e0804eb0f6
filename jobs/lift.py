"""Old versions of events, lifted to today's form on read. What is hashed stays the stored form."""

from collections.abc import Callable
from typing import Any

CURRENT: dict[str, int] = {}
"""Newest version of each kind whose version is not 1."""

LIFTS: dict[tuple[str, int], Callable[[dict[str, Any]], dict[str, Any]]] = {}
"""(kind, version) -> the data one version newer."""


def current_version(kind: str) -> int:
    return CURRENT.get(kind, 1)


def lift(kind: str, version: int, data: dict[str, Any]) -> dict[str, Any]:
    """The data of a stored event in the newest form of its kind."""
    for step in range(version, current_version(kind)):
        data = LIFTS[(kind, step)](data)
    return data
