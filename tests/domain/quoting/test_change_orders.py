"""Change orders: a new price or day for what is ordered."""

from datetime import timedelta
from decimal import Decimal

import pytest

from jobs.core.errors import AlreadyDone, Invalid, RestsOnPaper, WrongState
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.quoting.acceptance import accept_offer
from jobs.domain.quoting.quotes import draft_change_order, draft_quote, issue_offer
from jobs.models import Commission, Paper, Piece
from tests.domain.quoting.offers import a_line, accept, issued
from tests.shop_fixtures import Work, accept_bare, the_paper

pytestmark = [pytest.mark.django_db, pytest.mark.takes(3)]


def test_a_change_order_changes_price_and_date_when_agreed(work: Work, piece: Piece):
    accept(work, issued(work, piece, lines=[a_line("1000")]))
    number, later = piece.commission.number, work.now.date() + timedelta(days=120)
    lines = [a_line("150", description="Bevelled edge"), a_line("40", "-1", description="No grommet")]
    given = {"words": "A bevel all round, two weeks longer", "lines": lines, "promise_on": later}
    draft_change_order(work.call(), commission=number, **given)
    issue_offer(work.call(), offer=f"{number}-X1")
    commission = Commission.objects.get()
    assert (commission.price_lines.count(), commission.promise_on) == (1, None)
    accept_offer(work.call(), offer=f"{number}-X1", version=1, name="Orla")
    commission.refresh_from_db()
    assert commission.promise_on == later
    assert sum(li.quantity * li.unit_price for li in commission.price_lines.all()) == 1110
    final = the_paper(issue_invoice(work.call(), commission=number)).invoice
    assert final.total + Paper.objects.get(what="deposit").invoice.total == Decimal("1320.90")
    draft_change_order(work.call(), commission=number, **given)
    issue_offer(work.call(), offer=f"{number}-X2")
    with pytest.raises(RestsOnPaper):
        accept_offer(work.call(), offer=f"{number}-X2", version=1, name="Orla")


def test_a_change_order_of_the_date_alone_needs_no_lines(work: Work, piece: Piece):
    accept(work, issued(work, piece))
    number, later = piece.commission.number, work.now.date() + timedelta(days=200)
    with pytest.raises(Invalid):
        draft_change_order(work.call(), commission=number, words="nothing")
    draft_change_order(work.call(), commission=number, words="The oak comes later", promise_on=later)
    issue_offer(work.call(), offer=f"{number}-X1")
    accept_offer(work.call(), offer=f"{number}-X1", version=1)
    assert Commission.objects.get().promise_on == later


def test_a_quote_is_for_what_is_not_ordered_yet_and_a_change_for_what_is(work: Work, piece: Piece):
    number = piece.commission.number
    with pytest.raises(WrongState):
        draft_change_order(work.call(), commission=number, words="more", lines=[a_line("5")])
    offer = issued(work, piece)
    with pytest.raises(AlreadyDone):
        draft_quote(work.call(), commission=number)
    accept_bare(work.call(), commission=number)
    with pytest.raises(WrongState):
        accept(work, offer)
