"""Counting tries from outside, so that somebody who tries again and again is stopped for a while."""

import hashlib
import logging
from collections.abc import Callable

from django.core.cache import cache
from django.http import HttpRequest

from jobs.core import broker
from jobs.core.errors import TooMany
from shop.proxies import counted_as

log = logging.getLogger(__name__)


def count_key(what: str, *who: str) -> str:
    """The name of a counter; whom it counts cannot be read from it."""
    return f"{what}:" + hashlib.sha256(" ".join(who).encode("utf-8")).hexdigest()


def address_of(request: HttpRequest) -> str:
    """Return what the sender's address is counted as."""
    return counted_as(str(request.META.get("REMOTE_ADDR", "")))


def refuse_if_many(key: str, *, most: int, window_s: int, words: str) -> None:
    """Count a try, and refuse it where there were too many within the window."""
    if counted(key, window_s) > most:
        raise TooMany(words, wait_s=window_s)


def counted(key: str, window_s: int) -> int:
    """Count a try before it is made, so that many at once are counted too."""

    def count() -> int:
        cache.add(key, 0, window_s)
        return int(cache.incr(key))

    return _of_the_cache(count)


def forget(key: str) -> None:
    """A success takes the count back."""
    _of_the_cache(lambda: int(cache.delete(key)))


def _of_the_cache(ask: Callable[[], int]) -> int:
    """Ask the counter's server, or return 0 while it is away: people must still get in."""
    if broker.is_left_alone():
        return 0
    try:
        return ask()
    except Exception as away:
        broker.note_failure()
        log.warning("tries cannot be counted: %s", type(away).__name__)
        return 0
