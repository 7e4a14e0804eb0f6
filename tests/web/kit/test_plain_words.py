"""Texts for clients and makers: no raw names of fields, no marks of provenance, no seconds of work.

Every page of the long story is read, every paper that it issued, every draft, and its mails. The sources of
figures may stand in a fold (``class="sources"``), and at the end of a job sheet.
"""

import html
import json
import re
from collections.abc import Iterator
from datetime import datetime
from html.parser import HTMLParser
from itertools import chain
from typing import Any

import pytest
from django.urls import reverse
from django.utils.timezone import localtime

from calcs.asking.figure_wording import format_time
from calcs.asking.inputs import kinds_of
from calcs.catalogue import CALCULATIONS
from calcs.curing.laws import COAT_STEPS, GLUE_STEPS
from calcs.materials.product_sheets import Finish, Glue
from jobs.core.canonical_json import dumps
from jobs.core.errors import ShopError
from jobs.documents.render import offer_draft, render
from jobs.domain.papers.kinds import draft_content, drafted_kinds, paper_kind
from jobs.domain.papers.letterhead import heading
from jobs.domain.reminders.wording import Told, wording
from jobs.models import Commission, Offer, Paper, Piece, ReminderDue
from tests.documents.reading import words
from tests.needs import needs
from tests.shop_fixtures import Work
from tests.web.every_page import a_whole_shop
from tests.web.every_page import pages as addresses
from tests.web.pages import Pages

pytestmark = [needs("weasyprint"), pytest.mark.django_db, pytest.mark.takes(20)]
SOURCES = "Where the figures come from"
MARKS = re.compile(r"from memory|practice, no source|\(read\)|; read\b|read in quotations", re.I)
SECONDS_OF_WORK = re.compile(r"\b\d+ min \d+ s\b")
CLAUSES = re.compile(
    r"\b(29 CFR|EN \d{3,}|ISO \d{3,}|ASTM [A-Z]\d|NIOSH 94|HSE L23|BR-[A-Z0-9]|BT-\d|FPL-|k_def|Table \d)"
)
WORKERS = re.compile(r"celery|@[a-z0-9-]+\b(?!\.)")
ADDRESSES = re.compile(r"github\.com|readthedocs|PsychroLib|sizes\.com|djangoproject", re.I)
VOID = {"area", "base", "br", "col", "hr", "img", "input", "link", "meta", "source", "wbr"}
HIDDEN = {"script", "style", "head"}


def raw_names() -> set[str]:
    """Return the names of fields of sheets, inputs and figures that are no words: they have an underscore."""
    names = {
        *vars(Glue)["__dataclass_fields__"],
        *vars(Finish)["__dataclass_fields__"],
        *GLUE_STEPS,
        *COAT_STEPS,
    }
    for calculation in CALCULATIONS.values():
        names |= set(kinds_of(calculation.asked))
    for piece in Piece.objects.all():
        names |= set(piece.inputs)
        for kept in piece.computed.values():
            names |= set(kept.get("result", {})) | set(kept.get("inputs", {}))
        for stage in piece.stages.all():
            names |= {gate["key"] for gate in stage.spec["gates"]}
    return {name for name in names if "_" in name}


class Reader(HTMLParser):
    """The text of a page: ``front`` without the folds of sources, ``folded`` with what is in them."""

    def __init__(self) -> None:
        super().__init__()
        self.front: list[str] = []
        self.folded: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        given = {name: value or "" for name, value in attrs}
        for name in ("placeholder", "title", "aria-label", "alt"):
            self.front.append(given.get(name, ""))
        if tag not in VOID:
            kind = "sources" if "sources" in given.get("class", "").split() else tag
            self.open.append(kind)

    def handle_endtag(self, tag: str) -> None:
        if tag not in VOID and self.open:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        if HIDDEN & set(self.open):
            return
        (self.folded if "sources" in self.open else self.front).append(data)


def read(page: str) -> tuple[str, str]:
    reader = Reader()
    reader.feed(page)
    front, folded = (" ".join(" ".join(parts).split()) for parts in (reader.front, reader.folded))
    return html.unescape(front), html.unescape(folded)


