"""Quotes and change orders on the owner's pages."""

import re
from typing import Any

import pytest
from django.template.loader import render_to_string

from calcs.joints import joiners
from jobs.domain.pieces.bill_of_materials import HARDWARE
from jobs.domain.stock.product_sheets import newest
from jobs.domain.workshop.accounts import change_person
from jobs.domain.workshop.commands import set_shop
from jobs.management.demo import load_story
from jobs.models import Commission, Offer, Paper, Person, Piece
from tests.shop_fixtures import Work, a_client, a_commission, a_piece
from tests.web.pages import Pages, by_hand, head

pytestmark = pytest.mark.django_db


@pytest.fixture
def piece(work: Work) -> Piece:
    rates = {"hourly_rate": "60", "tax_pct": "19", "lumber_prices": "white oak: 8\nblack walnut: 14.50"}
    set_shop(work.call(), settings=rates)
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())), species="white oak")


def test_a_quote_is_proposed_edited_issued_revised_and_accepted(pages: Pages, piece: Piece):
    number = piece.commission.number
    assert "Write the quote" in pages.get(f"/commissions/{number}/").words
    walnut = Piece.objects.get().inputs["species"] and "black walnut"
    pages.send(
        f"/commissions/{number}/quote/", {f"hours/{piece.number}": "20", f"species/{piece.number}": walnut}
    )
    at = f"/offers/{number}-Q1/"
    form = pages.get(f"{at}write/").form()
    assert float(form.typed["alternatives/0/difference"]) > 0
    assert form.typed["lines/0/description"].startswith("Desk top\n60")
    pages.send(f"{at}write/", {"lines/0/unit_price": "2000", "words": "As we talked it over"})
    assert "See a draft" in pages.get(at).words
    pages.send(at, to="/issue/")
    pages.send(f"{at}write/", {"lines/0/unit_price": "2100"})
    assert "To version 1" in pages.get(at).words
    stale = pages.get(at).form("/1/accept/")
    pages.send(at, to="/issue/")
    before = head()
    told = pages.send_form(at, stale, {}, status=409)
    assert "version 2 is the newest" in told.words or "changed since it was last seen" in told.words
    assert head() == before
    pages.send(at, {"chosen": "1", "name": "Orla Fenwick"}, to="/2/accept/")
    assert Commission.objects.get().step == "accepted"
    assert Paper.objects.get(what="deposit").invoice.total > 1249
    shown = pages.get(f"/commissions/{number}/money/").words
    assert "Deposit invoice I2026-0001" in shown and "Quote Q2026-0002" in shown
    assert "chosen" in pages.get(at).words


def test_a_change_order_is_written_and_declined_with_a_reason(pages: Pages, work: Work, piece: Piece):
    number = piece.commission.number
    pages.send(f"/commissions/{number}/accept/", {"price": "0", "promise_on": "2999-01-01"})
    typed = {"words": "A bevel", "lines/0/description": "Bevel", "lines/0/unit_price": "100"}
    pages.send(f"/commissions/{number}/change-order/", typed)
    at = f"/offers/{number}-X1/"
    pages.send(at, to="/issue/")
    pages.send(at, {"reason": "no <b>bevel</b>"}, to="/1/decline/")
    assert "<b>bevel</b>" in pages.get(at).text
    assert "<b>bevel</b>" not in pages.get(at).answer.content.decode()
    assert Offer.objects.get().step == "declined"


@pytest.mark.parametrize(
    "field, typed",
    [("valid_days", "0"), ("deposit_pct", "200"), ("lines/0/unit_price", "-1"), ("valid_days", "soon")],
)
def test_what_is_wrong_is_told_beside_its_field(pages: Pages, piece: Piece, field: str, typed: str):
    number = piece.commission.number
    pages.send(f"/commissions/{number}/quote/")
    before = head()
    told = pages.send(f"/offers/{number}-Q1/write/", {field: typed}, status=422)
    assert field in told.errors, told.words
    assert head() == before


