"""A new commission: with client and first piece, and what is wrong beside its field."""

import re
from datetime import date
from decimal import Decimal

import pytest

from jobs.domain.workshop.commands import set_shop
from jobs.log.private_texts import read
from jobs.models import Client, Commission, Piece
from tests.shop_fixtures import Work, a_client
from tests.web.pages import Pages, head

NEW = {
    "name": "Orla Fenwick", "phone": "555 0142", "title": "Table for the loft", "promise_on": "2031-05-04",
    "notes": "ring the lower bell", "label": "Table top", "length": "6' 2\"", "width": "812 mm",
    "thickness": "1 3/4", "species": "Walnut",
}  # fmt: skip


def test_a_new_commission_with_client_and_first_piece(pages: Pages):
    page = pages.send("/commissions/new/", NEW)
    commission = Commission.objects.get()
    assert page.answer.url == f"/commissions/{commission.number}/"
    piece = commission.pieces.get()
    # 6' 2" is 74 in, 1 in = 203200 units of 1/8 µm; 812 mm = 812 x 8000
    assert (piece.inputs["length_len"], piece.inputs["width_len"]) == (74 * 203200, 812 * 8000)
    assert piece.inputs["species"] == "black walnut"
    assert commission.promise_on == date(2031, 5, 4) and read(commission.client.name_ref) == "Orla Fenwick"
    shown = pages.get(page.answer.url).words
    assert "Table for the loft" in shown and "ring the lower bell" in shown and '74"' in shown


def test_a_new_commission_of_a_known_client_without_a_piece(pages: Pages, work: Work):
    client = a_client(work.call())
    page = pages.send("/commissions/new/", {"client": str(client.id), "title": "Shelf"})
    assert Client.objects.count() == 1
    assert "Add a piece" in pages.get(page.answer.url).words


@pytest.mark.parametrize(
    "wrong, field, says",
    [
        ({"length": "-6"}, "length", "out of range"),
        ({"length": "6,2"}, "length", "decimal with a point"),
        ({"width": "99999"}, "width", "out of range"),
        ({"species": "unobtainium"}, "species", "unobtainium"),
        ({"quantity": "0"}, "quantity", "1 to 100"),
        ({"label": "", "title": ""}, "label", "needs a title"),
        ({"thickness": ""}, "thickness", "needs a thickness"),
        ({"name": ""}, "name", "needs a name"),
        ({"email": "orla"}, "email", "Not an e-mail address"),
        ({"promise_on": "soon"}, "promise_on", "valid date"),
        ({"waste_pct": "200"}, "waste_pct", "0 to 100"),
        ({"label": "half a cha\ufffd"}, "label", "broken characters"),
        ({"label": "NUL\x00"}, "label", "Null characters"),
        ({"route": "free-list", "stages": ""}, "stages", "needs"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_nothing_is_lost(
    pages: Pages, wrong: dict[str, str], field: str, says: str
):
    before = head()
    page = pages.send("/commissions/new/", {**NEW, **wrong}, status=422)
    assert says in page.errors[field]
    typed = page.form().typed
    assert {k: typed[k] for k in NEW if k not in wrong} == {k: v for k, v in NEW.items() if k not in wrong}
    assert head() == before and not Client.objects.exists(), "the client alone must not stay either"


def test_a_known_client_and_a_new_name_at_once_are_refused(pages: Pages, work: Work):
    client = a_client(work.call())
    page = pages.send("/commissions/new/", {**NEW, "client": str(client.id)}, status=422)
    assert "not both" in page.errors["client"]


def test_the_form_sent_twice_opens_one_commission(pages: Pages):
    form = pages.get("/commissions/new/").form()
    first, second = (pages.send_form("/commissions/new/", form, NEW) for _ in range(2))
    assert first.answer.url == second.answer.url
    assert (Commission.objects.count(), Client.objects.count(), Piece.objects.count()) == (1, 1, 1)


def test_figures_stand_there_while_typing_and_the_price_for_the_owner_only(
    pages: Pages, maker_pages: Pages, work: Work
):
    def asked(by: Pages, **typed: str) -> str:
        return by.post("/commissions/new/figures/", {**NEW, **typed}, 200).words

    def price(per_board_foot: str) -> Decimal:
        set_shop(work.call(), settings={"price_per_board_foot": per_board_foot})
        return Decimal(re.search(r"([\d,.]+) USD for materials", asked(pages))[1].replace(",", ""))

    once = price("8")
    before = head()
    assert "board ft in the top" in asked(pages) and "USD" not in asked(maker_pages)
    assert "width is typed" in asked(pages, width="") and "unobtainium" in asked(pages, species="unobtainium")
    assert head() == before
    assert once > 0 and price("16") == 2 * once
    set_shop(work.call(), settings={"stocked_thicknesses": ["4/4", "8/4"]})
    assert "thinner than asked" in asked(pages, thickness="1 3/4")
    assert "thinner than asked" not in asked(pages, thickness="1 5/8")


def test_two_clients_of_one_name_are_told_apart(pages: Pages, work: Work):
    for _ in range(2):
        a_client(work.call(), name="Orla Fenwick")
    page = pages.send("/commissions/new/", {**NEW, "name": "orla fenwick", "phone": ""}, status=422)
    assert "everal clients have this name" in page.errors["client"]
    pages.send("/commissions/new/", {**NEW, "name": "Orla Fenwick", "client": "new"})
    assert Client.objects.count() == 3
