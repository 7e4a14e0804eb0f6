"""Commands on orders without a quote: accept one, and take an acceptance back."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet

from jobs.core.errors import Invalid, WrongState
from jobs.domain import lookups
from jobs.domain.billing.deposits import Ask
from jobs.domain.billing.invoice_commands import ask_deposit, refuse_sum
from jobs.domain.billing.invoices import price_sums
from jobs.domain.billing.prices import Line, put_price, usual_tax, warn_of_certificate
from jobs.domain.checks import about, refuse_if_forgotten, title_of
from jobs.domain.commissions.commissions import (
    check_amount,
    promise,
    refuse_past_promise,
    refuse_unless_agreed,
)
from jobs.domain.lifecycle import move
from jobs.domain.papers.kinds import paper_title
from jobs.domain.waits.waits import start_passive_stages
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import read, store_private_text
from jobs.models import Commission, Event, Offer, Paper, Payment, Stage
from jobs.models.bases import ROWS_PER_EVENT

Step = Commission.Step
NAMED_APART = (Paper.CHANGE, Paper.CREDIT, Paper.RECEIPT)
"""Papers whose change order, invoice or payment is named by itself."""


@command
def accept_order(
    tx: CommandTransaction,
    *,
    commission: str,
    price: Decimal | None = None,
    lines: Sequence[Line] | None = None,
    promise_on: date | None = None,
    deposit_pct: Decimal | None = None,
    deposit: Decimal | None = None,
    reason: str = "",
) -> None:
    """Accept an order that had no quote, with its price and promised day; fields not given stay.

    ``price`` is one line, with the shop's tax on top or inside as the shop types prices; ``lines`` give the
    price line by line. A ``deposit_pct`` above 0, or a ``deposit`` as a sum with tax, issues the deposit
    invoice.
    """
    tx.require_owner("accepting a commission")
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {found.number}")
    _refuse_unless_undecided(found)
    _refuse_open_quote(found, tx.call.day)
    if price is not None and lines is not None:
        raise Invalid("price or lines, not both", field="price", value=price, allowed="one of them")
    if deposit is not None and deposit_pct is not None:
        says, allowed = "a sum or a share of the price, not both", "one of them"
        raise Invalid(says, field="deposit", value=deposit, allowed=allowed)
    if price is not None:
        lines = [_one_line(found, price, tx.call.day)]
    if lines is not None:
        put_price(tx, found, lines)
        warn_of_certificate(tx, found, lines)
    if promise_on is not None and promise_on != found.promise_on:
        refuse_past_promise(tx, promise_on)
        promise(tx, found, promise_on)
    refuse_unless_agreed(found)
    move(tx, found, Step.ACCEPTED, reason)
    if deposit is not None:
        _ask_sum(tx, found, deposit)
    if deposit_pct is not None:
        _ask_share(tx, found, deposit_pct)
    for piece in found.pieces.order_by("number"):
        start_passive_stages(tx, piece)


def _refuse_unless_undecided(commission: Commission) -> None:
    if commission.step not in Commission.UNDECIDED:
        raise about(commission, f"is {commission.step}", allowed=", ".join(Commission.UNDECIDED))


def _refuse_open_quote(commission: Commission, today: date) -> None:
    """Refuse while the client can still accept a quote."""
    issued = commission.offers.filter(kind=Offer.Kind.QUOTE, step=Offer.Step.ISSUED)
    quote = next((one for one in issued if not one.is_over(today)), None)
    if quote is not None:
        raise WrongState(
            f"quote {quote.number} is with the client",
            field="commission", value=commission.number, allowed=f"record the answer to {quote.number}",
        )  # fmt: skip


def _one_line(commission: Commission, price: Decimal, today: date) -> Line:
    """Return the price as one line; refuse a price out of range or with more than two decimals."""
    check_amount(price, "not a price", field="price")
    usual = usual_tax(commission, today)
    return Line(description=read(commission.title_ref), unit_price=price, **usual.line())


def _ask_sum(tx: CommandTransaction, commission: Commission, deposit: Decimal) -> None:
    """Issue the deposit invoice of a sum with tax; 0 asks for none."""
    if deposit == 0:
        return
    whole = price_sums(commission)
    refuse_sum(deposit, whole, field="deposit")
    ask_deposit(tx, commission, ask=Ask(amount=deposit), whole=whole)


def _ask_share(tx: CommandTransaction, commission: Commission, pct: Decimal) -> None:
    if not (pct.is_finite() and 0 <= pct <= 100 and pct == round(pct, 3)):
        allowed = "0 to 100, up to 3 decimals"
        raise Invalid("not a share of the price", field="deposit_pct", value=pct, allowed=allowed)
    if pct:
        ask_deposit(tx, commission, ask=Ask(pct=pct), whole=price_sums(commission))


@command
def take_back_acceptance(tx: CommandTransaction, *, commission: str, reason: str = "") -> None:
    """Return an accepted order to enquiry or quoted while nothing rests on the acceptance."""
    tx.require_owner("taking an acceptance back")
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {found.number}")
    refuse_if_forgotten(found.client)
    if reasons := what_rests_on_acceptance(found):
        raise WrongState(
            "; ".join(reasons), field="commission", value=commission,
            allowed="an accepted commission that nothing was done on", extra={"reasons": reasons},
        )  # fmt: skip
    quoted = _moves(found).filter(body__contains=f'"to":"{Step.QUOTED}"').exists()
    tx.append(
        "acceptance_taken_back",
        f"commission:{found.number}",
        {
            "number": found.number,
            "to": Step.QUOTED if quoted else Step.ENQUIRY,
            "reason": store_private_text(reason, field="reason"),
        },
    )


def what_rests_on_acceptance(commission: Commission) -> list[str]:
    """Return each reason that keeps the acceptance, with what to do first; empty where none."""
    if commission.step != Step.ACCEPTED:
        return [f"commission {commission.number} is {commission.step}"]
    quote = commission.offers.filter(kind=Offer.Kind.QUOTE, step=Offer.Step.ACCEPTED).first()
    if quote is not None:
        return [f"quote {quote.number} was accepted; cancel the commission, or write a change order"]
    accepted = _moves(commission).filter(body__contains=f'"to":"{Step.ACCEPTED}"').order_by("-seq").first()
    since = (accepted.seq if accepted else 0) * ROWS_PER_EVENT
    stages = Stage.objects.filter(piece__commission=commission).exclude(step=Stage.Step.PLANNED)
    begun = [s for s in stages.order_by("piece__number", "position") if not s.spec["before_acceptance"]]
    papers = Paper.objects.filter(commission=commission, id__gt=since, withdrawn_at=None).order_by("id")
    payments = Payment.objects.filter(commission=commission, id__gt=since, voided_at=None).order_by("id")
    changes = commission.offers.filter(
        kind=Offer.Kind.CHANGE, step__in=(Offer.Step.DRAFT, Offer.Step.ISSUED, Offer.Step.ACCEPTED)
    )
    return [
        *(f"{title_of(stage)} is {stage.step}; put it back first" for stage in begun),
        *(_of_paper(paper) for paper in papers.exclude(kind__in=NAMED_APART)),
        *(f"change order {n} is written" for n in sorted(set(changes.values_list("number", flat=True)))),
        *(f"a payment of {p.amount} {p.currency} is recorded; void it first" for p in payments),
    ]


def _of_paper(paper: Paper) -> str:
    first = "credit it first" if paper.kind == Paper.INVOICE else "withdraw it first"
    return f"{paper_title(paper.kind).lower()} {paper.number} is issued; {first}"


def _moves(commission: Commission) -> QuerySet[Event]:
    return Event.objects.filter(stream=f"commission:{commission.number}", kind="commission_moved")
