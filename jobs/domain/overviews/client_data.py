"""A client's data as one archive to hand over: data, papers, pictures."""

import json
import tempfile
import zipfile
from collections.abc import Iterable
from datetime import date, datetime
from typing import IO, Any
from uuid import UUID

from django.utils import timezone

from jobs.core import blobs
from jobs.core.canonical_json import time_text
from jobs.core.refs import is_kept, kept_in
from jobs.domain.clients.approvals import approvals_of
from jobs.domain.clients.erasure import events_of, papers_of
from jobs.domain.clients.updates import question_views, update_views
from jobs.domain.notes.picture_queries import WordedPicture, picture_views, with_words
from jobs.domain.overviews.client_portal import client_page
from jobs.domain.overviews.commission import client_views, commission_view
from jobs.domain.quoting.queries import offer_view
from jobs.log.private_texts import FORGOTTEN, Texts
from jobs.models import Client, ClientQuestion, ClientUpdate, Commission, Event

ABOUT = """Everything this shop keeps of {name}, as of {day}.

client.json       name, address and the like
commissions.json  each commission with its pieces, prices, payments, quotes, news, questions, approvals, and
                  the diary as its page shows it
history.json      every entry about it in the shop's log, with the words that were written
papers/           papers as they were issued (PDF)
pictures/         pictures of the work and of what was asked for; their words are in commissions.json
"""


def client_file(client: Client, *, now: datetime) -> IO[bytes]:
    """Return the archive as an open temporary file at its start; the caller closes it."""
    out = tempfile.TemporaryFile()  # noqa: SIM115
    _write(out, client, now)
    out.seek(0)
    return out


def _write(out: IO[bytes], client: Client, now: datetime) -> None:
    view = client_views([client])[0]
    commissions = list(client.commissions.select_related("client").order_by("number"))
    pictures = _pictures(commissions)
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        about = ABOUT.format(name=view["name"], day=f"{timezone.localtime(now):%Y-%m-%d}")
        archive.writestr("READ-ME.txt", about)
        _json(archive, "client.json", view)
        told = [_commission(c, pictures, now) for c in commissions]
        _json(archive, "commissions.json", told)
        _json(archive, "history.json", history(events_of(client)))
        for paper in papers_of(client):
            if paper.file_sha256:
                content = blobs.load(paper.file_sha256, of=paper.number)
                archive.writestr(f"papers/{paper.number}.pdf", content)
        names = Texts(p.picture_ref for p in pictures)
        for picture in pictures:
            if names[picture.picture_ref] != FORGOTTEN:
                archive.writestr(f"pictures/{picture.id}.jpg", blobs.load(names[picture.picture_ref]))


def _pictures(commissions: Iterable[Commission]) -> list[WordedPicture]:
    """Return every picture of the commissions, removed ones too."""
    return list(with_words().filter(commission__in=[c.number for c in commissions]))


def _commission(commission: Commission, pictures: list[WordedPicture], now: datetime) -> dict[str, Any]:
    mine = [p for p in pictures if p.commission == commission.number]
    questions = ClientQuestion.objects.filter(commission=commission).select_related("commission")
    return {
        **commission_view(commission, now=now, with_money=True),
        "offers": [
            offer_view(one, today=timezone.localtime(now).date())
            for one in commission.offers.select_related("commission", "paper")
        ],
        "news": update_views(ClientUpdate.objects.filter(commission=commission)),
        "questions": question_views(questions),
        "approvals": approvals_of(commission),
        "pictures": picture_views(mine),
        "diary": client_page(commission, now=now)["days"],
    }


def history(events: Iterable[Event]) -> list[dict[str, Any]]:
    """Return events as logged, with each private text in place of its ref."""
    events = list(events)
    texts = Texts(UUID(kept["private"]) for event in events for kept in kept_in(event.data))
    return [
        {
            "seq": event.seq,
            "at": time_text(event.occurred_at),
            "by": event.actor,
            "what": event.kind,
            "data": _told(event.data, texts),
        }
        for event in events
    ]


def _told(data: Any, texts: Texts) -> Any:
    if isinstance(data, dict):
        if is_kept(data):
            return texts[UUID(data["private"])]
        return {name: _told(inner, texts) for name, inner in data.items()}
    return [_told(inner, texts) for inner in data] if isinstance(data, list) else data


def _json(archive: zipfile.ZipFile, name: str, content: Any) -> None:
    archive.writestr(name, json.dumps(content, indent=1, ensure_ascii=False, default=_plain))


def _plain(value: Any) -> str:
    return value.isoformat() if isinstance(value, date) else str(value)
