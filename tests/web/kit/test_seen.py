"""A form whose page somebody else's change made stale: refused once, then accepted."""

import pytest

from jobs.domain.clients.commands import change_client
from jobs.domain.commissions.commissions import change_commission
from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.stages.route_edits import set_template
from jobs.domain.stock.product_sheets import product
from jobs.domain.workshop.commands import set_sheet
from jobs.log.projectors import Turn, refill
from jobs.models import Client, Commission, Piece, ReminderReply, RouteTemplate, Sheet
from tests.shop_fixtures import INCHES, QUICK_GLUE, Work, a_client, issue_checklist, the_paper
from tests.stories import OWN_TEMPLATE
from tests.web.conftest import in_clamps
from tests.web.pages import Form, Page, Pages, head

CHANGED = "changed since it was last seen"


def refused_once(pages: Pages, path: str, form: Form) -> Page:
    """Check that a stale form is refused and writes nothing; send it again as the page then shows it."""
    before = head()
    page = pages.send_form(path, form, status=409)
    assert CHANGED in page.words and head() == before
    return pages.send_form(path, page.form())


def test_a_product_sheet(pages: Pages, work: Work):
    form = pages.get("/sheets/glue/pva/").form()
    set_sheet(work.call(), kind="glue", key="pva", data=QUICK_GLUE)
    refused_once(pages, "/sheets/glue/pva/", form)
    assert product("glue", "pva").version == 2 and Sheet.objects.count() == 2


def test_a_route_template_and_another_one_made_of_it(pages: Pages, work: Work):
    set_template(work.call(), text=OWN_TEMPLATE)
    form = pages.get("/route-templates/shelf/").form()
    set_template(work.call(), text=OWN_TEMPLATE)
    refused_once(pages, "/route-templates/shelf/", form)
    pages.send("/route-templates/shelf/", {"text": OWN_TEMPLATE.replace('"shelf"', '"rack"')})
    assert set(RouteTemplate.objects.values_list("key", "version")) == {
        ("shelf", 1), ("shelf", 2), ("shelf", 3), ("rack", 1),
    }  # fmt: skip


def test_withdrawing_a_paper(pages: Pages, work: Work, piece: Piece):
    work.do(piece, "survey", "stock")
    paper = the_paper(issue_checklist(work.call(), commission=piece.commission.number))
    at = f"/papers/{paper.number}/withdraw/"
    form = pages.get(at).form()
    form.typed["reason"] = "wrong van"
    change_commission(work.call(), commission=piece.commission.number, notes="ring the lower bell")
    refused_once(pages, at, form)
    paper.refresh_from_db()
    assert paper.withdrawn_at


@pytest.mark.parametrize("changed", [True, False])
def test_a_commission_of_a_known_client(pages: Pages, work: Work, changed: bool):
    first, later = a_client(work.call(), "Orla Fenwick"), a_client(work.call(), "Tilda Roe")
    form = pages.get(f"/commissions/new/?client={first.id}").form()
    form.typed["title"] = "Shelf"
    change_client(work.call(), client=(first if changed else later).id, phone="555 0199")
    if changed:
        refused_once(pages, "/commissions/new/", form)
    else:
        pages.send_form("/commissions/new/", form)
    assert Commission.objects.get().client == first and Client.objects.count() == 2


def test_a_reminder(pages: Pages, work: Work, slow_piece: Piece):
    in_clamps(work, slow_piece, minutes=40)
    refill(since=Turn.ESTIMATES)
    form = pages.get("/").form("/answer/")
    change_piece(work.call(), piece=slow_piece.number, units=INCHES, asked={"label": "Loft table top"})
    page = pages.post(form.action, form.typed, 409)
    assert CHANGED in page.words and not ReminderReply.objects.exists()
    pages.post(form.action, page.form("/answer/").typed)
    assert ReminderReply.objects.count() == 1
