"""The broker as a request sees it: one short try, and none for a while after a failure."""

import logging
import time

import redis
from celery import current_app
from django.conf import settings
from kombu.exceptions import OperationalError
from redis.backoff import NoBackoff
from redis.retry import Retry

LEFT_ALONE_S = 5.0
"""Seconds after a failure in which this process does not try the broker again."""
log = logging.getLogger(__name__)
_alone_until = 0.0


def is_left_alone() -> bool:
    """Return whether the broker failed a moment ago; another try would only cost time."""
    return time.monotonic() < _alone_until


def note_failure() -> None:
    """Record a failure, so that this process leaves the broker alone for a while."""
    global _alone_until
    _alone_until = time.monotonic() + LEFT_ALONE_S


def connection() -> redis.Redis:
    """Return a new connection that tries once."""
    patience = settings.BROKER_PATIENCE_S
    return redis.Redis.from_url(
        settings.REDIS_URL,
        socket_connect_timeout=patience,
        socket_timeout=patience,
        retry=Retry(NoBackoff(), 0),
    )


def wake(task: str) -> None:
    """Send a task that only wakes the worker; without the broker, the next sweep finds the work."""
    if is_left_alone():
        return
    try:
        current_app.send_task(task, retry=False)
    except (OperationalError, OSError, redis.RedisError) as away:
        note_failure()
        log.warning("the worker was not woken, the broker does not answer: %s", type(away).__name__)