def test_a_page_with_a_quote_stays_within_its_queries(
    pages: Pages, piece: Piece, django_assert_max_num_queries: Any
):
    number = piece.commission.number
    pages.send(f"/commissions/{number}/quote/")
    for path in (f"/commissions/{number}/", f"/offers/{number}-Q1/"):
        with django_assert_max_num_queries(20):
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
    pages.send(f"/commissions/{number}/quote/", {f"hours/{piece.number}": "20"})
    for path in (f"/offers/{number}-Q1/write/", f"/offers/{number}-Q1/"):
        words = pages.get(path).words
        assert "1 thing is not in the proposed price" in words, path
        assert "Finish not counted: no price of water-borne in the shop's settings" in words
        assert "0.138 litres × 9.50, material: glue 1.31 USD" in words  # 138 mL at 9.50 a litre, by hand
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
        told = pages.send(at, typed, status=409)
        assert "no rate of an hour" in told.errors[f"hours/{piece.number}"]
        assert told.form().typed[f"hours/{piece.number}"] == "30" and head() == before
        kind = next(n for n in told.form().typed if n.startswith(f"minutes/{piece.number}/"))
        assert "no rate of an hour" in pages.send(at, {kind: "90"}, status=409).errors[kind]
        pages.send("/shop/rates/", {"hourly_rate": "60"})
        assert "/shop/rates/#id_hourly_rate" not in pages.get(at).text
        pages.send(at, typed)

    def test_a_quote_without_hours_says_so_until_it_is_accepted(self, pages: Pages, piece: Piece):
        number = piece.commission.number
        pages.send(f"/commissions/{number}/quote/")
        at = f"/offers/{number}-Q1/"
        missing = "Hours not counted: none were given"
        for path in (f"{at}write/", at):
            words = pages.get(path).words
            assert words.index(missing) < words.index("Save the draft" if path != at else "Issue version 1")
        pages.send(at, to="/issue/")
        assert missing in pages.get(at).words
        pages.send(at, to="/1/accept/")
        assert missing not in pages.get(at).words


class TestInstead:
    def choices(self, pages: Pages, piece: Piece, what: str) -> list[str]:
        text = pages.get(f"/commissions/{piece.commission.number}/quote/").text
        field = text.partition(f'name="{what}/{piece.number}"')[2].partition("</select>")[0]
        return re.findall(r'value="([^"]*)"', field)

    def test_only_what_has_a_price_is_listed(self, pages: Pages, piece: Piece):
        assert self.choices(pages, piece, "species") == ["", "black walnut"]
        assert self.choices(pages, piece, "finish") == [""]
        assert (
            "/shop/finish/#id_finish_prices"
            in pages.get(f"/commissions/{piece.commission.number}/quote/").text
        )

    def test_a_price_of_all_others_lists_all_woods(self, pages: Pages, piece: Piece):
        pages.send("/shop/wood/", {"price_per_board_foot": "9"})
        found = self.choices(pages, piece, "species")
        assert len(found) > 20 and not any(one.startswith("white oak (") for one in found)

    def test_a_finish_that_its_route_does_not_take_is_not_listed(self, pages: Pages, piece: Piece):
        kinds = {"water-borne": "30", "lacquer": "22", "penetrating-oil": "20", "hard-wax-oil": "60"}
        pages.send("/shop/finish/", {f"finish_prices/{key}": price for key, price in kinds.items()})
        assert self.choices(pages, piece, "finish") == ["", "hard-wax-oil", "lacquer", "penetrating-oil"]
        oiled = {"route": "edge-glued-oil", "finish_face": "penetrating-oil", "finish_under": ""}
        pages.send(f"/pieces/{piece.number}/change/", oiled)
        found = self.choices(pages, Piece.objects.get(), "finish")
        assert found and "lacquer" not in found and "water-borne" not in found

    def test_one_without_a_price_is_refused_beside_its_field(self, pages: Pages, piece: Piece):
        at, before = f"/commissions/{piece.commission.number}/quote/", head()
        form = pages.get(at).form()
        typed = {f"species/{piece.number}": "black walnut", f"finish/{piece.number}": "lacquer"}
        told = pages.send_form(at, form, typed, status=409)
        assert list(told.errors) == [f"finish/{piece.number}"] and head() == before
        assert (
            "no price of nitrocellulose lacquer and of what it stands for"
            in told.errors[f"finish/{piece.number}"]
        )


def test_a_deposit_invoice_is_told_apart_from_a_price_that_changed_since(pages: Pages, piece: Piece):
    number = piece.commission.number
    pages.send(f"/commissions/{number}/price/", {"lines/0/description": "Top", "lines/0/unit_price": "1000"})
    pages.send(f"/commissions/{number}/accept/", {"promise_on": "2999-01-01", "deposit": ""})
    assert "Deposit to be asked 595.00 USD" in pages.get(f"/commissions/{number}/money/").words
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
