"""Papers over the API: issued, frozen, fetched, withdrawn."""

import json

import pytest
from django.utils import timezone

from jobs.core import blobs
from jobs.domain.checks import SYSTEM
from jobs.domain.papers.issuing import RENDER, record_rendering
from jobs.log.commands import call_now
from jobs.models import OutboxMessage
from tests.api.client import head, refused
from tests.api.driving import Order
from tests.needs import needs
from tests.shop_fixtures import accept_bare
from tests.web.pages import Pages

pytestmark = pytest.mark.takes(11)

BYTES = b"%PDF-1.7 not a real one"


@pytest.fixture
def in_shop(api, accepted, number) -> str:
    Order(api, accepted).do("survey", "stock")
    api.put(f"commissions/{number}/price/", {"lines": [{"description": "Top", "unit_price": "900"}]})
    return number


@pytest.fixture
def checklist(api, in_shop) -> str:
    return str(api.post(f"commissions/{in_shop}/checklist/").data["paper"]["number"])


def rendered(paper: str) -> str:
    """Record a rendering as the worker does when a paper is ready; return its hash."""
    sha256 = blobs.store(BYTES)
    record_rendering(call_now(SYSTEM), paper=paper, sha256=sha256, size_bytes=len(BYTES))
    return sha256


def test_an_issued_paper_is_listed_and_shows_what_it_says(api, in_shop, checklist):
    year = timezone.localtime().year
    assert checklist == f"D{year}-0001"
    (listed,) = api.get("papers/").data["results"]
    assert (listed["number"], listed["standing"], listed["commission"]) == (
        checklist,
        "being prepared",
        in_shop,
    )
    shown = api.get(f"papers/{checklist}/").data["content"]
    assert shown["client"]["name"] == "Orla Fenwick"
    assert shown["pieces"][0]["thickness"]["in"] == '1 1/2"'


def test_issued_papers_do_not_follow_later_changes(api, client_id, checklist):
    before = api.get(f"papers/{checklist}/").data
    api.patch(f"clients/{client_id}/", {"name": "Somebody else"})
    assert api.get(f"papers/{checklist}/").data == before


@pytest.mark.parametrize("damage, says", [(None, "is missing"), (b"%PDF-1.7 other", "was altered")])
def test_a_missing_or_altered_file_is_said_and_never_sent(api, owner, checklist, damage, says):
    pages = Pages(owner)
    path = blobs.folder() / rendered(checklist)
    try:
        path.unlink() if damage is None else path.write_bytes(damage)
        answer = api.get(f"papers/{checklist}/pdf/", Accept="application/pdf")
        refused(answer, 404, "file-damaged")
        for words in (checklist, says, f"files/{path.name}"):
            assert words in answer.data["detail"]
        page = pages.get(f"/papers/{checklist}/pdf/", 404)
        assert "This file is damaged" in page.words and f"file of {checklist} {says}" in page.words
        commission = api.get(f"papers/{checklist}/").data["commission"]
        row = pages.get(f"/commissions/{commission}/money/").words
        assert ("Its file is missing." if damage is None else "Its file is damaged.") in row
        assert f"files/{path.name} back from a backup" in row and "Open PDF" not in row
    finally:
        path.unlink(missing_ok=True)


def test_a_file_that_is_being_prepared(api, checklist):
    answer = api.get(f"papers/{checklist}/pdf/", Accept="application/pdf")
    refused(answer, 503, "being-prepared")
    assert int(answer.headers["Retry-After"]) > 0
    OutboxMessage.objects.filter(kind=RENDER, subject=checklist).update(error="install libpango-1.0-0")
    answer = api.get(f"papers/{checklist}/pdf/")
    refused(answer, 503, "cannot-render")
    assert "install libpango-1.0-0" in answer.data["detail"]


@needs("weasyprint")
def test_a_draft_takes_no_number(api, maker_api, in_shop):
    before = head()
    for kind in ("delivery-checklist", "invoice"):
        answer = api.get(f"commissions/{in_shop}/draft/{kind}/", Accept="application/pdf")
        assert answer.content.startswith(b"%PDF-")
    refused(maker_api.get(f"commissions/{in_shop}/draft/invoice/"), 403, "forbidden", "kind")
    refused(api.get(f"commissions/{in_shop}/draft/receipt/"), 422, "invalid", "kind")
    client = api.get(f"commissions/{in_shop}/").data["client"]["id"]
    bare = api.post("commissions/", {"client": client, "title": "No price yet"}).data["commission"]["number"]
    before += 1
    refused(api.get(f"commissions/{bare}/draft/invoice/"), 409, "not-yet", "commission")
    assert head() == before


def test_the_file_is_served_with_its_hash(api, checklist):
    sha256 = rendered(checklist)
    answer = api.get(f"papers/{checklist}/pdf/", Accept="application/pdf")
    assert (answer.status_code, answer.content) == (200, BYTES)
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["ETag"] == f'"{sha256}"'
    again = api.get(f"papers/{checklist}/pdf/", If_None_Match=f'"{sha256}"')
    assert (again.status_code, again.content, again.headers["ETag"]) == (304, b"", f'"{sha256}"')
    assert api.get(f"papers/{checklist}/").data["standing"] == "issued"


