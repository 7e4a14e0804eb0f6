"""Quotes and change orders on the owner's pages."""

import re
from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.template.loader import render_to_string
from PIL import Image

from calcs.joints import joiners
from jobs.domain.pieces.bill_of_materials import HARDWARE
from jobs.domain.stock.product_sheets import newest
from jobs.domain.workshop.accounts import change_person
from jobs.domain.workshop.commands import set_shop
from jobs.management.demo import load_story
from jobs.models import Commission, Offer, Paper, Person, Picture, Piece
from tests.shop_fixtures import Work, a_client, a_commission, a_piece
from tests.web.pages import Page, Pages, by_hand, head

pytestmark = pytest.mark.django_db


@pytest.fixture
def piece(work: Work) -> Piece:
    rates = {"hourly_rate": "60", "tax_pct": "19", "lumber_prices": "white oak: 8\nblack walnut: 14.50"}
    set_shop(work.call(), settings=rates)
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())), species="white oak")


def choose(pages: Pages, path: str, picked: str) -> Any:
    """Press "Add a choice" on the page that writes a quote; return the form as it comes back."""
    form = pages.get(path).form()
    return pages.post(path, {**form.typed, "choice": picked, "do": "choice"}, 200).form()


def send_page(pages: Pages, path: str, form: Any, typed: dict[str, str], do: str, status: int = 302) -> Any:
    return pages.post(path, {**form.typed, **typed, "do": do}, status)


def the_quote(pages: Pages, number: str, typed: dict[str, str] | None = None, do: str = "keep") -> str:
    """Write a quote as proposed with this typed; return the address of its page."""
    path = f"/commissions/{number}/quote/"
    send_page(pages, path, pages.get(path).form(), typed or {}, do)
    return f"/offers/{number}-Q1/"


def priced(pages: Pages, number: str, hours: dict[str, str]) -> Any:
    """Type hours into a new quote and add it up; return the form with the price that follows."""
    path = f"/commissions/{number}/quote/"
    form = pages.get(path).form()
    return pages.post(path, {**form.typed, **hours, "do": "update"}, 200).form()


def test_a_quote_is_proposed_edited_sent_revised_and_accepted(pages: Pages, work: Work, piece: Piece):
    number = piece.commission.number
    assert "Write the quote" in pages.get(f"/commissions/{number}/").words
    path, at = f"/commissions/{number}/quote/", f"/offers/{number}-Q1/"
    form = priced(pages, number, {f"hours/{piece.number}": "20"})
    assert float(form.typed["lines/0/unit_price"]) > 1200
    assert form.typed["lines/0/description"].startswith("Desk top\n60")
    walnut = {**form.typed, "choice": f"species/{piece.number}/black walnut", "do": "choice"}
    form = pages.post(path, walnut, 200).form()
    assert float(form.typed["choices/0/difference"]) > 0
    typed = {"lines/0/unit_price": "2000", "words": "As we talked it over", "to": "orla@fenwick.example"}
    send_page(pages, path, form, typed, "send")
    words = pages.get(at).words
    assert "Waiting for the client since" in words and "on its way to orla@fenwick.example" in words
    assert Commission.objects.get().step == "quoted" and Paper.objects.get().kind == "quote"
    rewrite = pages.get(f"{at}write/").form()
    send_page(pages, f"{at}write/", rewrite, {"lines/0/unit_price": "2100"}, "keep")
    assert "To version 1" in pages.get(at).words
    stale = pages.get(at).form("/1/accept/")
    pages.send(at, to="/send/")
    before = head()
    told = pages.send_form(at, stale, {}, status=409)
    assert "version 2 is the newest" in told.words or "changed since it was last seen" in told.words
    assert head() == before
    pages.send(at, {"chosen": "1", "name": "Orla Fenwick"}, to="/2/accept/")
    assert Commission.objects.get().step == "accepted"
    assert Paper.objects.get(what="deposit").invoice.total > 1249
    shown = pages.get(f"/commissions/{number}/money/").words
    assert "Deposit invoice I2026-0001" in shown and "Quote Q2026-0002" in shown
    assert "chosen" in pages.get(at).words and "Accepted." in pages.get(at).words