def wrong(text: str, names: set[str], *, may_tell_sources: bool = False) -> list[str]:
    """Return everything in a text that nobody should have to read."""
    keys = [word for word in re.findall(r"\b[a-z]+(?:_[a-z0-9]+)+\b", text) if word in names]
    patterns = [WORKERS, ADDRESSES] + ([] if may_tell_sources else [MARKS, SECONDS_OF_WORK, CLAUSES])
    found = [text[max(0, m.start() - 30) : m.end() + 20] for p in patterns for m in p.finditer(text)]
    return [*keys, *found]


def papers(now: datetime) -> Iterator[tuple[str, str]]:
    """Yield every issued paper and every draft of one, with its words.

    Most drafts are read as they are laid out, which says the same and prints nothing.
    """
    for paper in Paper.objects.all():
        yield paper.number, words(render(paper))
    for offer in Offer.objects.all():
        yield f"draft of {offer.id}", words(offer_draft(offer))
    for commission in Commission.objects.order_by("number"):
        for kind in drafted_kinds():
            try:
                content = draft_content(kind, commission, localtime(now).date())
            except ShopError:
                continue  # nothing to draft: no price, no piece
            unissued = {"number": "", "kind": kind, "issued_on": None}
            frozen = json.loads(dumps({**heading(commission), **content, **unissued}))
            yield f"{commission.number} {kind}", " ".join(read(paper_kind(kind).layout(frozen)))


def prints(owner: Pages) -> Iterator[tuple[str, str]]:
    """Yield the prints that are not stored."""
    piece = Piece.objects.latest("id").number
    for name, of in (("shopping-print", []), ("piece-label", [piece])):
        answer = owner.http.get(reverse(f"web:{name}", args=of))
        assert answer.headers["Content-Type"] == "application/pdf", name
        yield name, words(b"".join(answer) if answer.streaming else answer.content)


def test_no_page_and_no_paper_shows_what_only_a_machine_or_a_checker_reads():
    work = a_whole_shop()
    names = raw_names()
    assert {"spread_g_m2", "open_s", "recoat_from", "milled_thickness"} <= names
    owner = Pages(work.by)
    bad: dict[str, list[str]] = {}
    told = []
    for name, paths in addresses(work.by).items():
        for path in paths:
            front, folded = read(owner.http.get(path).content.decode("utf-8"))
            told.append(folded)
            found = wrong(front, names) + wrong(folded, names, may_tell_sources=True)
            if name == "client-page":
                found += wrong(folded, names)
            if found:
                bad[path] = found
    seen = 0
    for name, text in chain(papers(work.now), prints(owner), mails(work)):
        front, _, sources = text.partition(SOURCES)
        assert not sources or name[0] == "J" or "job-sheet" in name
        found = wrong(front, names) + wrong(sources, names, may_tell_sources=True)
        if found:
            bad[name] = found
        seen += 1
    assert seen > 15
    assert not bad, "\n".join(f"{name}: {found}" for name, found in bad.items())
    behind = " ".join(told)
    assert "from memory" in behind and "practice, no source" in behind, (
        "marks reach the maker where sources are told"
    )


def mails(work: Work) -> Iterator[tuple[str, str]]:
    """Yield the mails of every wait, and of rags and dust."""
    due = list(ReminderDue.objects.filter(person=work.by.id).exclude(wait=None, task=None))
    assert {each.task is None for each in due} == {True, False}
    for each in due:
        mail = wording(work.by, [Told(due=each, late=False)], now=work.now)
        yield f"mail {each.kind}", f"{mail.subject} {mail.text} {mail.brief}".replace(work.by.email, "")


def test_a_refusal_names_the_steps_of_a_sheet_as_they_are_typed(pages: Pages, piece: Piece):
    typed = {"points": "soon, 60 F, 2 h\nsoon, 80 F, 1 h"}
    page = pages.send("/sheets/finish/quick-finish/", typed, status=422)
    assert "recoat from" in page.errors["points"] and "_" not in page.errors["points"]
    typed = {"points": "recoat from, 60 F, 2 h\nrecoat from, 80 F, 1 h"}
    pages.send("/sheets/finish/quick-finish/", typed)
    assert "recoat from, 60 °F, 2 h" in pages.get("/sheets/finish/quick-finish/").text


@pytest.mark.parametrize(
    ("seconds", "says"),
    [(3267, "about 55 min"), (125 * 60, "about 2 h"), (170 * 60, "about 3 h"), (100, "about 2 min")],
)
def test_minutes_of_work_are_told_as_the_estimates_they_are(seconds, says):
    assert format_time("all_s", seconds) == says
