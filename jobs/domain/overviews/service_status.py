"""The engine room: the state of the service behind the pages, for the owner."""

from datetime import datetime
from typing import Any

import redis
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.models import Count

from jobs.core import disk_space
from jobs.domain.overviews.service_health import (
    EXPORT,
    SWEEP,
    queue_length,
    reasons,
    silence_allowed,
    warnings,
    workers_seen,
)
from jobs.domain.routes import unusable
from jobs.log import clock_mark
from jobs.models import Delivery, Heartbeat, OutboxMessage, ReminderDue

Step = Delivery.Step


def engine_room(now: datetime) -> dict[str, Any]:
    """Return the state of the service; the broker's part is None where the broker does not answer."""
    beats = {beat.name: beat for beat in Heartbeat.objects.all()}
    steps = dict(Delivery.objects.values_list("step").annotate(n=Count("id")).order_by())
    effects = OutboxMessage.objects.filter(done_at=None)
    return {
        "now": now,
        "reasons": reasons(now),
        "unusable": unusable(),
        "warnings": warnings(),
        "clock_back": clock_mark.is_back(now),
        "room": disk_space.room(),
        "silence_allowed_s": int(silence_allowed().total_seconds()),
        "sweep": beats.get(SWEEP),
        "export": beats.get(EXPORT),
        "broker": _broker(now),
        "coming": ReminderDue.objects.filter(due_at__gt=now).count(),
        "sent": steps.get(Step.SENT, 0),
        "tried_again": steps.get(Step.FAILED, 0),
        "given_up": steps.get(Step.GIVEN_UP, 0),
        "effects_open": effects.count(),
        "effects_failed": list(effects.exclude(error="").order_by("next_at")[:10]),
        **_migrations(),
    }


def _broker(now: datetime) -> dict[str, Any] | None:
    try:
        waiting, taken = queue_length()
        return {"waiting": waiting, "taken": taken, "workers": workers_seen(now)}
    except redis.RedisError:
        return None


def _migrations() -> dict[str, int]:
    """Count the migrations that the database lacks."""
    executor = MigrationExecutor(connection)
    missing = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return {"migrations_missing": len(missing)}