def test_an_address_is_asked_for_once_or_the_paper_is_handed_over(pages: Pages, piece: Piece):
    number = piece.commission.number
    at = the_quote(pages, number, {"lines/0/unit_price": "900"})
    before = head()
    told = pages.send(f"{at}send/", {"to": ""}, status=422)
    assert "No mail address is known" in told.errors["to"] and head() == before
    form = pages.get(f"{at}send/").form()
    pages.post(f"{at}send/", {**form.typed, "do": "hand"})
    assert "handed over" in pages.get(at).words and Offer.objects.get().step == "issued"
    pages.send(f"{at}send/", {"to": "orla@fenwick.example"})
    assert "It goes to orla@fenwick.example" in pages.get(f"{at}send/").words


def test_hours_move_a_price_that_nobody_typed_and_no_other(pages: Pages, piece: Piece):
    number = piece.commission.number
    path, hours = f"/commissions/{number}/quote/", f"hours/{piece.number}"
    form = pages.get(path).form()
    told = send_page(pages, path, form, {hours: "20", "to": "orla@fenwick.example"}, "send", 409)
    assert "The price follows the hours now" in told.words and not Offer.objects.exists()
    follows = told.form().typed
    assert float(follows["lines/0/unit_price"]) - float(form.typed["lines/0/unit_price"]) == 1200
    typed = {**follows, "lines/0/unit_price": "2000", hours: "30", "do": "update"}
    assert pages.post(path, typed, 200).form().typed["lines/0/unit_price"] == "2000"
    rounded = pages.post(path, {**follows, "round_to": "25", "do": "update"}, 200).form()
    assert float(rounded.typed["lines/0/unit_price"]) % 25 == 0


def test_cost_and_what_is_left_stand_beside_the_price(pages: Pages, piece: Piece):
    pages.send("/shop/rates/", {"profit_pct": "25"})
    number = piece.commission.number
    path = f"/commissions/{number}/quote/"
    form = priced(pages, number, {f"hours/{piece.number}": "20"})
    price = float(form.typed["lines/0/unit_price"])
    words = pages.post(path, {**form.typed, "do": "update"}, 200).words
    assert f"Costs, each {price / 1.25:,.2f}" in words and "Left 20 %" in words  # 25 on cost: 20 on price
    assert "work 1,200.00, 20 h" in words and "you aim at 20 %" in words
    part = Page(pages.http.post(path, {**form.typed, "lines/0/unit_price": "3000", "do": "update"},
                                headers={"HX-Request": "true"}))  # fmt: skip
    assert "hx-swap-oob" in part.text and "3,570.00 USD" in part.words and "<form" not in part.text


def test_choices_in_words_are_added_and_removed(pages: Pages, piece: Piece):
    path = f"/commissions/{piece.commission.number}/quote/"
    form = choose(pages, path, "words")
    typed = {**form.typed, "choices/0/description": "Edge bevelled", "choices/0/difference": "60"}
    form = pages.post(path, {**typed, "choice": "words", "do": "choice"}, 200).form()
    typed = {**form.typed, "choices/1/description": "Two shelves", "choices/1/difference": "620"}
    form = pages.post(path, {**typed, "do": "remove-0"}, 200).form()
    assert form.typed["choices/0/description"] == "Two shelves" and "choices/1/description" not in form.typed
    send_page(pages, path, form, {"lines/0/unit_price": "1000"}, "keep")
    assert "Two shelves +737.80" in pages.get(f"/offers/{piece.commission.number}-Q1/").words
    form = choose(pages, f"/offers/{piece.commission.number}-Q1/write/", "words")
    typed = {**form.typed, "choices/1/description": "A shelf", "do": "keep"}
    told = pages.post(f"/offers/{piece.commission.number}-Q1/write/", typed, 422)
    assert "choices/1/difference" in told.errors


