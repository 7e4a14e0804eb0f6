"""What a client reads in the mails with invoices, receipts and other papers."""

import json
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.domain import lookups
from jobs.domain.billing.paying import pay_to
from jobs.domain.billing.sending import CREDIT, DEPOSIT, INVOICE, RECEIPT, WORK, open_sum
from jobs.domain.clients.mailing import Fact, Said, money_words
from jobs.domain.papers.kinds import paper_title
from jobs.log.private_texts import Texts, read
from jobs.models import Commission, Paper, PaperSending

ZERO = Decimal(0)
BY = {
    "cash": gettext_lazy("in cash"), "check": gettext_lazy("by check"),
    "transfer": gettext_lazy("by transfer"), "card": gettext_lazy("by card"),
}  # fmt: skip


def _deposit(sending: PaperSending, texts: Texts) -> Said:
    what = _names(sending, texts)
    return Said(
        subject=_("%(title)s: your deposit") % what,
        sentences=[
            _("Thank you for your order: %(title)s.") % what,
            _("Here is the invoice for the deposit; we buy the wood when it is here."),
        ],
        facts=_to_pay(sending, open_sum(sending.paper)),
        button=_("Open your page"),
    )


def _invoice(sending: PaperSending, texts: Texts) -> Said:
    what, due = _names(sending, texts), open_sum(sending.paper)
    delivered = (Commission.Step.DELIVERED, Commission.Step.CLOSED)
    is_there = sending.paper.commission and sending.paper.commission.step in delivered
    first = _("%(title)s is with you now.") if is_there else _("Here is the invoice for %(title)s.")
    second = _("Its invoice is with this mail.") if is_there else _("It is with this mail.")
    return Said(
        subject=_("%(title)s: invoice %(paper)s") % what,
        sentences=[first % what, second if due > 0 else _("All of it is paid, thank you.")],
        facts=_to_pay(sending, due),
        button=_("Open your page"),
    )


def _reminder(sending: PaperSending, texts: Texts) -> Said:
    return Said(
        subject=_("%(title)s: invoice %(paper)s is open") % _names(sending, texts),
        sentences=[],
        facts=_to_pay(sending, open_sum(sending.paper)),
        button=_("Open your page"),
    )


def _receipt(sending: PaperSending, texts: Texts) -> Said:
    content = _content(sending)
    payment, currency, left = content["payment"], content["currency"], content["order"]["left"]
    told = {
        "amount": money_words(Decimal(payment["amount"]), currency),
        "day": _day(payment["received_on"]),
        "by": BY.get(payment.get("method", ""), ""),
    }
    says = _("We received %(amount)s on %(day)s.")
    if told["by"]:
        says = _("We received %(amount)s %(by)s on %(day)s.")
    is_open = left is not None and Decimal(left) > 0
    return Said(
        subject=_("%(title)s: we received your payment") % _names(sending, texts),
        sentences=[says % told, _("Thank you; the receipt is with this mail.")],
        facts=[(_("Still to pay on this order"), money_words(Decimal(left), currency))] if is_open else [],
        button=_("Open your page"),
    )


def _credit(sending: PaperSending, texts: Texts) -> Said:
    what = {**_names(sending, texts), "invoice": sending.paper.credits}
    if sending.paper.what == Paper.PART:
        return _part_credit(sending, what)
    return Said(
        subject=_("%(title)s: invoice %(invoice)s no longer holds") % what,
        sentences=[
            _("We took invoice %(invoice)s back.") % what,
            _("Please pay nothing on it; the credit note is with this mail."),
        ],
        facts=[],
        button=_("Open your page"),
    )


def _part_credit(sending: PaperSending, what: dict[str, str]) -> Said:
    """Word the credit note of a part: the invoice holds on with the rest."""
    content, currency = _content(sending), sending.paper.invoice.currency
    says = _("We took %(amount)s off invoice %(invoice)s.")
    left = lookups.paper(sending.paper.credits)
    return Said(
        subject=_("%(title)s: invoice %(invoice)s is lower now") % what,
        sentences=[
            says % {**what, "amount": money_words(sending.paper.invoice.total, currency)},
            _("The credit note is with this mail. The rest of the invoice stands."),
        ],
        facts=[
            (_("Left of the invoice"), money_words(Decimal(content["left"]), currency)),
            *_to_pay_of(content, left.number, open_sum(left)),
        ],
        button=_("Open your page"),
    )


def _work(sending: PaperSending, texts: Texts) -> Said:
    what = {**_names(sending, texts), "what": _(paper_title(sending.paper.kind)).lower()}
    return Said(
        subject=_("%(title)s: %(what)s") % what,
        sentences=[_("Here is the %(what)s for %(title)s.") % what, _("Please keep it with the piece.")],
        facts=[],
        button=_("Open your page"),
    )


BILLS: dict[str, Callable[[PaperSending, Texts], Said]] = {
    DEPOSIT: _deposit, INVOICE: _invoice, PaperSending.REMINDER: _reminder, RECEIPT: _receipt,
    CREDIT: _credit, WORK: _work,
}  # fmt: skip
"""The mails of this file by their occasion."""


def _names(sending: PaperSending, texts: Texts) -> dict[str, str]:
    commission = sending.paper.commission
    return {"title": texts[commission.title_ref] if commission else "", "paper": sending.paper.number}


def _content(sending: PaperSending) -> dict[str, Any]:
    """Return what the paper says."""
    content: dict[str, Any] = json.loads(read(sending.paper.frozen_ref))
    return content


def _to_pay(sending: PaperSending, amount: Decimal) -> list[Fact]:
    """Return what is to be paid, by when, how, and what to name; nothing where all is paid."""
    return _to_pay_of(_content(sending), sending.paper.number, amount)


def _to_pay_of(content: dict[str, Any], paper: str, amount: Decimal) -> list[Fact]:
    if amount <= ZERO:
        return []
    account = pay_to({**content, "number": paper})
    how = ", ".join(line.strip() for line in account.said.splitlines() if line.strip())
    facts = [
        (_("To pay"), money_words(amount, content["currency"])),
        (_("By"), _day(content["due_on"])),
        (_("Pay to"), account.payee),
        (_("IBAN"), account.iban),
        (_("BIC"), account.bic),
        (_("How to pay"), how),
        (_("Reference"), account.reference),
    ]
    return [(name, text) for name, text in facts if text]


def _day(day: str) -> str:
    return date_format(date.fromisoformat(day), "j F Y")
