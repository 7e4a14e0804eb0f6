"""Papers that go to the client: sent with a mail or handed over, and reminders of what is open."""

from datetime import date
from decimal import Decimal

from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _

from jobs.core.errors import WrongState
from jobs.domain import lookups
from jobs.domain.billing.balances import account
from jobs.domain.checks import about, one_of, refuse_if_forgotten
from jobs.domain.papers.kinds import paper_kind
from jobs.domain.papers.sending import address_for, send_paper
from jobs.log.commands import CommandTransaction, command
from jobs.models import Paper, PaperSending

MAIL, HAND = "mail", "hand"
WAYS = (MAIL, HAND)
"""How a paper reaches the client."""
DEPOSIT, INVOICE, CREDIT, RECEIPT, WORK = "deposit", "invoice", "credit", "receipt", "paper"
"""The occasions of mails with papers, beside those of quotes."""
OCCASIONS = {Paper.INVOICE: INVOICE, Paper.CREDIT: CREDIT, Paper.RECEIPT: RECEIPT}


@command
def send_to_client(tx: CommandTransaction, *, paper: str, how: str = MAIL, to: str = "") -> None:
    """Mail a paper to its client, or record that it was handed over; it may go again.

    ``to`` is the address, where it is not the one that is known; it is kept as the client's.
    """
    found = lookups.paper(paper)
    if found.is_money:
        tx.require_owner("this paper")
    tx.check_version(found.version, what=found.stream.replace(":", " "))
    _refuse_unless_shown(found)
    on_its_way(tx, paper, how=how, to=to)


@command
def remind(tx: CommandTransaction, *, paper: str, words: str = "", to: str = "") -> None:
    """Remind the client of an open invoice by mail; without words the usual ones go."""
    tx.require_owner("reminding of a payment")
    found = lookups.paper(paper)
    tx.check_version(found.version, what=found.stream.replace(":", " "))
    if not found.asks_for_money or found.commission is None:
        raise about(found, "asks for no money", allowed="an invoice that holds")
    _refuse_unless_shown(found)
    if open_sum(found) <= 0:
        raise WrongState(f"{paper} is paid", field="paper", value=paper, allowed="an open invoice")
    said = words.strip() or reminder_words(found, today=tx.call.day)
    address = address_for(tx, found.commission.client, to)
    send_paper(tx, found, occasion=PaperSending.REMINDER, to=address, words=said)


def on_its_way(tx: CommandTransaction, paper: str, *, how: str, to: str = "") -> None:
    """Append that a paper goes to the client of its commission. Called by other commands."""
    one_of(how, WAYS, "no such way to the client", field="send")
    found = lookups.paper(paper)
    assert found.commission is not None, "a paper that goes to a client is of a commission"
    address = address_for(tx, found.commission.client, to) if how == MAIL else ""
    occasion = DEPOSIT if found.what == Paper.DEPOSIT else OCCASIONS.get(found.kind, WORK)
    send_paper(tx, found, occasion=occasion, to=address)


def _refuse_unless_shown(paper: Paper) -> None:
    """Refuse a paper that stays in the shop, no longer holds, or whose client is forgotten."""
    if not goes_to_client(paper.kind) or paper.commission is None:
        allowed = "invoices, receipts, credit notes and care cards"
        raise WrongState("this paper is not sent so", field="paper", value=paper.number, allowed=allowed)
    if paper.is_forgotten or paper.withdrawn_at:
        raise about(paper, "no longer holds", allowed="a paper that holds")
    refuse_if_forgotten(paper.commission.client)


def goes_to_client(kind: str) -> bool:
    """Return whether papers of this kind are sent here; a quote goes with its offer, a statement by hand."""
    return paper_kind(kind).is_for_client and kind not in (Paper.QUOTE, Paper.CHANGE)


def open_sum(paper: Paper) -> Decimal:
    """Return what is still to be paid on an invoice."""
    assert paper.commission is not None, "an invoice belongs to a commission"
    return account(paper.commission).open(paper.invoice)


def reminder_words(paper: Paper, *, today: date) -> str:
    """Return the words that are proposed for a reminder: what is open, since when, and what to do."""
    sums = paper.invoice
    named = {
        "paper": paper.number,
        "amount": f"{open_sum(paper):,.2f} {sums.currency}",
        "day": date_format(sums.due_on, "j F"),
    }
    if sums.due_on < today:
        says = _(
            "%(amount)s of invoice %(paper)s were due on %(day)s and have not reached us yet."
            " Please pay them in the next days; if you have just done so, thank you."
        )
    else:
        says = _("%(amount)s of invoice %(paper)s are still open. Please pay them by %(day)s.")
    return says % named