def test_a_change_order_is_written_and_declined_with_a_reason(pages: Pages, work: Work, piece: Piece):
    number = piece.commission.number
    pages.send(f"/commissions/{number}/accept/", {"price": "0", "promise_on": "2999-01-01"})
    typed = {"words": "A bevel", "lines/0/description": "Bevel", "lines/0/unit_price": "100"}
    path = f"/commissions/{number}/change-order/"
    send_page(pages, path, pages.get(path).form(), typed, "keep")
    at = f"/offers/{number}-X1/"
    pages.send(at, to="/issue/")
    pages.send(at, {"reason": "no <b>bevel</b>"}, to="/1/decline/")
    assert "<b>bevel</b>" in pages.get(at).text
    assert "<b>bevel</b>" not in pages.get(at).answer.content.decode()
    assert Offer.objects.get().step == "declined" and Commission.objects.get().step == "accepted"


def test_a_change_order_is_shown_with_the_tax_that_its_paper_asks_for(pages: Pages, piece: Piece):
    """19 % of 10.03 are 1.91 and of 20.06 are 3.81, each to the cent: the second 10.03 adds 1.90."""
    number = piece.commission.number
    pages.send(f"/commissions/{number}/accept/", {"price": "10.03", "promise_on": "2999-01-01"})
    path = f"/commissions/{number}/change-order/"
    typed = {"words": "A bevel", "lines/0/description": "Bevel", "lines/0/unit_price": "10.03"}
    asked = {**pages.get(path).form().typed, **typed}
    shown = pages.post(path, {**asked, "do": "update"}, 200).text
    assert "11.93" in shown and "11.94" not in shown
    pages.post(path, {**asked, "do": "keep"})
    pages.send(f"/offers/{number}-X1/", to="/issue/")
    assert "11.93" in pages.get(f"/offers/{number}-X1/").text


@pytest.mark.parametrize(
    "field, typed",
    [("valid_days", "0"), ("deposit_pct", "200"), ("lines/0/unit_price", "-1"), ("valid_days", "soon")],
)
def test_what_is_wrong_is_told_beside_its_field(pages: Pages, piece: Piece, field: str, typed: str):
    at = the_quote(pages, piece.commission.number)
    before, form = head(), pages.get(f"{at}write/").form()
    told = send_page(pages, f"{at}write/", form, {field: typed}, "keep", 422)
    assert field in told.errors, told.words
    assert head() == before


def test_a_page_with_a_quote_stays_within_its_queries(
    pages: Pages, piece: Piece, django_assert_max_num_queries: Any
):
    number = piece.commission.number
    at = the_quote(pages, number, {"lines/0/unit_price": "900", "to": "orla@fenwick.example"}, "send")
    for path in (f"/commissions/{number}/", at, f"{at}write/", f"{at}again/", "/quotes/"):
        with django_assert_max_num_queries(21):
            pages.get(path)


def test_rates_are_set_on_the_page_of_the_shop(pages: Pages, db: None):
    told = pages.send("/shop/wood/", {"lumber_prices": "plastic: 3"}, status=422)
    assert "lumber_prices" in told.errors
    pages.send("/shop/wood/", {"lumber_prices": "cherry: 11\nblack walnut: 14.50"})
    pages.send("/shop/rates/", {"profit_as": "margin"})
    assert "black walnut: 14.50" in pages.get("/shop/wood/").form().typed["lumber_prices"]


def test_what_a_proposal_rests_on_can_be_checked_by_hand(pages: Pages, owner: Person, piece: Piece):
    change_person(owner, unit="mm")
    pages = Pages(owner)
    number = piece.commission.number
    told = pages.send("/shop/finish/", {"hardware_prices": "corner brace: 2"}, status=422)
    assert "steel channel" in told.errors["hardware_prices"]
    prices = {"glue_prices/pva": "9.50", "joinery_prices": "biscuit 20: 0.08\ndowel 3/8: 0.12"}
    pages.send("/shop/finish/", prices | {"disc_price": "0.90", "hardware_prices": "steel channel: 18"})
    typed = pages.get("/shop/finish/").form().typed
    assert (typed["glue_prices/pva"], typed["joinery_prices"]) == tuple(prices.values())
    form = priced(pages, number, {f"hours/{piece.number}": "20"})
    send_page(pages, f"/commissions/{number}/quote/", form, {}, "keep")
    for path in (f"/offers/{number}-Q1/write/", f"/offers/{number}-Q1/"):
        words = pages.get(path).words
        assert "1 thing is not in the proposed price" in words, path
        assert "Finish not counted: no price of water-borne in the shop's settings" in words
        assert "0.138 liters × 9.50, material: glue 1.31 USD" in words  # 138 mL at 9.50 a litre, by hand
        assert "27 pieces × 0.08, material: hardware 2.16 USD" in words
        assert "20 h × 60.00, hours at the shop's rate 1,200.00 USD" in words


