"""A change to what somebody else changed since is refused, wherever there is a version."""

import pytest

from jobs.core.errors import Stale
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.clients.commands import change_client
from jobs.domain.commissions.commissions import change_commission, open_commission
from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.papers.issuing import withdraw_paper
from jobs.domain.reminders.replies import acknowledge_reminder, snooze_reminder
from jobs.domain.stages.route_edits import set_template
from jobs.domain.stock.product_sheets import product
from jobs.domain.workshop.commands import set_sheet
from jobs.models import Event, Piece, Wait
from tests.shop_fixtures import INCHES, QUICK_GLUE, SHORT, a_client, a_price, issue_checklist, the_paper
from tests.stories import OWN_TEMPLATE

pytestmark = pytest.mark.django_db


def refused(work, seen, change, **asked):
    """Check that a stale change is refused and writes nothing; repeat it with the current version."""
    before = Event.objects.count()
    with pytest.raises(Stale) as stale:
        change(work.call(seen=seen), **asked)
    assert (stale.value.field, stale.value.value) == ("seen_version", seen)
    assert Event.objects.count() == before
    return change(work.call(seen=int(stale.value.allowed)), **asked)


def test_a_product_sheet(work):
    sheet = {"kind": "glue", "key": "quick-glue", "data": QUICK_GLUE}
    assert product("glue", "quick-glue").version == 1
    refused(work, 0, set_sheet, **sheet)
    refused(work, 1, set_sheet, **sheet)
    assert product("glue", "quick-glue").version == 3


def test_a_sheet_that_only_its_class_has_is_version_0(work):
    refused(work, 1, set_sheet, kind="glue", key="pva", data=QUICK_GLUE)
    assert product("glue", "pva").version == 1


def test_a_route_template(work):
    set_template(work.call(seen=0), text=OWN_TEMPLATE)
    refused(work, 0, set_template, text=OWN_TEMPLATE)


def test_opening_a_commission_for_a_client(work):
    client = a_client(work.call())
    change_client(work.call(), client=client.id, name="Orla Fenwick-Hale")
    refused(work, client.version, open_commission, client=client.id, title="Shelf")


@pytest.fixture
def piece(work):
    piece = work.accepted(**SHORT)
    a_price(work.call(), piece.commission)
    work.do_until(piece, "wrap")
    return piece


def test_papers(work, piece):
    commission = piece.commission

    def seen_before_a_change() -> int:
        commission.refresh_from_db()
        change_commission(work.call(), commission=commission.number, notes="ring the lower bell")
        return commission.version

    paper = the_paper(refused(work, seen_before_a_change(), issue_checklist, commission=commission.number))
    seen = seen_before_a_change()
    refused(work, seen, withdraw_paper, paper=paper.number, reason="wrong van")
    refused(work, seen_before_a_change(), issue_invoice, commission=commission.number)


def test_reminders(work):
    piece = work.accepted(**SHORT)
    work.do_until(piece, "glue-up")
    wait = Wait.objects.get(kind="unclamp")
    seen = Piece.objects.get().version
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"label": "Loft table top"})
    about = {"wait": wait.id, "kind": "ready", "person": work.by.id}
    refused(work, seen, snooze_reminder, **about, until=work.now.replace(hour=23))
    refused(work, seen, acknowledge_reminder, **about)
