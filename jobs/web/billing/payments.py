"""Money received: record it with its receipt, correct it, void it. For the owner."""

from collections.abc import Mapping
from decimal import Decimal
from functools import partial
from typing import Any

from django import forms
from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from calcs.kit.errors import CalcError
from jobs.core.errors import Probably, ShopError
from jobs.core.parsing import to_money
from jobs.domain import lookups
from jobs.domain.billing.balances import Account, account, summary_of
from jobs.domain.billing.payments import METHODS, WHATS, Share, record_payment
from jobs.domain.billing.sending import MAIL
from jobs.domain.billing.voiding import correct_payment, refuse_to_void, void_payment
from jobs.log.commands import CommandResult
from jobs.log.private_texts import read
from jobs.models import Commission, Payment
from jobs.models.bases import row_key
from jobs.web.billing.about import about
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import (
    OpenChoice,
    PageForm,
    choice_field,
    date_field,
    number_field,
    reason_field,
    sentence,
    text_field,
)
from jobs.web.kit.stored_translations import told_choices
from jobs.web.kit.undo import undo_offer

MEANT = ("again", "more_than_owed")
"""The person's confirmations of a payment that looks like a mistake."""
USUAL = "transfer"


class PaymentForm(PageForm):
    """Money received; asks ``again`` and ``more_than_owed`` only where the payment looks like a mistake."""

    amount = number_field(gettext_lazy("Amount"), autocomplete="off")
    method = OpenChoice(
        label=gettext_lazy("How it came"), choices=told_choices((m, m) for m in METHODS), required=False,
        widget=forms.RadioSelect,
    )  # fmt: skip
    receipt = forms.BooleanField(label=gettext_lazy("Issue the receipt"), required=False)
    received_on = date_field(gettext_lazy("Day"))
    what = choice_field(gettext_lazy("What it is"), told_choices((w, w) for w in WHATS))
    paper = choice_field(gettext_lazy("Pays"), (), help_text=gettext_lazy("What is over pays the oldest."))
    note = text_field(gettext_lazy("Note"))
    reason = reason_field(gettext_lazy("What was wrong"))
    again = choice_field(
        gettext_lazy("The same again"), (("", "no"), ("yes", gettext_lazy("yes, it came twice")))
    )
    more_than_owed = choice_field(
        gettext_lazy("More than is owed"), (("", "no"), ("yes", gettext_lazy("yes, so much came")))
    )
    at_once = ("amount", *MEANT, "method", "receipt")

    def __init__(
        self, data: Any = None, *, invoices: list[str], address: str, is_new: bool, **more: Any
    ) -> None:
        super().__init__(data, **more)
        self.asks = {name: self.fields[name] for name in MEANT}
        self.offer("paper", [("", _("the oldest invoice")), *((i, i) for i in invoices)])
        if len(invoices) < 2:
            del self.fields["paper"]
        if is_new:
            del self.fields["reason"]
        if address:
            self.fields["receipt"].label = _("Mail the receipt to %(address)s") % {"address": address}
        for name in MEANT:
            if name not in (data or {}):
                del self.fields[name]

    def refuse(self, refused: ShopError | CalcError) -> None:
        if isinstance(refused, Probably):
            self.fields[refused.field] = self.asks[refused.field]
        super().refuse(refused)

    def field_of(self, name: str) -> str:
        return "paper" if name.startswith("allocated") else name

    @property
    def asked_at_once(self) -> list[Any]:
        return [self[name] for name in self.at_once if name in self.fields]

    @property
    def folded(self) -> list[Any]:
        return [field for field in self.visible_fields() if field.name not in self.at_once]

    @property
    def is_unfolded(self) -> bool:
        return any(field.errors for field in self.folded)


class VoidForm(PageForm):
    reason = reason_field(help_text=gettext_lazy("May stay empty."))


def _sums(commission: Commission, held: Account) -> dict[str, Decimal]:
    """Return the sums that are likely paid now: the deposit due, the invoices, all that is left."""
    summary = summary_of(commission, today=timezone.localdate(), held=held)
    return {
        "deposit": summary.deposit_open, "invoices": summary.open, "all": summary.left or Decimal(0),
    }  # fmt: skip


def _proposed(sums: Mapping[str, Decimal], asked: str) -> str:
    """Return the amount to begin with: the one asked for, the deposit due, the open invoices, the rest."""
    first = next((sums[name] for name in ("deposit", "invoices", "all") if sums[name]), None)
    found = sums.get(asked) or first
    return f"{found:f}" if found else ""


def _usual_method() -> str:
    """Return the way the last payment came."""
    last = Payment.objects.exclude(method="").order_by("-id").values_list("method", flat=True).first()
    return last or USUAL


def _usual_what(commission: Commission) -> str:
    """Return "deposit" before the invoice of the whole is issued, "payment" after it."""
    return "payment" if account(commission).is_billed else "deposit"


