"""The drawings of a piece: a page with each, the stages that are worked by one, and sheets on paper."""

import re

import pytest

from calcs.drawing.sheets import TITLES
from jobs.documents.drawings import drawings_pdf
from jobs.domain.clients.approvals import approve, ask_approval
from jobs.domain.clients.updates import client_actor
from jobs.domain.routes.approvals import mark_of
from jobs.models import Piece
from tests.documents.reading import pages as pages_of
from tests.needs import needs
from tests.shop_fixtures import TOP, Work, a_call
from tests.web.pages import Pages

ENDED = {**TOP, "length": "96", "width": "42", "thickness": "1 3/4"}


pytestmark = needs("weasyprint")


@pytest.fixture
def ended(work: Work) -> Piece:
    return work.accepted(**ENDED, route="edge-glued-breadboard")


def test_each_drawing_has_a_page_that_leads_to_the_others_and_to_files(pages: Pages, ended: Piece):
    piece = pages.get(f"/commissions/{ended.commission.number}/piece/")
    assert f"/pieces/{ended.number}/drawings/" in piece.text and 'data-view="plan"' in piece.text
    first = pages.get(f"/pieces/{ended.number}/drawings/")
    assert 'data-view="plan"' in first.text and "user-scalable=no" not in first.text
    for view in ("client", "glue-up", "breadboard"):
        page = pages.get(f"/pieces/{ended.number}/drawings/{view}/")
        assert f"<h1>{TITLES[view]}</h1>" in page.text
        assert f"/drawing.dxf?view={view}" in page.text and f"/drawing.svg?view={view}" in page.text
        assert f"/pieces/{ended.number}/drawings.pdf" in page.text
    assert pages.get(f"/pieces/{ended.number}/drawings/underside/", status=404)
    assert pages.get(f"/pieces/{ended.number}/drawings/side/", status=404)


def test_a_stage_shows_the_drawing_that_it_is_worked_by(pages: Pages, work: Work, ended: Piece):
    stiff = work.accepted(**ENDED, route="edge-glued-stiffened", stiffeners="yes")
    for piece, calculation, view in (
        (ended, "breadboard", "breadboard"), (ended, "gluing", "glue-up"), (stiff, "stiffening", "underside")
    ):  # fmt: skip
        stages = [stage for stage in piece.stages.all() if calculation in stage.spec["calcs"]]
        assert stages, calculation
        page = pages.get(f"/pieces/{piece.number}/stages/{stages[0].key}/")
        assert f'data-view="{view}"' in page.text
    survey = pages.get(f"/pieces/{ended.number}/stages/survey/")
    assert "data-view" not in survey.text


def test_the_sheets_of_a_piece_are_a_page_each_and_name_who_approved(pages: Pages, work: Work, ended: Piece):
    def sheets() -> list[str]:
        made = drawings_pdf([ended], today=work.now.date())
        assert made
        return pages_of(made)

    before = sheets()
    assert len(before) == 3 and all("For approval" in page for page in before)
    assert [re.search(rf"{ended.number}-[A-Z]", page)[0][-1] for page in before] == ["C", "G", "B"]
    number = ended.commission.number
    ask_approval(work.call(), commission=number, drawings=[ended.number])
    asked = ended.commission.approvals.get(what="drawing")
    call = a_call(client_actor(ended.commission.client), work.call().at)
    approve(call, commission=number, shown={asked.id: mark_of(asked.shown)})
    client, *others = sheets()
    assert "Approved" in client and "Orla Fenwick" in client
    assert all("Released" in page for page in others)
