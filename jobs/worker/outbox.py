"""Outbox dispatcher: claim, run and complete each message. Running it twice is safe."""

import logging
from datetime import datetime, timedelta

from django.db.models import F, Q, QuerySet

from jobs.core import blobs
from jobs.core.errors import AlreadyDone, reason_of
from jobs.documents.render import render
from jobs.domain import lookups
from jobs.domain.checks import SYSTEM
from jobs.domain.clients import erasure_cleanup, update_mail
from jobs.domain.clients.erasure_commands import CLEAR_TRACES, REMOVE_FILE
from jobs.domain.clients.updates import SEND_UPDATE
from jobs.domain.climate.readings import ESTIMATE
from jobs.domain.papers.issuing import RENDER, record_rendering
from jobs.domain.reminders import projection
from jobs.log.commands import CommandContext
from jobs.models import OutboxMessage

CLAIM = timedelta(minutes=2)
"""Duration of a claim: longer than a task may run, so that only a crash lets it lapse."""
FIRST_DELAY, LONGEST_DELAY = timedelta(seconds=30), timedelta(hours=1)
MOST_AT_ONCE = 10
"""Messages per run: a task has a time limit, and the next sweep takes the rest."""

log = logging.getLogger(__name__)


def dispatch_outbox(now: datetime) -> int:
    """Run the due messages; return how many succeeded. A failure keeps its reason and is retried later."""
    due = OutboxMessage.objects.filter(_is_due(now), done_at=None).order_by("next_at", "id")
    return sum(_do(effect, now) for effect in due[:MOST_AT_ONCE])


def _is_due(now: datetime) -> Q:
    """Return a filter for messages that are due.

    A message further ahead than any delay was queued before the clock was set back, so it counts as due.
    """
    return Q(next_at__lte=now) | Q(next_at__gt=now + LONGEST_DELAY)


def _do(effect: OutboxMessage, now: datetime) -> bool:
    if not _claim(effect, now):
        return False
    mine = OutboxMessage.objects.filter(id=effect.id, next_at=now + CLAIM)  # not if asked again
    try:
        DO[effect.kind](effect.subject, now)
    except update_mail.WillNever as reason:
        mine.update(done_at=now, error=str(reason))
        return False
    except Exception as failed:
        _put_off(effect, mine, now, failed)
        return False
    mine.update(done_at=now, error="")
    return True


def _claim(effect: OutboxMessage, now: datetime) -> bool:
    """Claim a message if its row is still as it was read; return whether this worker has it."""
    mine = OutboxMessage.objects.filter(id=effect.id, done_at=None, next_at=effect.next_at)
    return mine.update(next_at=now + CLAIM, tries=F("tries") + 1) == 1


def _put_off(effect: OutboxMessage, mine: QuerySet[OutboxMessage], now: datetime, failed: Exception) -> None:
    log.warning("%s %s failed", effect.kind, effect.subject, exc_info=failed)
    delay = min(FIRST_DELAY * 2 ** min(effect.tries, 10), LONGEST_DELAY)
    mine.update(next_at=now + delay, error=reason_of(failed))


def _render(number: str, now: datetime) -> None:
    paper = lookups.paper(number)
    if paper.file_sha256:
        return
    content = render(paper)
    name = blobs.store(content)
    call = CommandContext(by=SYSTEM, at=now, now=now)
    try:
        record_rendering(call, paper=number, sha256=name, size_bytes=len(content))
    except AlreadyDone:
        log.info("%s was rendered by another worker at the same moment", number)


def _send_update(key: str, now: datetime) -> None:
    update_mail.send_update(int(key), now)


def _remove_file(name: str, now: datetime) -> None:
    erasure_cleanup.remove_file(name)


def _clear_traces(about: str, now: datetime) -> None:
    erasure_cleanup.clear()


def _estimate(place: str, now: datetime) -> None:
    projection.estimate_clocked()


DO = {
    RENDER: _render, SEND_UPDATE: _send_update, REMOVE_FILE: _remove_file, CLEAR_TRACES: _clear_traces,
    ESTIMATE: _estimate,
}  # fmt: skip
"""The function for each kind of outbox message."""
