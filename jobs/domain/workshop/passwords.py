"""Password checks. A hash is expensive on purpose, so all processes together compute few at once."""

import fcntl
import os
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

from django.conf import settings
from django.contrib.auth import authenticate
from django.utils.translation import gettext as _

from jobs.core.errors import TooMany
from jobs.core.rate_limit import count_key, forget, refuse_if_many
from jobs.models import Person

LONGEST_WAIT_S = 4.0
MOST_WAITING = 2
"""Threads of this process that may wait for a turn; the others serve pages."""
MOST_CHECKS, WINDOW_S = 10, 15 * 60
_waiting = {known: threading.BoundedSemaphore(MOST_WAITING) for known in (False, True)}


def sign_in(username: str, password: str, *, known: bool) -> Person | None:
    """Return the person with this name and password. ``known``: the device has signed in before."""
    with _turn(known=known):
        found = authenticate(None, username=username, password=password)
    return found if isinstance(found, Person) else None


def is_present_password(person: Person, typed: str) -> bool:
    """Return whether a signed-in person typed their password; refuse after too many tries."""
    tries = count_key("password", person.id)
    words = _("Too many tries. Wait %(minutes)s minutes.") % {"minutes": WINDOW_S // 60}
    refuse_if_many(tries, most=MOST_CHECKS, window_s=WINDOW_S, words=words)
    with _turn(known=True):
        right = person.check_password(typed)
    if right:
        forget(tries)
    return right


@contextmanager
def _turn(*, known: bool) -> Iterator[None]:
    """Hold the single turn to hash, one for known devices and one for strangers; refuse when busy."""
    if not _waiting[known].acquire(blocking=False):
        raise _busy()
    try:
        turn = settings.DATA_DIR / "run" / f"hashing-{'known' if known else 'strangers'}"
        lock = os.open(turn, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            until = time.monotonic() + LONGEST_WAIT_S
            while not _taken(lock):
                if time.monotonic() > until:
                    raise _busy()
                time.sleep(0.02)
            yield
        finally:
            os.close(lock)
    finally:
        _waiting[known].release()


def _taken(lock: int) -> bool:
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _busy() -> TooMany:
    return TooMany(_("Many are signing in at this moment. Try again in a few seconds."), wait_s=5)