def test_a_proposal_from_before_parts_were_counted_says_what_it_said():
    old = {"piece": "2026-001-1", "hours": "20", "hours_from": "typed in one sum", "price": "10", "lines": [],
           "notes": ["no line for: glue, hardware, abrasives"]}  # fmt: skip
    told = render_to_string(
        "web/billing/parts/proposal.html", {"basis": {"pieces": [old]}, "currency": "USD"}
    )
    assert "no line for: glue" in told and "not counted" not in told


def test_a_deposit_is_asked_by_hand(pages: Pages, work: Work, piece: Piece):
    number = piece.commission.number
    pages.send(f"/commissions/{number}/price/", {"lines/0/description": "Top", "lines/0/unit_price": "1000"})
    pages.send(f"/commissions/{number}/accept/", {"promise_on": "2999-01-01", "deposit": ""})
    by_hand(pages, f"/commissions/{number}/deposit/", {"pct": "30"})
    assert Paper.objects.get().invoice.total == 357


class TestHoursWithoutARate:
    def test_they_are_refused_beside_their_field_which_leads_to_the_rates(self, pages: Pages, piece: Piece):
        pages.send("/shop/rates/", {"hourly_rate": ""})
        at, before = f"/commissions/{piece.commission.number}/quote/", head()
        assert "/shop/rates/#id_hourly_rate" in pages.get(at).text
        typed = {f"hours/{piece.number}": "30"}
        told = send_page(pages, at, pages.get(at).form(), typed, "keep", 409)
        assert "no rate of an hour" in told.errors[f"hours/{piece.number}"]
        assert told.form().typed[f"hours/{piece.number}"] == "30" and head() == before
        kind = next(n for n in told.form().typed if n.startswith(f"minutes/{piece.number}/"))
        told = send_page(pages, at, pages.get(at).form(), {kind: "90"}, "keep", 409)
        assert "no rate of an hour" in told.errors[kind]
        pages.send("/shop/rates/", {"hourly_rate": "60"})
        assert "Set the rate of an hour first" not in pages.get(at).words
        send_page(pages, at, priced(pages, piece.commission.number, typed), {}, "keep")

    def test_a_quote_without_hours_says_so_until_it_is_accepted(self, pages: Pages, piece: Piece):
        number = piece.commission.number
        at = the_quote(pages, number)
        missing = "Hours not counted: none were given"
        for path in (f"{at}write/", at):
            words = pages.get(path).words
            assert words.index(missing) < words.index("Send the quote")
        pages.send(at, to="/issue/")
        assert missing in pages.get(at).words
        pages.send(at, to="/1/accept/")
        assert missing not in pages.get(at).words


