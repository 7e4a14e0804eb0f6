"""Drawing and sample on the client's page: shown, approved there, asked again where the piece changed."""

import pytest
from django.test import Client as Browser

from jobs.domain.clients.approvals import ask_approval
from jobs.domain.commissions.piece_commands import change_piece
from jobs.models import Approval, ClientLink, Event, Person, Piece
from tests.shop_fixtures import INCHES, Work
from tests.web.clients.page.visits import a_link, seen
from tests.web.pages import Page, Pages


@pytest.fixture
def asked(work: Work, piece: Piece) -> Piece:
    """Return a piece whose drawing and sample are with the client."""
    number = piece.commission.number
    ask_approval(work.call(), commission=number, drawings=[piece.number], samples=[piece.number])
    return piece


def ticked(page: Page) -> dict[str, list[str]]:
    """Return what a browser sends of the page as it stands: every box is ticked."""
    form = page.form("/approve/")
    boxes = [f"{one.id}:" for one in Approval.objects.all()]
    values = [part.split('"')[0] for part in page.text.split('name="approve" value="')[1:]]
    assert len(values) == len(boxes)
    return {**form.typed, "approve": values}


def test_the_drawing_is_approved_there_and_the_shop_sees_it_at_once(
    visitor: Browser, pages: Pages, asked: Piece, owner: Person
):
    link = a_link(asked, owner)
    assert "Drawing with client" in pages.get("/").words
    page = seen(visitor, link)
    assert "Is this what you want?" in page.words and 'data-view="plan"' in page.text
    assert "black walnut" in page.words.lower() and "eased edge" in page.words
    sent = ticked(page)
    assert [visitor.post(f"{link}approve/", sent).status_code for _ in range(2)] == [302, 302]
    events = Event.objects.filter(kind="client_approved")
    assert [event.data["link"] for event in events] == [ClientLink.objects.get(revoked_at=None).id] * 2
    after = seen(visitor, f"{link}?approved")
    assert "We have your yes" in after.words and "Is this what you want?" not in after.words
    bench = pages.get("/").words
    assert "approved the drawing" in bench and "Drawing with client" not in bench


def test_a_drawing_that_changed_since_is_not_approved(
    visitor: Browser, work: Work, asked: Piece, owner: Person
):
    link = a_link(asked, owner)
    sent = ticked(seen(visitor, link))
    change_piece(work.call(), piece=asked.number, units=INCHES, asked={"width": "24"})
    refused = Page(visitor.post(f"{link}approve/", sent))
    assert refused.status == 409 and "was changed after it was shown" in refused.words
    assert not Event.objects.filter(kind="client_approved").exists()
    assert "As it is drawn" not in refused.words and "drawing" not in refused.form("/approve/").typed


def test_nothing_is_approved_by_a_form_from_elsewhere_or_without_a_tick(
    visitor: Browser, asked: Piece, owner: Person
):
    link = a_link(asked, owner)
    sent = ticked(seen(visitor, link))
    assert visitor.post(f"{link}approve/", {**sent, "mark": "made-up"}).status_code == 403
    assert Page(visitor.post(f"{link}approve/", {**sent, "approve": []})).status == 422
    for broken in ("x", "7", "7:", "99999999999999999999:0"):
        assert visitor.post(f"{link}approve/", {**sent, "approve": [broken]}).status_code in (404, 409, 422)
    assert not Event.objects.filter(kind="client_approved").exists()


def test_nothing_is_asked_that_the_shop_did_not_send(visitor: Browser, piece: Piece, owner: Person):
    assert "Is this what you want?" not in seen(visitor, a_link(piece, owner)).words


def test_the_stage_shows_the_yes_and_needs_no_tick_for_it(
    visitor: Browser, pages: Pages, work: Work, asked: Piece, owner: Person
):
    stage = f"/pieces/{asked.number}/stages/survey/"
    work.start(asked, "survey")
    assert f"/commissions/{asked.commission.number}/client/approval/" in pages.get(stage).text
    link = a_link(asked, owner)
    visitor.post(f"{link}approve/", ticked(seen(visitor, link)))
    page = pages.get(stage)
    assert "Drawing approved by the client, yes of" in page.words
    typed = page.form("/finish/").typed
    assert typed["measured.drawing_approved"] == "yes" and "client/approval/" not in page.text
