"""The whole address of shop and client stands once on every paper that carries one."""

import json
import re
from typing import Any

import pytest
from lxml import html

from jobs.documents.kit.einvoice import cii
from jobs.domain.papers.kinds import paper_kind, paper_kinds
from jobs.log.private_texts import read
from jobs.models import Paper
from tests.documents.shop import a_shop
from tests.documents.test_standards import all_papers, offered
from tests.needs import needs

pytestmark = [pytest.mark.django_db, needs("weasyprint")]
SHOP = {"address": "4 Mill Race", "postcode": "04177", "city": "Lindenau", "country": "DE"}
CLIENT = {"address": "12 Harbour Steps", "postcode": "44101", "city": "Aldersey", "country": "US"}
ADDRESSED = (*Paper.MONEY, Paper.CHECKLIST)
INSIDE = ("job-sheet",)
"""Papers that do not leave the shop and do not name its address."""
NAME_ALONE = ("job-sheet", "care-sheet")
"""Papers that name the client without an address; any other may do either."""


def frozen(paper: Paper, client: dict[str, str]) -> dict[str, Any]:
    said: dict[str, Any] = json.loads(read(paper.frozen_ref))
    assert said["client"].keys() >= CLIENT.keys() and said["shop"].keys() >= SHOP.keys(), paper.kind
    return {**said, "shop": {**said["shop"], **SHOP}, "client": {**said["client"], **client}}


def said_on(paper: Paper, client: dict[str, str]) -> str:
    page = html.fromstring(paper_kind(paper.kind).layout(frozen(paper, client)))
    return " ".join(page.text_content().replace(",", " ").split())


def test_every_paper_has_the_whole_of_both_addresses_once_and_the_countries_only_abroad():
    work = a_shop()
    papers = {**all_papers(work), **offered(work)}
    assert {paper.kind for paper in papers.values()} == {kind.key for kind in paper_kinds()}
    for paper in papers.values():
        for country, shop_s, client_s in (("US", " Germany", " United States"), ("DE", "", "")):
            said = said_on(paper, {**CLIENT, "country": country})
            of_shop = 0 if paper.kind in INSIDE else 1
            assert said.count(f"4 Mill Race 04177 Lindenau{shop_s}") == of_shop, paper.kind
            place = "Aldersey 44101" if country == "US" else "44101 Aldersey"
            count = said.count(f"12 Harbour Steps {place}{client_s}")
            assert count == said.count("44101") <= 1, paper.kind
            assert count == 1 or paper.kind not in ADDRESSED
            assert count == 0 or paper.kind not in NAME_ALONE
            assert country == "US" or ("Germany" not in said and "United States" not in said), paper.kind


def test_page_and_data_of_an_invoice_have_the_same_addresses():
    paper = all_papers(a_shop())["invoice"]
    for country in ("US", "DE"):
        content = frozen(paper, {**CLIENT, "country": country})
        xml, page = cii(content).decode(), said_on(paper, {**CLIENT, "country": country})
        for name, of_shop, of_client in (
            ("LineOne", SHOP["address"], "12 Harbour Steps"),
            ("PostcodeCode", SHOP["postcode"], CLIENT["postcode"]),
            ("CityName", SHOP["city"], CLIENT["city"]),
            ("CountryID", "DE", country),
        ):
            found = re.findall(rf"<ram:{name}>([^<]*)<", xml)
            assert found[:2] == [of_shop, of_client], name
            assert name == "CountryID" or all(text in page for text in found[:2])