def _asked(asked: dict[str, Any], open_sums: Mapping[str, Decimal], address: str) -> dict[str, Any]:
    """Return what the commands take; a named invoice gets at most its open sum."""
    amount = to_money(asked["amount"], "amount")
    paper = asked.pop("paper", "")
    named = [Share(paper=paper, amount=min(amount, open_sums.get(paper, amount)))] if paper else []
    meant = {name: asked.pop(name, "") == "yes" for name in MEANT}
    send = MAIL if asked["receipt"] and address else ""
    return {**asked, **meant, "amount": amount, "allocated": named, "send": send}


def _open_sums(held: Account) -> dict[str, Decimal]:
    return {i.paper.number: held.open(i) for i in held.open_invoices}


@owner
@require_http_methods(["GET", "POST"])
def payment(request: SignedIn, number: str) -> HttpResponse:
    """Record a payment: the form begins with the sum that is due, the receipt goes with it."""
    found = lookups.commission(number)
    held, of = account(found), about(found)
    sums, open_sums = _sums(found, held), _open_sums(held)
    usual: dict[str, Any] = {
        "amount": _proposed(sums, request.GET.get("sum", "")), "received_on": timezone.localdate(),
        "what": _usual_what(found), "method": _usual_method(), "receipt": bool(of["address"]),
    }  # fmt: skip
    form = PaymentForm(
        request.POST or None, seen=found.version, initial=usual, invoices=list(open_sums), is_new=True,
        address=of["address"],
    )  # fmt: skip
    form.show_unit("amount", of["currency"])
    return command_page(
        request, form,
        lambda call, **asked: record_payment(
            call, commission=number, **_asked(asked, open_sums, of["address"])
        ),
        (_("The payment is recorded."), "web:commission", number), "web/billing/payment.html",
        lambda: {**of, "sums": _others(sums, usual["amount"]), "says": _("Record the payment")},
        partial(_offer_undo, request),
    )  # fmt: skip


def _offer_undo(request: SignedIn, done: CommandResult, says: str) -> None:
    """Offer to void the payment that was just recorded."""
    received = next((event for event in done.events if event.kind == "payment_received"), None)
    if received:
        address = reverse("web:void-payment", args=[row_key(received.seq)])
        undo_offer(request, says, address, {"reason": _("Tapped by mistake")})


def _others(sums: Mapping[str, Decimal], shown: str) -> list[tuple[str, str, Decimal]]:
    """Return the sums that one tap puts into the form; the one that stands there is left out."""
    words = {"deposit": _("the deposit"), "invoices": _("what is invoiced"), "all": _("all of it")}
    found: dict[Decimal, str] = {}
    for name, amount in sums.items():
        if amount and f"{amount:f}" != shown:
            found.setdefault(amount, name)
    return [(name, words[name], amount) for amount, name in found.items()]


@owner
@require_http_methods(["GET", "POST"])
def correct(request: SignedIn, payment: int) -> HttpResponse:
    """Correct a mistyped payment: it is voided and the right one recorded."""
    found = lookups.payment(payment)
    commission = lookups.commission(found.commission.number)
    of, number = about(commission), commission.number
    open_sums = _open_sums(account(commission))
    receipts = list(found.receipts.filter(withdrawn_at=None).values_list("number", flat=True))
    usual = {
        "amount": f"{found.amount:f}", "received_on": found.received_on, "what": found.what,
        "method": found.method or _usual_method(), "note": read(found.note_ref), "receipt": bool(receipts),
    }  # fmt: skip
    form = PaymentForm(
        request.POST or None, seen=commission.version, initial=usual, invoices=list(open_sums), is_new=False,
        address=of["address"],
    )  # fmt: skip
    form.show_unit("amount", of["currency"])
    return command_page(
        request, form,
        lambda call, **asked: correct_payment(
            call, payment=payment, **_asked(asked, open_sums, of["address"])
        ),
        (_("The payment is corrected."), "web:commission", number), "web/billing/payment.html",
        lambda: {
            **of, "payment": found, "receipts": receipts, "refusal": _refusal(found),
            "says": _("Correct this payment"),
        },
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def void(request: SignedIn, payment: int) -> HttpResponse:
    """Void a payment that never came; the page shows the payment and what depends on it."""
    found = lookups.payment(payment)
    number = found.commission.number
    return command_page(
        request, VoidForm(request.POST or None, seen=found.commission.version),
        partial(void_payment, payment=payment), (_("The payment is void."), "web:commission", number),
        "web/billing/payment_void.html",
        lambda: {
            **about(lookups.commission(number)), "payment": found, "amount": abs(found.amount),
            "note": read(found.note_ref), "refusal": _refusal(found),
            "receipts": list(found.receipts.filter(withdrawn_at=None).values_list("number", flat=True)),
        },
    )  # fmt: skip


def _refusal(payment: Payment) -> str:
    """Return why the payment cannot be voided, or an empty string."""
    try:
        refuse_to_void(payment)
    except ShopError as refused:
        return sentence(refused)
    return ""