def test_a_checklist_is_withdrawn_with_a_reason_and_keeps_its_file(api, in_shop, checklist):
    rendered(checklist)
    refused(api.post(f"papers/{checklist}/withdraw/", {"reason": " "}), 422, "invalid", "reason")
    withdrawn = api.post(f"papers/{checklist}/withdraw/", {"reason": "wrong van"})
    assert withdrawn.data["paper"]["standing"] == "withdrawn"
    assert api.get(f"papers/{checklist}/pdf/").content == BYTES
    refused(api.post(f"papers/{checklist}/withdraw/", {"reason": "again"}), 409, "already-done", "paper")
    assert api.post(f"commissions/{in_shop}/checklist/").status_code == 201


def test_an_invoice_is_the_owners(api, maker_api, in_shop):
    refused(maker_api.post(f"commissions/{in_shop}/invoice/"), 403, "forbidden")
    made = api.post(f"commissions/{in_shop}/invoice/")
    number = made.data["paper"]["number"]
    assert made.headers["Location"] == f"/api/v1/papers/{number}/"
    refused(maker_api.get(f"papers/{number}/"), 403, "forbidden", "paper")
    refused(maker_api.get(f"papers/{number}/pdf/"), 403, "forbidden", "paper")
    assert maker_api.get("papers/").data["results"] == []
    assert maker_api.get(f"commissions/{in_shop}/").data["papers"] == []
    refused(api.post(f"papers/{number}/withdraw/", {"reason": "typo"}), 409, "wrong-state", "paper")
    refused(maker_api.post(f"papers/{number}/credit/", {"reason": "typo"}), 403, "forbidden")
    note = api.post(f"papers/{number}/credit/", {"reason": "typo"})
    assert (note.status_code, note.data["paper"]["credits"]) == (201, number)
    assert api.get(f"papers/{number}/").data["standing"] == "credited"
    assert maker_api.get("papers/").data["results"] == []
    refused(api.post(f"papers/{number}/credit/", {"reason": "again"}), 409, "already-done", "paper")
    listed = api.get(f"papers/?kind=invoice&commission={in_shop}").data["results"]
    assert [p["number"] for p in listed] == [number]
    assert api.get("papers/?kind=delivery-checklist").data["results"] == []


def test_papers_that_cannot_be_issued(api, owner, number, piece):
    before = head()
    refused(api.post(f"commissions/{number}/checklist/"), 409, "wrong-state", "commission")
    refused(api.post(f"commissions/{number}/invoice/"), 409, "wrong-state", "commission")
    assert head() == before
    accept_bare(call_now(owner.id), commission=number)
    refused(api.post(f"commissions/{number}/invoice/"), 409, "not-yet", "commission")
    api.put(f"commissions/{number}/price/", {"lines": [{"description": "Top", "unit_price": "900"}]})
    refused(api.post(f"commissions/{number}/invoice/", {"due_on": "2001-01-01"}), 422, "invalid", "due_on")
    assert api.post(f"commissions/{number}/invoice/").status_code == 201
    answer = api.post(f"commissions/{number}/invoice/")
    refused(answer, 409, "already-done", "commission")
    assert answer.data["papers"]


def test_the_figures_of_an_invoice_are_those_it_froze(api, in_shop):
    paper = api.post(f"commissions/{in_shop}/invoice/").data["paper"]
    shown = api.get(f"papers/{paper['number']}/").data
    for name in ("net", "tax", "total", "paid_before", "due", "due_on", "currency"):
        assert shown["content"][name] == shown["invoice"][name] == paper["invoice"][name]
    assert json.dumps(shown["content"]["lines"][0]["amount"]) == '"900.00"'


def test_a_mistyped_payment_is_voided(api, maker_api, in_shop):
    paid = api.post(f"commissions/{in_shop}/payments/", {"amount": "801.00"}).data["commission"]
    at = f"payments/{paid['money']['payments'][0]['id']}"
    refused(maker_api.post(f"{at}/void/", {}), 403, "forbidden")
    receipt = api.post(f"{at}/receipt/", {}).data["paper"]["number"]
    refused(api.post(f"{at}/void/", {"seen_version": 1}), 409, "stale", "seen_version")
    money = api.post(f"{at}/void/", {"reason": "digits turned round"}).data["commission"]["money"]
    (payment,) = money["payments"]
    assert (money["summary"]["paid"], payment["void_reason"]) == ("0.00", "digits turned round")
    assert payment["voided_at"] and payment["voided_by"]
    assert api.get(f"papers/{receipt}/").data["standing"] == "void"
    refused(api.post(f"{at}/void/", {}), 409, "already-done", "payment")
    refused(api.post(f"{at}/receipt/", {}), 409, "wrong-state", "payment")
    refused(api.post("payments/7/void/", {}), 404, "not-found", "payment")
