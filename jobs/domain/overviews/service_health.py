"""Heartbeats of worker and sweep, and the health of the service with its reasons."""

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from typing import Any

import redis
from django.conf import settings
from django.db import Error, connection
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.core import broker, disk_space
from jobs.domain.planning import publishing
from jobs.domain.routes import unusable
from jobs.log import clock_mark, database_damage
from jobs.models import Heartbeat

SWEEP, EXPORT = "sweep", "export"
WORKERS = "shop:worker:"
QUEUE, UNACKED = "celery", "unacked"
"""Celery's names for them in the broker."""
ENOUGH = timedelta(seconds=1)
_stopping = threading.Event()
"""Set once this worker is asked to end."""


def stop_soon() -> None:
    _stopping.set()


def is_stopping() -> bool:
    """Return whether this worker was asked to end; it then leaves further work to others."""
    return _stopping.is_set()


def silence_allowed() -> timedelta:
    """Return how long a sweep may be silent: three sweeps and half a minute."""
    return timedelta(seconds=3 * settings.SWEEP_SECONDS + 30)


@contextmanager
def record_sweep() -> Iterator[dict[str, Any]]:
    """Record that a sweep ran, with its result or error.

    Of several sweeps at once, those without work need not all write: one heartbeat in a second is enough.
    """
    said: dict[str, Any] = {}
    began = time.monotonic()
    try:
        yield said
    except Exception as broken:
        said["error"] = type(broken).__name__
        if database_damage.is_damage(broken):
            database_damage.note(str(broken))
        raise
    finally:
        now = timezone.now()
        clock_mark.look(now)
        fresh = Heartbeat.objects.filter(name=SWEEP, at__gt=now - ENOUGH, at__lte=now)
        if any(said.values()) or not fresh.exists():
            beat(SWEEP, now=now, said={**said, "ms": int((time.monotonic() - began) * 1000)})


def beat(name: str, *, now: datetime, said: dict[str, Any]) -> None:
    """Record that something happened; the new words replace the old ones."""
    Heartbeat.objects.update_or_create(name=name, defaults={"at": now, "said": said})


def worker_heartbeat(worker: str, now: datetime) -> None:
    """Record a worker's heartbeat in the broker, because it must not wait for the database."""
    with broker.connection() as asked:
        asked.set(WORKERS + worker, now.isoformat(), ex=int(silence_allowed().total_seconds()))


def reasons(now: datetime) -> list[str]:
    """Return why the service is not well; empty if it is. The texts hold no data of the shop."""
    sweep, found = None, []
    try:
        sweep = Heartbeat.objects.filter(name=SWEEP).first()
        found += clock_mark.reasons(now)
    except Error as raised:
        connection.close()
        if database_damage.is_damage(raised):
            database_damage.note(str(raised))
        else:
            found.append(_("the database does not answer"))
    found += _machine()
    try:
        workers = workers_seen(now)
    except redis.RedisError:
        return [*found, _("the broker does not answer")]
    if sweep is None:
        if found:
            return found
        return [_("no sweep has run yet")] if workers else [_("no sweep has run yet, and no worker was seen")]
    if "error" in sweep.said:
        found.append(_("the last sweep broke off: %(error)s") % {"error": sweep.said["error"]})
    return found + _silence(now - sweep.at, bool(workers))


def _silence(silent: timedelta, workers: bool) -> list[str]:
    """Return why sweeps are silent; a sweep ahead of a clock that was set back does not count."""
    if -silence_allowed() < silent < silence_allowed():
        return []
    why = (
        _("the worker is there, so beat sends nothing or sweeps hang") if workers else _("no worker is there")
    )
    if silent < timedelta(0):
        return [_("no sweep since the clock was set back: %(why)s") % {"why": why}]
    return [
        _("no sweep for %(total_seconds)s s: %(why)s")
        % {"total_seconds": int(silent.total_seconds()), "why": why}
    ]


def _machine() -> list[str]:
    """Return the defects of disk and database file."""
    found, left = [], disk_space.room()
    if left.is_reserve:
        found.append(
            _("the disk is nearly full, %(free)s free: pictures are refused; free some space now")
            % {"free": left.words}
        )
    if words := database_damage.noted():
        found.append(
            _(
                "the database is damaged, %(words)s: stop the service, copy the data folder aside, and put "
                "a backup of the database in its place; without one, export saves what can still be read"
            )
            % {"words": words}
        )
    return found


def warnings() -> list[str]:
    """Return what needs attention before it becomes a fault."""
    found, left = [], disk_space.room()
    if left.is_low and not left.is_reserve:
        found.append(
            _("the disk is filling up, %(free)s free: free some space before pictures are refused")
            % {"free": left.words}
        )
    if trouble := publishing.trouble():
        found.append(trouble)
    if bad := len(unusable()):
        found.append(
            ngettext(
                "%(bad)s route template cannot be used: the engine room names it and says why",
                "%(bad)s route templates cannot be used: the engine room names them and says why",
                bad,
            )
            % {"bad": bad}
        )
    return found


def workers_seen(now: datetime) -> dict[str, datetime]:
    """Return the workers with a recent heartbeat, and its time; a heartbeat from the future is ignored."""
    with broker.connection() as asked:
        keys = sorted(asked.scan_iter(WORKERS + "*", count=1000))
        values = asked.mget(keys) if keys else []
    pairs = zip(keys, values, strict=True)
    seen = {k.decode().removeprefix(WORKERS): datetime.fromisoformat(v.decode()) for k, v in pairs if v}
    return {name: at for name, at in seen.items() if at <= now + silence_allowed()}


def queue_length() -> tuple[int, int]:
    """Return how many tasks wait in the broker, and how many a worker has taken but not finished."""
    with broker.connection() as asked:
        return int(asked.llen(QUEUE)), int(asked.hlen(UNACKED))
