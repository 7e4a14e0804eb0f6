"""Quotes and change orders as printed: read back from the PDF."""

import json
import re
from decimal import Decimal
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from calcs.kit.units import inches
from jobs.documents.kit.press import press
from jobs.documents.render import offer_draft
from jobs.domain.billing.prices import Line
from jobs.domain.papers.kinds import paper_kind
from jobs.domain.quoting.acceptance import accept_offer
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.queries import offer_view
from jobs.domain.quoting.quotes import draft_change_order, draft_quote, issue_offer
from jobs.log.private_texts import read
from jobs.models import Offer, Paper
from tests.documents.reading import fonts, pages, pictures, words
from tests.documents.shop import a_shop, file_of, rendered
from tests.shop_fixtures import Work, a_client, a_commission, a_piece

pytestmark = [pytest.mark.django_db, pytest.mark.needs("weasyprint")]
EVIL = '<b>bold</b> <img src="file:///etc/passwd"> <link href="http://127.0.0.1:9/x.css">'


def a_quote(work: Work, count: int, *, client: str = "Orla Fenwick", **more: Any) -> Paper:
    commission = a_commission(work.call(), a_client(work.call(), client, address="12 Harbour Steps"))
    piece = a_piece(work.call(), commission, species="white oak")
    others = [
        Alternative(piece=piece.number, species="black walnut", difference=Decimal("420.00")),
        Alternative(piece=piece.number, finish="oil-varnish", difference=Decimal("-80.00")),
    ]
    lines = [
        Line(
            description=f"Line {n + 1}: a top in one piece\n60 × 30 × 1 1/2 in, white oak",
            unit_price=Decimal("412.50"), quantity=Decimal(n % 3 + 1), tax_pct=Decimal("8.25"),
        )
        for n in range(count)
    ]  # fmt: skip
    draft_quote(work.call(), commission=commission.number, lines=lines, alternatives=others, **more)
    issue_offer(work.call(), offer=f"{commission.number}-Q1")
    rendered(work)
    return Paper.objects.get(kind=Paper.QUOTE)


@pytest.mark.needs("pdftoppm")
@pytest.mark.parametrize("size, count, most", [("letter", 1, 2), ("A4", 40, 5)])
def test_a_quote_says_what_until_when_and_what_instead(size: str, count: int, most: int, tmp_path: Path):
    paper = a_quote(a_shop(paper_size=size), count, words="As we talked it over")
    pdf = file_of(paper)
    said = words(pdf)
    for part in (
        "Quote Q2026-0001", "As we talked it over", f"Line {count}:", "Included",
        "a care card with each piece",
        "Not included", "If you wish", "+ 454.65", "\u2212 86.60", "Holds until 1 April 2026", "50 % of",
        "white oak, flatsawn", "both faces",
    ):  # fmt: skip
        assert part in said, part
    assert len(pages(pdf)) <= most
    assert all(fonts(pdf).values())
    assert len(pictures(pdf, tmp_path)) == len(pages(pdf))


@pytest.mark.parametrize("size", ["letter", "A4"])
@pytest.mark.parametrize("choices", [0, 2])
def test_who_signs_has_the_ticks_and_what_is_agreed_on_the_same_page(size: str, choices: int):
    frozen = json.loads(read(a_quote(a_shop(), 1).frozen_ref))
    frozen["alternatives"] = frozen["alternatives"][:choices]
    for count in (1, 5, 12, 40):
        html = paper_kind(Paper.QUOTE).layout({**frozen, "lines": frozen["lines"] * count})
        printed = [re.sub(r"\s+", " ", page) for page in pages(press.to_pdf(html, size=size))]
        signed = [page for page in printed if "Name in full" in page]
        assert signed == printed[-1:]
        for part in (
            "quote Q2026-0001",
            "Total with sales tax",
            "446.53 USD",
            "Deposit now",
            "223.27 USD",
            "Holds until",
        ):
            assert part in signed[0], (count, part)
        beside = "If you wish" if choices else "Payment and dates"
        assert beside in signed[0], (count, "what is ticked, or what is paid, stands with the signature")
        terms = next(page for page in printed if "thank you kindly" in page)
        assert "Payment and dates" in terms, "terms stand with what is paid"


def test_ends_say_how_far_the_panel_moves_past_them():
    frozen = json.loads(read(a_quote(a_shop(), 1).frozen_ref))
    # Walnut 40 in wide from 7 to 11 % of moisture: 7/32 in at either edge, up to the next 1/16 in. Wood
    # Handbook, FPL-GTR-190, eq. 13-2, as worked out beside `calcs.structure.breadboard`.
    ends = {"end_wide_len": inches(4), "pegs": 5, "reveal": {"dry_len": 0, "humid_len": -inches("7/32")}}
    frozen["pieces"] = [{**frozen["pieces"][0], **ends}]
    said = unescape(paper_kind(Paper.QUOTE).layout(frozen)).replace("\u00a0", " ")
    assert 'breadboard ends 4" wide, pegged' in said
    assert 'each edge stands up to 1/4" proud of them in humid summers' in said and "dry winters" not in said


def test_texts_of_all_kinds_are_printed_as_they_are_and_fetch_nothing():
    name = "Orla \U0001f333 \u05d0\u05d5\u05e8\u05dc\u05d4"
    said = words(file_of(a_quote(a_shop(), 1, client=name, words=EVIL, terms=EVIL)))
    assert said.count("<b>bold</b>") == 2 and "root:" not in said
    assert "Orla" in said


def test_a_change_order_says_the_price_before_and_after():
    work = a_shop()
    quote = a_quote(work, 3)
    number = quote.commission.number
    accept_offer(work.call(), offer=f"{number}-Q1", version=1)
    line = Line(description="Bevel all round", unit_price=Decimal(100), tax_pct=Decimal("8.25"))
    draft_change_order(work.call(), commission=number, words="A bevel as drawn on 4 March", lines=[line])
    draft = words(offer_draft(Offer.objects.get(kind=Offer.Kind.CHANGE)))
    assert "DRAFT" in draft
    issue_offer(work.call(), offer=f"{number}-X1")
    rendered(work)
    said = words(file_of(Paper.objects.get(kind=Paper.CHANGE)))
    prices = ("+ 108.25 USD", "2,679.19 USD", "2,787.44 USD")
    for part in ("Change order X2026-0001", *prices, "A bevel as drawn"):
        assert part in said, part
    assert "From then on" in pages(file_of(Paper.objects.get(kind=Paper.CHANGE)))[-1], "where it is signed"
    accept_offer(work.call(), offer=f"{number}-X1", version=1)
    shown = offer_view(Offer.objects.get(kind=Offer.Kind.CHANGE), today=work.now.date())
    # 2,475.00 x 1.0825 and 2,575.00 x 1.0825, each to the cent: what the paper says stands on the screen.
    assert (shown["total_before"], shown["total_after"]) == (Decimal("2679.19"), Decimal("2787.44"))
    assert shown["acceptance"]["total"] == shown["total_after"]
    deposit = Paper.objects.get(what="deposit")
    assert "Deposit invoice" in words(file_of(deposit))
    assert f"Deposit {deposit.invoice.total:,} USD, 50 % of 2,679.19" in words(file_of(quote)), "to the cent"
    assert f"The deposit of {deposit.invoice.total:,} USD stays" in said
