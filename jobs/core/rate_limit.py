"""Rate limits: they stop somebody who tries again and again for a while."""

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
    """Return the name of a counter; it does not reveal whom it counts."""
    return f"{what}:" + hashlib.sha256(" ".join(who).encode("utf-8")).hexdigest()


def address_of(request: HttpRequest) -> str:
    """Return the name under which the sender's address is counted."""
    return counted_as(str(request.META.get("REMOTE_ADDR", "")))


def refuse_if_many(key: str, *, most: int, window_s: int, words: str) -> None:
    """Count a try; refuse too many within the window [s]."""
    if counted(key, window_s) > most:
        raise TooMany(words, wait_s=window_s)


def counted(key: str, window_s: int) -> int:
    """Count a try before it is made, so that simultaneous tries count too; return the count."""

    def count() -> int:
        cache.add(key, 0, window_s)
        return int(cache.incr(key))

    return _of_the_cache(count)


def forget(key: str) -> None:
    """Reset a counter after a success."""
    _of_the_cache(lambda: int(cache.delete(key)))


def _of_the_cache(ask: Callable[[], int]) -> int:
    """Return the answer of the counter's server; 0 while it is away, so that people can still sign in."""
    if broker.is_left_alone():
        return 0
    try:
        return ask()
    except Exception as away:
        broker.note_failure()
        log.warning("tries cannot be counted: %s", type(away).__name__)
        return 0
