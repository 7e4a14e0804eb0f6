"""Outbox dispatcher: claim, run and complete each message. Running it twice is safe."""

import logging
from datetime import datetime, timedelta

from django.utils import timezone

from jobs.core import blobs
from jobs.core.errors import AlreadyDone, reason_of
from jobs.documents.drawings import quote_drawings_pdf
from jobs.documents.prints import confirmation_pdf
from jobs.documents.render import data_to_send, render
from jobs.domain import lookups
from jobs.domain.checks import SYSTEM
from jobs.domain.clients import erasure_cleanup, paper_mail, update_mail
from jobs.domain.clients.erasure_commands import CLEAR_TRACES, REMOVE_FILE
from jobs.domain.clients.mailing import WillNever
from jobs.domain.clients.updates import SEND_UPDATE
from jobs.domain.climate.readings import ESTIMATE
from jobs.domain.commissions import followed_shop
from jobs.domain.papers.issuing import RENDER, record_rendering
from jobs.domain.papers.sending import SEND_PAPER, record_failure
from jobs.domain.pieces.shop_changes import FOLLOW_SHOP
from jobs.domain.planning import publishing
from jobs.domain.quoting.sending import ACCEPTED, QUOTE
from jobs.domain.reminders import projection
from jobs.domain.reminders.promise_risks import HELP_PROMISE, help_promise
from jobs.log.commands import CommandContext
from jobs.log.outbox import change, has_come, put_off, take
from jobs.models import OutboxMessage, PaperSending

FIRST_DELAY = timedelta(seconds=30)
MOST_AT_ONCE = 10
"""Messages per run: a task has a time limit, and the next sweep takes the rest."""

log = logging.getLogger(__name__)


def dispatch_outbox(now: datetime) -> int:
    """Run the due messages; return how many succeeded. A failure keeps its reason and is retried later."""
    due = OutboxMessage.objects.filter(has_come(now), done_at=None).order_by("next_at", "id")
    return sum(_do(effect, now) for effect in due[:MOST_AT_ONCE])


def _do(effect: OutboxMessage, now: datetime) -> bool:
    """Carry out one message; each record is made only where it was not asked for again meanwhile."""
    if not take(effect, now):
        return False
    try:
        DO[effect.kind](effect.subject, now)
    except WillNever as reason:
        change(effect, done_at=now, error=str(reason))
        return False
    except Exception as failed:
        log.warning("%s %s failed", effect.kind, effect.subject, exc_info=failed)
        put_off(effect, now, first=FIRST_DELAY, error=reason_of(failed))
        return False
    change(effect, done_at=now, error="")
    return True


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


def _send_paper(key: str, now: datetime) -> None:
    """Mail a paper with the drawings of its pieces; print it first where it has no file yet."""
    sending = paper_mail.sending_of(int(key))
    _render(sending.paper.number, now)
    drawings = quote_drawings_pdf(sending.paper) if sending.occasion == QUOTE else None
    try:
        paper_mail.send_paper(
            int(key), now, drawings=drawings, data=data_to_send(sending.paper),
            confirmation=_confirmation(sending),
        )  # fmt: skip
    except WillNever as reason:
        record_failure(CommandContext(by=SYSTEM, at=now, now=now), sending=int(key), why=str(reason))
        raise


def _confirmation(sending: PaperSending) -> bytes | None:
    """Return what was accepted, for the mail that says so."""
    if sending.occasion != ACCEPTED:
        return None
    offer = sending.paper.offers.get()
    return confirmation_pdf(offer.number, today=timezone.localtime(offer.decided_at).date())


def _remove_file(name: str, now: datetime) -> None:
    erasure_cleanup.remove_file(name)


def _clear_traces(about: str, now: datetime) -> None:
    erasure_cleanup.clear()


def _estimate(place: str, now: datetime) -> None:
    projection.estimate_clocked()
    publishing.ask()


def _follow_shop(what: str, now: datetime) -> None:
    followed_shop.follow_all(now)


DO = {
    RENDER: _render, SEND_UPDATE: _send_update, SEND_PAPER: _send_paper, REMOVE_FILE: _remove_file,
    CLEAR_TRACES: _clear_traces, ESTIMATE: _estimate, FOLLOW_SHOP: _follow_shop,
    HELP_PROMISE: help_promise,
}  # fmt: skip
"""The function for each kind of outbox message."""
