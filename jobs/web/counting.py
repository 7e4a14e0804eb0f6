"""Counting tries from outside, so that somebody who tries again and again is stopped for a while."""

import hashlib
import logging

from django.core.cache import cache

log = logging.getLogger(__name__)


def count_key(what: str, *who: str) -> str:
    """The name of a counter; whom it counts cannot be read from it."""
    return f"{what}:" + hashlib.sha256(" ".join(who).encode("utf-8")).hexdigest()


def counted(key: str, window_s: int) -> int:
    """Count a try before it is made, so that many at once are counted too."""
    try:
        cache.add(key, 0, window_s)
        return int(cache.incr(key))
    except Exception:  # the counter's server is away: people must still get in
        log.exception("tries cannot be counted")
        return 0


def so_far(key: str) -> int:
    """How many were counted, without counting."""
    try:
        return int(cache.get(key, 0))
    except Exception:
        log.exception("tries cannot be counted")
        return 0


def forget(key: str) -> None:
    """A success takes the count back."""
    try:
        cache.delete(key)
    except Exception:
        log.exception("tries cannot be forgotten")
