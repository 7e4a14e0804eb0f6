"""A new commission: with client and first piece, and what is wrong beside its field."""

import re
from datetime import date
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from jobs.domain.workshop.commands import set_shop
from jobs.log.private_texts import read
from jobs.models import Client, Commission, Picture, Piece
from tests.shop_fixtures import Work, a_client
from tests.stories import a_photo
from tests.web.pages import Pages, head

NEW = {
    "name": "Orla Fenwick", "asks_for": "A long table, with drawers if it can be", "phone": "555 0142",
    "title": "Table for the loft", "promise_on": "2031-05-04", "budget": "3,500", "heard": "the fair",
    "wanted_on": "2031-04-20",
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
    assert (commission.promise_on, commission.wanted_on) == (date(2031, 5, 4), date(2031, 4, 20))
    assert (commission.budget, commission.budget_currency) == (3500, "USD")
    assert read(commission.asks_for_ref) == NEW["asks_for"] and read(commission.heard_ref) == "the fair"
    assert read(commission.client.name_ref) == "Orla Fenwick"
    shown = pages.get(page.answer.url).words
    assert "Table for the loft" in shown and NEW["asks_for"] in shown
    assert '74"' in pages.get(f"{page.answer.url}piece/").words
    assert "ring the lower bell" in pages.get(f"{page.answer.url}history/").words


def test_a_new_commission_of_a_known_client_without_a_piece(pages: Pages, work: Work):
    client = a_client(work.call())
    page = pages.send("/commissions/new/", {"client": str(client.id), "title": "Shelf"})
    assert Client.objects.count() == 1
    assert "Add the piece" in pages.get(page.answer.url).words


def test_a_client_and_what_they_ask_for_are_enough(pages: Pages):
    page = pages.send("/commissions/new/", {"name": "Orla Fenwick", "asks_for": "Oak desk, 60 by 30"})
    commission = Commission.objects.get()
    assert read(commission.title_ref) == "Oak desk" and not commission.pieces.exists()
    assert "Oak desk, 60 by 30" in pages.get(page.answer.url).words


def test_a_piece_is_called_as_the_commission(pages: Pages):
    asked = {"name": "Orla Fenwick", "asks_for": "desk for the study. Dark, please"}
    pages.send(
        "/commissions/new/", {**asked, "length": "60", "width": "30", "thickness": "1", "species": "walnut"}
    )
    assert read(Piece.objects.get().label_ref) == "Desk for the study"


def test_pictures_are_kept_with_the_enquiry(pages: Pages):
    sent = [SimpleUploadedFile(f"{n}.jpg", a_photo("olive"), "image/jpeg") for n in range(2)]
    asked = {"name": "Orla Fenwick", "asks_for": "Desk"}
    page = pages.send("/commissions/new/", {**asked, "pictures": sent})
    number = Commission.objects.get().number
    assert list(Picture.objects.values_list("commission", "piece", "stage")) == [(number, "", "")] * 2
    for picture in Picture.objects.all():
        assert f"/pictures/{picture.id}/small.jpg" in pages.get(page.answer.url).text
    wrong = SimpleUploadedFile("x.jpg", b"no picture", "image/jpeg")
    page = pages.send("/commissions/new/", {**asked, "pictures": wrong}, status=422)
    assert "cannot be read" in page.errors["pictures"] and Commission.objects.count() == 1


def test_how_they_heard_of_us_is_suggested_again(pages: Pages):
    pages.send("/commissions/new/", NEW)
    assert '<option value="the fair">' in pages.get("/commissions/new/").text


@pytest.mark.parametrize(
    "wrong, field, says",
    [
        ({"length": "-6"}, "length", "out of range"),
        ({"length": "6,2"}, "length", "decimal with a point"),
        ({"width": "99999"}, "width", "out of range"),
        ({"species": "unobtainium"}, "species", "unobtainium"),
        ({"quantity": "0"}, "quantity", "1 to 100"),
        ({"label": "", "title": "", "asks_for": ""}, "asks_for", "or what they ask for"),
        ({"budget": "about 3000"}, "budget", "an amount such as"),
        ({"budget": "-5"}, "budget", "0 to 10000000"),
        ({"wanted_on": "spring"}, "wanted_on", "valid date"),
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
        return Decimal(re.search(r"Materials ([\d,.]+) USD", asked(pages))[1].replace(",", ""))

    once = price("8")
    before = head()
    assert "In the top" in asked(pages) and "USD" not in asked(maker_pages)
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
