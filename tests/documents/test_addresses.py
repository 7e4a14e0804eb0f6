"""The whole address of shop and client stands once on every paper that carries one."""

import json
from typing import Any

import pytest
from lxml import html

from jobs.domain.papers.kinds import paper_kind, paper_kinds
from jobs.log.private_texts import read
from jobs.models import Paper
from tests.documents.shop import a_shop
from tests.documents.test_standards import all_papers, offered
from tests.needs import needs

pytestmark = [pytest.mark.django_db, needs("weasyprint")]
SHOP = {"address": "4 Mill Race", "postcode": "04177", "city": "Lindenau", "country": "DE"}
CLIENT = {"address": "12 Harbour Steps\nAldersey", "postcode": "44101", "city": "Aldersey", "country": "US"}
ADDRESSED = (*Paper.MONEY, Paper.CHECKLIST)
NAME_ALONE = ("job-sheet", "care-sheet")
"""Papers that name the client without an address; any other may do either."""


def frozen(paper: Paper) -> dict[str, Any]:
    said: dict[str, Any] = json.loads(read(paper.frozen_ref))
    assert said["client"].keys() >= CLIENT.keys() and said["shop"].keys() >= SHOP.keys(), paper.kind
    return {**said, "shop": {**said["shop"], **SHOP}, "client": {**said["client"], **CLIENT}}


def test_every_paper_has_the_whole_of_both_addresses_once():
    work = a_shop()
    papers = {**all_papers(work), **offered(work)}
    assert {paper.kind for paper in papers.values()} == {kind.key for kind in paper_kinds()}
    for paper in papers.values():
        page = html.fromstring(paper_kind(paper.kind).layout(frozen(paper)))
        said = " ".join(page.text_content().split())
        assert said.count("4 Mill Race 04177 Lindenau Germany") == 1, paper.kind
        count = said.count("12 Harbour Steps Aldersey 44101 United States")
        assert count == said.count("44101") <= 1, paper.kind
        assert count == 1 or paper.kind not in ADDRESSED
        assert count == 0 or paper.kind not in NAME_ALONE
