"""Every kind of paper, in every state, under every action: an answer or a refusal in a sentence."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from django.db import transaction

from jobs.core import blobs
from jobs.domain.papers.issuing import issue_work_paper
from jobs.domain.papers.kinds import paper_kinds, papers_of_work
from jobs.models import Client, Commission, OutboxMessage, Paper, Person
from jobs.models.papers import GONE
from tests.api.client import Api
from tests.shop_fixtures import Work
from tests.stories import a_long_story
from tests.web.pages import Page, Pages

PAGES = ("row/", "pdf/", "withdraw/", "credit/")
OF_API = ("", "pdf/", "withdraw/", "credit/")
REASON = {"reason": "printed by mistake"}


@pytest.fixture
def work(db: None) -> Work:
    """Return somebody at work in a shop with papers of all kinds, a few withdrawn or credited."""
    work = a_long_story()
    for kind in papers_of_work():
        if not Paper.objects.filter(kind=kind.key).exists():
            issue_work_paper(work.call(), kind=kind.key, commission="2026-005")
    assert set(Paper.objects.values_list("kind", flat=True)) == {kind.key for kind in paper_kinds()}
    return work


def rendered(work: Work) -> None:
    Paper.objects.update(file_sha256=blobs.store(b"%PDF-1.7"))


def failing(work: Work) -> None:
    OutboxMessage.objects.update(error="a face has no such letter")


def forgotten(work: Work) -> None:
    Paper.objects.update(frozen_ref=GONE)


def untouched(work: Work) -> None:
    """Check that nothing is rendered but one paper."""


@contextmanager
def rolled_back() -> Iterator[None]:
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def papers() -> list[Paper]:
    """Return one paper of each kind in force, and one that is not."""
    return list({(p.kind, bool(p.withdrawn_at), p.what): p for p in Paper.objects.order_by("id")}.values())


def may_say(paper: Paper, address: str, status: int) -> bool:
    return status < 500 or (status == 503 and address.endswith("/pdf/") and not paper.file_sha256)


@pytest.mark.parametrize("state", [untouched, rendered, failing, forgotten])
def test_every_action_on_every_paper_is_answered(work: Work, state: Callable[[Work], None]):
    state(work)
    maker = Person.objects.get(role="maker")
    for person in (work.by, maker, None) if state is untouched else (work.by,):
        for paper in papers():
            with rolled_back():
                on_pages(paper, Pages(person))
            with rolled_back():
                by_api(paper, Api(person))


def on_pages(paper: Paper, pages: Pages) -> None:
    pages.http.raise_request_exception = True
    for action in PAGES:
        path = f"/papers/{paper.number}/{action}"
        sent = {**REASON, "form_key": path, "form_seen": ""}
        for answer in (pages.http.get(path), pages.http.post(path, sent)):
            assert may_say(paper, path, answer.status_code), (paper.kind, path, answer.status_code)
            if answer.status_code in (403, 404, 409, 422):
                assert "<h1>" in answer.content.decode()


def by_api(paper: Paper, api: Api) -> None:
    api.http.raise_request_exception = True
    for action in OF_API:
        address = f"papers/{paper.number}/{action}"
        for answer in (api.get(address), api.post(address, REASON)):
            assert may_say(paper, address, answer.status_code), (paper.kind, address, answer.data)
            assert answer.status_code < 400 or answer.data["code"] != "internal"


def test_a_statement_leads_back_to_its_client(work: Work):
    statement = Paper.objects.get(kind=Paper.STATEMENT)
    back = f'href="/clients/{Client.objects.get(id=statement.client_id).id}/'
    pages = Pages(work.by)
    waits = pages.get(f"/papers/{statement.number}/pdf/", 503)
    assert back in waits.text
    assert "Statement of account" in waits.words and "Delivery checklist" not in waits.words
    for action, says in (("withdraw", "cannot be withdrawn"), ("credit", "is no invoice")):
        refused = pages.send(f"/papers/{statement.number}/{action}/", REASON, status=409)
        assert back in refused.text and says in refused.words


def test_an_invoice_whose_words_are_forgotten_cannot_be_credited(work: Work):
    invoice = Paper.objects.filter(kind=Paper.INVOICE, withdrawn_at=None).latest("id")
    forgotten(work)
    refused = Api(work.by).post(f"papers/{invoice.number}/credit/", REASON)
    assert (refused.status_code, refused.data["code"]) == (409, "wrong-state")
    assert "forgotten" in refused.data["detail"]
    page: Page = Pages(work.by).send(f"/papers/{invoice.number}/credit/", REASON, status=409)
    assert "forgotten" in page.words
    assert Commission.objects.get(id=invoice.commission_id).papers.filter(credits=invoice.number).count() == 0
