"""The data kept of a client: what erasure deletes, what the law retains, what blocks erasure."""

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from jobs.core.refs import FORGOTTEN_CLIENT, kept_in
from jobs.domain.billing.balances import accounts
from jobs.log.commands import all_events
from jobs.log.projections.clients import ClientAdded, ClientChanged
from jobs.log.projections.kinds import KINDS, file_of, payload_of
from jobs.models import Client, Commission, Event, Note, Paper, PrivateText
from jobs.models.bases import ROWS_PER_EVENT

NAMING = ("name", "email", "phone")
SHORTEST_NAME = 4
"""Letters; a shorter word of a name would match too many other words."""
OF_THE_SHOP = ("shop",)
KEPT = re.compile(r'\{"private":"([0-9a-f-]{36})","sha256":"[0-9a-f]{64}"\}')
"""The reference that ``store_private_text`` returns, as an event's body holds it."""


@dataclass(frozen=True, kw_only=True)
class Elsewhere:
    """An event of another stream whose texts name this client or were written at their piece.

    ``in_full`` is true where a whole name, address or number matches; false where one word of a name does.
    """

    seq: int
    kind: str
    stream: str
    words: str
    in_full: bool


def last_forgotten() -> int:
    """Return the number of the event that forgot the latest client, 0 where nobody was forgotten.

    Texts stored before that event may name the client.
    """
    newest = Client.objects.filter(name_ref=FORGOTTEN_CLIENT).order_by("-version").first()
    return newest.version if newest else 0


def numbers_of(client: Client) -> list[str]:
    return list(client.commissions.order_by("number").values_list("number", flat=True))


def events_of(client: Client) -> QuerySet[Event]:
    """Return every event of a client and of their commissions, in order."""
    streams = [f"client:{client.id}", *(f"commission:{number}" for number in numbers_of(client))]
    return Event.objects.filter(stream__in=streams).order_by("seq")


def naming_texts(client: Client) -> QuerySet[Event]:
    """Return the client's events that name a private text, without the columns that prove the chain."""
    found = events_of(client).filter(body__contains='{"private":')
    return found.only("seq", "kind", "version", "stream", "body")


def refs_in(events: Iterable[Event]) -> set[UUID]:
    """Return the ids of the private texts that these events name.

    The canonical text suffices: quotes inside a string would be escaped, and no upcast changes a ref.
    """
    return {UUID(ref) for event in events for ref in KEPT.findall(event.body)}


def texts_of(events: Iterable[Event]) -> QuerySet[PrivateText]:
    """Return the texts that these events name and that still exist."""
    return _existing(refs_in(events))


def _existing(refs: Collection[UUID]) -> QuerySet[PrivateText]:
    return PrivateText.objects.filter(id__in=refs)


def held(texts: QuerySet[PrivateText], today: date) -> QuerySet[PrivateText]:
    """Return the texts that the law retains on this day."""
    return texts.filter(hold_until__gte=today)


def free(texts: QuerySet[PrivateText], today: date) -> QuerySet[PrivateText]:
    """Return the texts that no retention holds any more."""
    return texts.filter(Q(hold_until=None) | Q(hold_until__lt=today))


def papers_of(client: Client) -> QuerySet[Paper]:
    return Paper.objects.filter(Q(commission__client=client) | Q(client=client)).order_by("id")


def pictures_in(events: Iterable[Event]) -> set[UUID]:
    """Return the ids of private texts that are names of picture files."""
    return {name for event in events if (name := file_of(event))}


def blockers(client: Client) -> list[str]:
    """Return what must end or be paid, by number, before a client can be forgotten."""
    commissions = list(client.commissions.order_by("number"))
    running = [
        _("%(number)s is %(step)s") % {"number": c.number, "step": _(c.step)}
        for c in commissions
        if c.step not in Commission.ENDED
    ]
    held = accounts(commissions)
    unpaid = [
        _("invoice %(number)s is not paid") % {"number": invoice.paper.number}
        for c in commissions
        for invoice in held[c.id].open_invoices
    ]
    return running + unpaid


def elsewhere(client: Client, own: Sequence[Event], mine: Collection[UUID] | None = None) -> list[Elsewhere]:
    """Return other events whose texts name this client, and notes written at the client's pieces.

    ``mine`` are the ids of the texts that the client's ``own`` events name, where they were read before.
    """
    mine, known = refs_in(own) if mine is None else mine, _known_as(own)
    in_full, naming = _any_of(known), _any_of(word for name in known for word in name.split())
    named = {
        text.id
        for text in PrivateText.objects.filter(hold_until=None).iterator(chunk_size=500)
        if text.id not in mine and naming.search(text.text)
    }
    found = {e.seq: e for e in (all_events() if named else ()) if refs_in([e]) & named}
    found |= {event.seq: event for event in _notes(client)}
    shown = PrivateText.objects.in_bulk(refs_in(found.values()) - pictures_in(found.values()))
    return [
        Elsewhere(
            seq=seq,
            kind=event.kind,
            stream=event.stream,
            words=words,
            in_full=in_full.search(words) is not None,
        )
        for seq, event in sorted(found.items())
        if event.stream not in OF_THE_SHOP
        and (words := "; ".join(shown[ref].text for ref in _in_order(event) if ref in shown))
    ]


def _known_as(own: Iterable[Event]) -> set[str]:
    """Return every name, e-mail address and telephone number that a client ever had."""
    about = [payload_of(event) for event in own if KINDS[event.kind].payload in (ClientAdded, ClientChanged)]
    refs = {ref for event in about for ref in event.given(*NAMING).values() if ref}
    return set(PrivateText.objects.filter(id__in=refs).values_list("text", flat=True))


def _any_of(parts: Iterable[str]) -> re.Pattern[str]:
    """Return a pattern that finds any of these as a whole word, in any case."""
    long = sorted({re.escape(part) for part in parts if len(part) >= SHORTEST_NAME})
    return re.compile(rf"(?<!\w)(?:{'|'.join(long) or '(?!)'})(?!\w)", re.IGNORECASE)


def _notes(client: Client) -> QuerySet[Event]:
    numbers = client.commissions.values_list("pieces__number", flat=True)
    seqs = [
        key // ROWS_PER_EVENT for key in Note.objects.filter(piece__in=numbers).values_list("id", flat=True)
    ]
    return Event.objects.filter(seq__in=seqs)


def _in_order(event: Event) -> Iterator[UUID]:
    return (UUID(kept["private"]) for kept in kept_in(event.data))


def preview(client: Client, *, today: date) -> dict[str, Any]:
    """Return what erasure would delete and what it would keep, for the page and the API."""
    own = list(naming_texts(client))
    mine = refs_in(own)
    texts = _existing(mine)
    stay = dict(held(texts, today).values_list("id", "hold_until"))
    papers = list(papers_of(client))
    return {
        "hindrances": blockers(client),
        "commissions": numbers_of(client),
        "texts": texts.count() - len(stay),
        "pictures": texts.filter(id__in=pictures_in(own)).count(),
        "papers": [p.number for p in papers if p.frozen_ref not in stay],
        "held": [{"number": p.number, "until": stay[p.frozen_ref]} for p in papers if p.frozen_ref in stay],
        "elsewhere": [vars(one) for one in elsewhere(client, own, mine)],
    }
