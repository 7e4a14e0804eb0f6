"""Find clients, commissions, pieces, papers, boards, supplies and notes by words or numbers.

Every word has to stand somewhere in what is found: in its number, its name or its words, whatever the case.
A payment reference finds the invoice that it names.
Private texts are asked row by row through their key, so the long texts of papers are never read.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import reduce
from operator import or_
from typing import Any

from django.db.models import Exists, Model, OuterRef, Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from jobs.core.errors import Invalid
from jobs.domain.overviews.papers import paper_states
from jobs.domain.papers.bank_details import number_of
from jobs.domain.quoting.offer_content import standing
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Board, Client, Commission, Note, Offer, Paper, Piece, PrivateText, Supply

LEAST, LONGEST, WORDS = 2, 80, 6
"""Letters to ask for, the longest question, and the most words of one."""
SHOWN, READ = 8, 40
"""Hits shown of a kind, and read of it: those that begin with the words come first."""
STANDINGS = {
    "draft": _("a draft"), "issued": _("with the client"), "accepted": _("accepted"),
    "declined": _("declined"), "expired": _("lapsed"),
}  # fmt: skip
Found = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Kind:
    """A kind of thing that is found: its rows, where its words stand, and what a hit shows.

    ``states`` words how rows stand, by their keys: closed, paid, expired.
    """

    name: str
    rows: Callable[[], QuerySet[Any]]
    columns: tuple[str, ...] = ()
    refs: tuple[str, ...] = ()
    key: str
    title: Callable[[Any, Texts], str]
    about: Callable[[Any, Texts], str]
    also: Callable[[Any], list[Model]] = lambda row: []
    states: Callable[[list[Any], date], Mapping[int, str]] = lambda rows, today: {}
    owners_only: bool = False


def words_of(question: str) -> list[str]:
    """Return the words of a question; refuse one that is too short or too long to ask."""
    asked = "".join(letter if letter.isprintable() else " " for letter in question).split()
    if len(question) > LONGEST or len(asked) > WORDS:
        allowed = f"up to {LONGEST} characters and {WORDS} words"
        raise Invalid("too much to look for", field="q", value=question[:LONGEST], allowed=allowed)
    if sum(map(len, asked)) < LEAST:
        raise Invalid(
            "too little to look for", field="q", value=question, allowed=f"at least {LEAST} letters"
        )
    return asked


def search(question: str, *, with_money: bool, today: date) -> list[Found]:
    """Return what is found, by kind; what is about money only where ``with_money``."""
    words = words_of(number_of(question) or question)
    asked = (kind for kind in KINDS if with_money or not kind.owners_only)
    groups = [_group(kind, words, with_money=with_money, today=today) for kind in asked]
    return [group for group in groups if group["hits"]]


def _group(kind: Kind, words: list[str], *, with_money: bool, today: date) -> Found:
    found = kind.rows()
    if kind.name == "paper" and not with_money:
        found = found.exclude(kind__in=Paper.MONEY)
    if kind.name == "note" and not with_money:
        found = found.filter(owner_only=False)
    for word in words:
        found = found.filter(_holds(kind, word))
    rows = list(found[:READ])
    texts = Texts(refs_of([other for row in rows for other in (row, *kind.also(row))]))
    hits = [
        (
            {
                "key": str(getattr(row, kind.key)), "title": kind.title(row, texts),
                "about": kind.about(row, texts),
            },
            row,
        )
        for row in rows
    ]  # fmt: skip
    first = words[0].casefold()
    hits.sort(key=lambda hit: not any(part.casefold().startswith(first) for part in _parts(hit[0])))
    states = kind.states([row for _hit, row in hits[:SHOWN]], today)
    shown = [{**hit, "state": states.get(row.id, "")} for hit, row in hits[:SHOWN]]
    return {"kind": kind.name, "hits": shown, "more": len(hits) > SHOWN}


def _parts(hit: Found) -> list[str]:
    return [*hit["title"].split(), *hit["about"].split(), *hit["about"].split("-")]


def _holds(kind: Kind, word: str) -> Q:
    """Return a filter for rows that hold a word in a column or in a private text."""
    columns = [Q(**{f"{column}__icontains": word}) for column in kind.columns]
    says = reduce(or_, (Q(text__icontains=form) for form in _forms(word)))
    texts = [Q(Exists(PrivateText.objects.filter(says, id=OuterRef(ref)))) for ref in kind.refs]
    return reduce(or_, [*columns, *texts])


def _forms(word: str) -> set[str]:
    """Return a word in the cases it may have: one of the databases compares those of plain letters only."""
    return {word} if word.isascii() else {word, word.lower(), word.upper(), word.capitalize()}


def _of_client(row: Client, texts: Texts) -> str:
    return " · ".join(filter(None, (texts[row.phone_ref], texts[row.email_ref], texts[row.city_ref])))


def _of_commission(row: Commission, texts: Texts) -> str:
    return f"{row.number} · {texts[row.client.name_ref]}"


def _of_piece(row: Piece, texts: Texts) -> str:
    return f"{row.number} · {texts[row.commission.title_ref]}"


def _of_paper(row: Paper, texts: Texts) -> str:
    said = row.kind.replace("-", " ")
    return f"{said} · {texts[row.commission.title_ref]}" if row.commission else said


def _of_offer(row: Offer, texts: Texts) -> str:
    how = standing(row, timezone.localdate())
    return f"{STANDINGS.get(how, how)} · {texts[row.commission.title_ref]}"


KINDS = (
    Kind(
        name="commission", key="number", columns=("number",),
        refs=("title_ref", "client__name_ref", "asks_for_ref"),
        rows=lambda: Commission.objects.select_related("client").order_by("-id"),
        title=lambda row, texts: texts[row.title_ref], about=_of_commission, also=lambda row: [row.client],
        states=lambda rows, today: {row.id: row.step for row in rows},
    ),
    Kind(
        name="client", key="id",
        refs=("name_ref", "email_ref", "phone_ref", "address_ref", "postcode_ref", "city_ref"),
        rows=lambda: Client.objects.order_by("-id"),
        title=lambda row, texts: texts[row.name_ref], about=_of_client,
    ),
    Kind(
        name="piece", key="number", columns=("number",), refs=("label_ref",),
        rows=lambda: Piece.objects.defer("inputs", "computed", "changed")
        .select_related("commission").order_by("-id"),
        title=lambda row, texts: texts[row.label_ref], about=_of_piece, also=lambda row: [row.commission],
    ),
    Kind(
        name="paper", key="number", columns=("number",),
        rows=lambda: Paper.objects.select_related("commission", "invoice").order_by("-id"),
        title=lambda row, texts: row.number, about=_of_paper,
        also=lambda row: [row.commission] if row.commission else [],
        states=lambda rows, today: paper_states(rows, today=today),
    ),
    Kind(
        name="offer", key="number", columns=("number",), owners_only=True,
        rows=lambda: Offer.objects.exclude(step=Offer.Step.SUPERSEDED).defer("basis")
        .select_related("commission").order_by("-id"),
        title=lambda row, texts: row.number, about=_of_offer, also=lambda row: [row.commission],
    ),
    Kind(
        name="board", key="number", columns=("number", "species"), refs=("note_ref",),
        rows=lambda: Board.objects.order_by("-number"),
        title=lambda row, texts: f"Board {row.number}",
        about=lambda row, texts: " · ".join(filter(None, (row.species, texts[row.note_ref]))),
    ),
    Kind(
        name="supply", key="id", columns=("lot",), refs=("name_ref",),
        rows=lambda: Supply.objects.filter(discarded_at=None).order_by("-id"),
        title=lambda row, texts: texts[row.name_ref], about=lambda row, texts: row.lot,
    ),
    Kind(
        name="note", key="id", columns=("title",), refs=("words_ref",),
        rows=lambda: Note.objects.filter(retired_at=None).order_by("-id"),
        title=lambda row, texts: texts[row.words_ref][:NOTE], about=lambda row, texts: row.title,
    ),
)  # fmt: skip
"""In the order in which they are shown."""
NOTE = 120
"""Letters shown of a note."""
