"""Leases: one process at a time does a task, and a dead process does not hold it for ever."""

import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta

from django.db.models import Q

from jobs.models import Lease


@contextmanager
def hold(name: str, *, now: datetime, length: timedelta) -> Iterator[str]:
    """Take a lease for the block; yield its holder's name, or an empty text where another has it.

    A lease that reaches further ahead than any length was written before the clock was set back. It counts as
    free.
    """
    Lease.objects.get_or_create(name=name, defaults={"until": now})
    free = Q(until__lte=now) | Q(until__gt=now + 2 * length)
    if not Lease.objects.filter(free, name=name).exists():  # a read does not queue to write
        yield ""
        return
    holder = secrets.token_hex(8)
    mine = Lease.objects.filter(free, name=name).update(holder=holder, until=now + length) == 1
    try:
        yield holder if mine else ""
    finally:
        if mine:
            Lease.objects.filter(name=name, holder=holder).update(holder="", until=now)


def renew(name: str, *, holder: str, until: datetime) -> bool:
    """Renew a lease; return whether this holder still had it."""
    return Lease.objects.filter(name=name, holder=holder).update(until=until) == 1
