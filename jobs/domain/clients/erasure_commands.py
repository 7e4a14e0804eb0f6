"""Commands that forget a client: private texts are deleted, the log still verifies."""

from collections.abc import Iterable, Sequence
from typing import Any

from django.utils import timezone

from jobs.core.errors import Invalid, WrongState
from jobs.core.refs import FORGOTTEN_CLIENT
from jobs.domain import lookups
from jobs.domain.checks import SYSTEM, is_forgotten, refuse_if_forgotten
from jobs.domain.clients.erasure import (
    blockers,
    elsewhere,
    events_of,
    free,
    held,
    numbers_of,
    papers_of,
    pictures_in,
    texts_of,
)
from jobs.domain.papers.issuing import RENDER
from jobs.log.commands import CommandContext, CommandTransaction, command
from jobs.log.private_texts import read
from jobs.models import Client, ClientLink, ClientQuestion, Event, OutboxMessage, Paper

REMOVE_FILE, CLEAR_TRACES = "remove file", "clear traces"
"""Outbox messages: a file that nothing names any more; traces in mails, exports and database pages."""


@command
def forget_client(tx: CommandTransaction, /, *, client: int, confirm: str, also: Sequence[int] = ()) -> None:
    """Forget a client for good. ``confirm`` is their name or the number of one of their commissions.

    ``also`` are events of other streams that `erasure.elsewhere` found: their texts are deleted too. Texts
    that the law retains stay to their last day.
    """
    tx.require_owner("forgetting a client")
    found = lookups.client(client)
    tx.check_version(found.version, what="this client")
    refuse_if_forgotten(found)
    _refuse_unless_meant(found, confirm)
    if reasons := blockers(found):
        raise WrongState(
            "; ".join(reasons), field="client", value=client,
            allowed="a client whose commissions have ended and whose invoices are paid",
            extra={"hindrances": reasons},
        )  # fmt: skip
    for question in ClientQuestion.objects.filter(commission__client=found, settled_at=None):
        number = question.commission.number
        settled = {"commission": number, "question": question.id, "how": None}
        tx.append("question_settled", f"commission:{number}", settled)
    ClientLink.objects.filter(commission__in=numbers_of(found), revoked_at=None).update(
        revoked_at=tx.call.now
    )
    _let_go(tx, found, "client_forgotten", _chosen(found, also))


@command
def end_hold(tx: CommandTransaction, /, *, client: int) -> None:
    """Delete a forgotten client's texts whose retention has ended."""
    found = lookups.client(client)
    if not is_forgotten(found):
        raise WrongState("this client is known", field="client", value=client, allowed="a forgotten client")
    _let_go(tx, found, "client_hold_ended", [])


def end_holds(now: Any) -> int:
    """End the holds of every forgotten client with expired retention; return how many clients."""
    today = timezone.localtime(now).date()
    forgotten = Client.objects.filter(name_ref=FORGOTTEN_CLIENT).order_by("id")
    due = [client for client in forgotten if free(texts_of(events_of(client)), today).exists()]
    for client in due:
        end_hold(CommandContext(by=SYSTEM, at=now, now=now), client=client.id)
    return len(due)


def _refuse_unless_meant(client: Client, confirm: str) -> None:
    typed = confirm.strip().casefold()
    if typed not in {read(client.name_ref).casefold(), *numbers_of(client)}:
        allowed = "the client's name, or the number of a commission of theirs"
        raise Invalid("this is not their name", field="confirm", value=confirm[:80], allowed=allowed)


def _chosen(client: Client, also: Iterable[int]) -> list[Event]:
    known = {one.seq for one in elsewhere(client, list(events_of(client)))}
    for seq in also:
        if seq not in known:
            allowed = ", ".join(map(str, sorted(known))) or "none: they are named nowhere else"
            raise Invalid("no such event that names them", field="also", value=seq, allowed=allowed)
    return list(Event.objects.filter(seq__in=list(also)))


def _let_go(tx: CommandTransaction, client: Client, kind: str, others: list[Event]) -> None:
    """Append the erasure with numbers and counts, and delete the texts with their salts."""
    today = tx.call.day
    events = [*events_of(client), *others]
    texts = texts_of(events)
    going = free(texts, today)
    stay = held(texts, today)
    stays = set(stay.values_list("id", flat=True))
    papers = [p for p in papers_of(client) if not p.is_forgotten and p.frozen_ref not in stays]
    files = _files(going.filter(id__in=pictures_in(events)).values_list("text", flat=True), papers)
    numbers = [p.number for p in papers]
    data = {
        "client": client.id,
        "commissions": numbers_of(client),
        "papers": numbers,
        "texts": going.count(),
        "held": len(stays),
    }
    going.delete()
    OutboxMessage.objects.filter(kind=RENDER, subject__in=numbers, done_at=None).update(
        done_at=tx.call.now, error="what it says was forgotten"
    )
    tx.append(kind, f"client:{client.id}", data)
    for name in files:
        OutboxMessage.objects.filter(kind=REMOVE_FILE, subject=name).delete()
        tx.effect(REMOVE_FILE, name)
    tx.effect(CLEAR_TRACES, f"client:{client.id}:{tx.events[-1].seq}")


def _files(pictures: Iterable[str], papers: Iterable[Paper]) -> list[str]:
    return sorted({*pictures, *(p.file_sha256 for p in papers if p.file_sha256)})