class TestInstead:
    def choices(self, pages: Pages, piece: Piece, what: str) -> list[str]:
        text = pages.get(f"/commissions/{piece.commission.number}/quote/").text
        field = text.partition('name="choice"')[2].partition("</select>")[0]
        return re.findall(rf'value="{what}/{piece.number}/([^"]*)"', field)

    def test_only_what_has_a_price_is_listed(self, pages: Pages, piece: Piece):
        assert self.choices(pages, piece, "species") == ["black walnut"]
        assert self.choices(pages, piece, "finish") == []

    def test_a_price_of_all_others_lists_all_woods(self, pages: Pages, piece: Piece):
        pages.send("/shop/wood/", {"price_per_board_foot": "9"})
        found = self.choices(pages, piece, "species")
        assert len(found) > 20 and not any(one.startswith("white oak (") for one in found)

    def test_a_finish_that_its_route_does_not_take_is_not_listed(
        self, pages: Pages, work: Work, piece: Piece
    ):
        prices = "water-borne: 30\nlacquer: 22\npenetrating-oil: 20\nhard-wax-oil: 60"
        set_shop(work.call(), settings={"finish_prices": prices})
        assert self.choices(pages, piece, "finish") == ["hard-wax-oil", "lacquer", "penetrating-oil"]
        oiled = {"route": "edge-glued-oil", "finish_face": "penetrating-oil", "finish_under": ""}
        pages.send(f"/pieces/{piece.number}/change/", oiled)
        found = self.choices(pages, Piece.objects.get(), "finish")
        assert found and "lacquer" not in found and "water-borne" not in found

    def test_one_without_a_price_is_refused_beside_its_field(self, pages: Pages, piece: Piece):
        path, before = f"/commissions/{piece.commission.number}/quote/", head()
        asked = {**pages.get(path).form().typed, "choice": f"finish/{piece.number}/lacquer", "do": "choice"}
        told = pages.post(path, asked, 409)
        assert list(told.errors) == ["choice"] and head() == before
        assert "no price of nitrocellulose lacquer and of what it stands for" in told.errors["choice"]


def test_a_deposit_invoice_is_told_apart_from_a_price_that_changed_since(pages: Pages, piece: Piece):
    number = piece.commission.number
    pages.send(f"/commissions/{number}/price/", {"lines/0/description": "Top", "lines/0/unit_price": "1000"})
    pages.send(f"/commissions/{number}/accept/", {"promise_on": "2999-01-01", "deposit": ""})
    assert "Deposit to ask for 595.00 USD" in pages.get(f"/commissions/{number}/money/").words
    by_hand(pages, f"/commissions/{number}/deposit/", {"pct": "50"})
    pages.send(f"/commissions/{number}/price/", {"lines/0/unit_price": "2000"})
    words = pages.get(f"/commissions/{number}/money/").words
    assert "Deposit invoiced, I2026-0001 595.00 USD" in words and "1,190.00" not in words
    assert pages.get(f"/commissions/{number}/payment/").form().typed["amount"] == "595.00"
    assert "takes it off the price, now 2,380.00 USD" in words


def test_the_demo_shop_has_a_price_of_everything_that_a_quote_counts(db: None):
    held: dict[str, Any] = {}
    own: dict[str, set[str]] = {"glue": set(), "finish": set()}
    for step in load_story():
        given = step["with"]
        if step["do"] == "set_shop":
            held |= given.get("settings", {})
        elif step["do"] == "set_sheet":
            own[given["kind"]].add(given["key"])
    for kind, keys in own.items():
        assert held[f"{kind}_prices"].keys() == set(newest(kind)) | keys
    assert held["joinery_prices"].keys() == set(joiners.NAMES)
    assert held["hardware_prices"].keys() == set(HARDWARE)
    assert held["price_per_board_foot"] and held["hourly_rate"] and held["disc_price"]


def test_a_signed_copy_is_kept_with_the_yes_and_seen_on_its_page(pages: Pages, piece: Piece):
    at = the_quote(pages, piece.commission.number)
    pages.send(at, to="/issue/")
    signed = BytesIO()
    Image.new("RGB", (64, 48), "white").save(signed, "PNG")
    copy = SimpleUploadedFile("signed.png", signed.getvalue(), "image/png")
    form = pages.get(at).form("/1/accept/")
    pages.send_form(f"{at}1/accept/", form, {"name": "Orla", "how": "signed", "picture": copy})
    shown = pages.get(at)
    for part in ("What they said yes to", "Orla", "A signed copy", "Q2026-0001", "Print the confirmation"):
        assert part in shown.words, part
    picture = Picture.objects.get()
    assert picture.owner_only and f"/pictures/{picture.id}/" in shown.text
    assert "Signed copy of Q2026-0001" in pages.get(f"/pictures/{picture.id}/").words
    assert pages.http.get(f"{at}confirmation/").content.startswith(b"%PDF")
