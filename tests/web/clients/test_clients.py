"""Clients: the list, one with its commissions, adding and changing."""

import pytest

from jobs.domain import lookups
from jobs.domain.clients.commands import change_client
from jobs.domain.overviews.commission import client_views
from jobs.log.private_texts import read
from jobs.models import Client, Event, Piece
from tests.shop_fixtures import Work, a_client
from tests.web.pages import Pages, head


def test_adding_a_client(pages: Pages):
    page = pages.send("/clients/new/", {"name": "Orla Fenwick", "email": "orla@fenwick.example"})
    assert page.answer.url == f"/clients/{Client.objects.get().id}/"
    assert (
        "Orla Fenwick" in pages.get("/clients/").words and "Orla Fenwick" in pages.get(page.answer.url).words
    )


@pytest.mark.parametrize(
    "typed, field",
    [
        ({"name": "  ", "phone": "555"}, "name"),
        ({"name": "Orla", "email": "orla at home", "phone": "555"}, "email"),
        ({"name": "x" * 201, "phone": "555"}, "name"),
    ],
)
def test_what_is_wrong_stands_beside_its_field(pages: Pages, typed: dict[str, str], field: str):
    before = head()
    page = pages.send("/clients/new/", typed, status=422)
    assert page.errors[field] and page.form().typed["phone"] == "555" and head() == before


def test_a_text_is_shown_as_text(pages: Pages):
    page = pages.send("/clients/new/", {"name": "<script>alert(1)</script>"})
    assert b"<script>alert" not in pages.get(page.answer.url).answer.content


def test_changing_writes_only_what_differs(pages: Pages):
    url = pages.send("/clients/new/", {"name": "Orla Fenwick", "phone": "555 0142"}).answer.url
    pages.send(url + "change/", {"name": "Orla Fenwick-Hale"})
    event = Event.objects.order_by("-seq").first()
    assert set(event.data) == {"client", "name"}
    client = Client.objects.get()
    assert (read(client.name_ref), read(client.phone_ref)) == ("Orla Fenwick-Hale", "555 0142")


def test_a_client_shows_its_commissions(pages: Pages, piece: Piece):
    page = pages.get(f"/clients/{piece.commission.client_id}/")
    assert f"/commissions/{piece.commission.number}/" in page.text and "Desk by the window" in page.words
    assert f"/commissions/new/?client={piece.commission.client_id}" in page.text


def test_a_new_commission_of_this_client_starts_with_it(pages: Pages, piece: Piece):
    key = str(piece.commission.client_id)
    assert pages.get(f"/commissions/new/?client={key}").form().typed["client"] == key


def test_a_maker_changes_name_and_telephone_and_no_address(pages: Pages, maker_pages: Pages, work: Work):
    client = a_client(work.call())
    change_client(work.call(), client=client.id, email="orla@fenwick.example")
    at = f"/clients/{client.id}/change/"
    page = maker_pages.get(at)
    assert "email" not in page.form().typed and "The owner changes e-mail" in page.words
    maker_pages.send(at, {"phone": "555 0199"})
    maker_pages.http.post(at, {**page.form().typed, "name": "Orla", "email": "me@elsewhere.example"})
    (view,) = client_views([lookups.client(client.id)])
    assert (view["phone"], view["email"]) == ("555 0199", "orla@fenwick.example")
    pages.send(at, {"email": "new@fenwick.example"})
    (view,) = client_views([lookups.client(client.id)])
    assert view["email"] == "new@fenwick.example"
