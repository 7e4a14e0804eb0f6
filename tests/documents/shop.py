"""A shop whose commissions have papers, and the worker that renders them."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

from jobs.core import blobs
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.prices import Line, set_price
from jobs.domain.workshop.commands import set_shop
from jobs.models import Paper, Piece
from jobs.worker.outbox import dispatch_outbox
from tests.shop_fixtures import Work, an_owner, issue_checklist, the_paper

PRICES = ("1850", "78.125", "12.3456", "0.99", "249.995")
DETAILS = {
    "name": "Lindenau Table Works", "address": "4 Mill Race\nAldersey", "contact": "555 0199",
    "tax_id": "TX-88121", "payment": "Account 1029384756", "terms": "Fourteen days, thank you kindly",
}  # fmt: skip


def a_shop(**settings: Any) -> Work:
    work = Work(an_owner())
    set_shop(work.call(), settings=settings, **DETAILS)
    return work


def priced(work: Work, piece: Piece, count: int, *, deposits: int = 1) -> str:
    """Set a price of so many lines of different kinds, and record so many deposits; return the number."""
    lines = [
        Line(
            description=f"Line {n} of the price",
            unit_price=Decimal(PRICES[n % len(PRICES)]),
            quantity=Decimal(n % 3 + 1) if n % 4 else Decimal("2.5"),
            unit_code=("C62", "HUR", "BFT")[n % 3],
            tax_category="E" if n % 7 == 3 else "S",
            tax_pct=Decimal(0) if n % 7 == 3 else Decimal("8.25") if n % 2 else Decimal(6),
        )
        for n in range(count)
    ]
    number = piece.commission.number
    set_price(work.call(), commission=number, lines=lines)
    for n in range(deposits):
        record_payment(work.call(), commission=number, amount=Decimal(f"{100 * n + 50}.5"), what="deposit")
    return number


def rendered(work: Work) -> None:
    """Let the worker do what is due."""
    work.go(seconds=1)
    dispatch_outbox(work.now + timedelta(seconds=1))


def issued_invoice(work: Work, number: str, **more: Any) -> Paper:
    return the_paper(issue_invoice(work.call(), commission=number, **more))


def issued_checklist(work: Work, number: str) -> Paper:
    return the_paper(issue_checklist(work.call(), commission=number))


def file_of(paper: Paper) -> bytes:
    paper.refresh_from_db()
    return blobs.load(paper.file_sha256)
