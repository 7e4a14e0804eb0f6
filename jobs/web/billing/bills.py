"""Invoices on their way: issue and send a deposit invoice or the invoice, send a paper again, remind."""

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from jobs.core.parsing import to_decimal, to_money
from jobs.domain import lookups
from jobs.domain.billing.balances import summary_of
from jobs.domain.billing.deposits import deposit_of, usual_ask
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.billing.invoices import data_gaps, price_sums, tax_gaps, usual_due
from jobs.domain.billing.paying import day_of_supply
from jobs.domain.billing.prices import agreed_price, price_trouble
from jobs.domain.billing.sending import HAND, MAIL, open_sum, remind, reminder_words, send_to_client
from jobs.domain.papers.sending import LONGEST_ADDRESS
from jobs.models import Commission, Event, Paper
from jobs.web.billing.about import about, paper_name
from jobs.web.billing.invoice_data import shown_gaps
from jobs.web.kit.access import owner, worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.formatting import number_words
from jobs.web.kit.forms import PageForm, date_field, number_field, text_field

TEMPLATE = "web/billing/bill.html"
Fact = tuple[str, Any, str]
"""A label, an amount or a day, and which of the two: "money" or "day"."""


class SendForm(PageForm):
    """The address of the mail; the one that is known goes without saying."""

    to = text_field(
        gettext_lazy("Mail it to"), type="email", inputmode="email", autocomplete="off",
        maxlength=str(LONGEST_ADDRESS),
    )  # fmt: skip
    opens: tuple[str, ...] = ()
    """Fields that are asked at once; the others are folded."""

    def __init__(self, data: Any = None, *, address: str, **more: Any) -> None:
        super().__init__(data, **more)
        if not address:
            self.opens = (*self.opens, "to")
        self.fields["to"].widget.attrs["placeholder"] = address

    @property
    def asked_at_once(self) -> list[Any]:
        return [self[name] for name in self.opens]

    @property
    def folded(self) -> list[Any]:
        return [field for field in self.visible_fields() if field.name not in self.opens]

    @property
    def is_unfolded(self) -> bool:
        return any(field.errors for field in self.folded)


class InvoiceForm(SendForm):
    """An invoice, its day, and the address."""

    due_on = date_field(gettext_lazy("Due on"))


class WholeForm(InvoiceForm):
    """The invoice of the whole price, and when it was supplied."""

    supplied_on = date_field(
        gettext_lazy("Date of supply"), help_text=gettext_lazy("The day of delivery; empty before it")
    )


class DepositForm(InvoiceForm):
    """A share of the price, or a sum of it."""

    pct = number_field(gettext_lazy("Part of the price"), suffix="%", autocomplete="off")
    amount = number_field(
        gettext_lazy("Or a sum, with tax"), help_text=gettext_lazy("It takes the place of the part."),
        autocomplete="off",
    )  # fmt: skip


class ReminderForm(SendForm):
    """The words of a reminder."""

    words = text_field(gettext_lazy("The mail says"), lines=6)
    opens = ("words",)


def _way(request: SignedIn) -> str:
    return HAND if request.POST.get("do") == HAND else MAIL


def _sent(request: SignedIn, number: str) -> Callable[[Event], tuple[Any, ...]]:
    """Return what follows: the paper to print, or the commission with a word on the mail."""

    def done(first: Event) -> tuple[Any, ...]:
        paper = first.data["paper"]
        if _way(request) == HAND:
            return _("%(paper)s is issued; print it and hand it over.") % {"paper": paper}, "web:pdf", paper
        return _("%(paper)s is on its way by mail.") % {"paper": paper}, "web:commission", number

    return done


def _of_tax(found: Commission) -> dict[str, Any]:
    """Return what lines without tax need first, and what is wrong with the client's certificate."""
    return {
        "needs": shown_gaps(tax_gaps(found), found),
        "trouble": price_trouble(found, timezone.localdate()),
    }


@owner
@require_http_methods(["GET", "POST"])
def deposit(request: SignedIn, number: str) -> HttpResponse:
    """Issue a deposit invoice and send it."""
    found = lookups.commission(number)
    of, ask = about(found), usual_ask(found)
    usual = {
        "pct": number_words(ask.pct) if ask.amount is None else "", "amount": number_words(ask.amount),
        "due_on": usual_due(timezone.localdate()),
    }  # fmt: skip

    def context() -> Mapping[str, Any]:
        price = agreed_price(found, lookups.price_lines(found))
        facts: list[Fact] = []
        if price is not None:
            asked = deposit_of(price_sums(found), ask)
            facts = [(_("Price"), price, "money"), (_("Deposit"), asked, "money")]
        return {
            **of, "facts": [*facts, (_("Due"), usual["due_on"], "day")], "lacks_price": price is None,
            "says": _("Send the deposit invoice"), "folds": _("Part, day, address"), **_of_tax(found),
        }  # fmt: skip

    form = DepositForm(request.POST or None, seen=found.version, initial=usual, address=of["address"])
    form.show_unit("amount", of["currency"])
    return command_page(
        request, form,
        lambda call, *, pct, amount, due_on, to: issue_deposit(
            call, commission=number, due_on=due_on, send=_way(request), to=to,
            **({"amount": to_money(amount, "amount")} if amount else {"pct": to_decimal(pct, "pct")}),
        ),
        _sent(request, number), TEMPLATE, context,
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def invoice(request: SignedIn, number: str) -> HttpResponse:
    """Issue the invoice of the whole price and send it."""
    found = lookups.commission(number)
    of = about(found)
    usual = {"due_on": usual_due(timezone.localdate()), "supplied_on": day_of_supply(found)}

    def context() -> Mapping[str, Any]:
        sums = summary_of(found, today=timezone.localdate())
        price, facts = sums.agreed, list[Fact]()
        if price is not None:
            facts = [
                (_("Price"), price, "money"),
                (_("Paid"), sums.paid, "money"),
                (_("To pay"), sums.left, "money"),
            ]
        return {
            **of, "facts": [*facts, (_("Due"), usual["due_on"], "day")], "lacks_price": price is None,
            "says": _("Issue the invoice and send it"), "button": _("Issue it and send it"),
            "folds": _("Days, address"), "draft": Paper.INVOICE, **_of_tax(found),
            "lacking": shown_gaps(data_gaps(found) if price is not None else [], found),
        }  # fmt: skip

    form = WholeForm(request.POST or None, seen=found.version, initial=usual, address=of["address"])
    issue = partial(issue_invoice, commission=number, send=_way(request))
    return command_page(request, form, issue, _sent(request, number), TEMPLATE, context)


@worker
@require_http_methods(["GET", "POST"])
def send(request: SignedIn, paper: str) -> HttpResponse:
    """Send an issued paper, once more too."""
    found, commission = _of_commission(request, paper)
    of, name = about(commission), paper_name(found.kind, found.what)

    def context() -> Mapping[str, Any]:
        last = found.last_sent
        facts: list[Fact] = [(_("Issued"), timezone.localtime(found.issued_at).date(), "day")]
        if found.asks_for_money:
            facts = [(_("To pay"), open_sum(found), "money"), (_("Due"), found.invoice.due_on, "day")]
        if last is not None:
            says = _("Mailed before") if last.by_mail else _("Handed over before")
            facts.append((says, timezone.localtime(last.sent_at).date(), "day"))
        verb = _("Send it again") if last else _("Send the %(what)s") % {"what": name.lower()}
        return {**of, "facts": facts, "says": verb, "folds": _("Another address"), "paper": found}

    def done(first: Event) -> tuple[Any, ...]:
        if _way(request) == HAND:
            return _("Print %(paper)s and hand it over.") % {"paper": paper}, "web:pdf", paper
        return _("%(paper)s is on its way by mail.") % {"paper": paper}, "web:commission", commission.number

    return command_page(
        request, SendForm(request.POST or None, seen=found.version, address=of["address"]),
        partial(send_to_client, paper=paper, how=_way(request)), done, TEMPLATE, context,
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def remind_of(request: SignedIn, paper: str) -> HttpResponse:
    """Remind the client of an open invoice by mail; the words are proposed."""
    found, commission = _of_commission(request, paper)
    of, today = about(commission), timezone.localdate()

    def context() -> Mapping[str, Any]:
        facts: list[Fact] = [
            (_("Open"), open_sum(found), "money"), (_("Due"), found.invoice.due_on, "day"),
        ]  # fmt: skip
        return {
            **of, "facts": facts, "says": _("Remind them"), "folds": _("Another address"), "paper": found,
            "only_mail": True, "button": _("Send the reminder"),
        }  # fmt: skip

    words = reminder_words(found, today=today) if found.asks_for_money else ""
    form = ReminderForm(
        request.POST or None, seen=found.version, initial={"words": words}, address=of["address"]
    )
    done = (_("The reminder is on its way by mail."), "web:commission", commission.number)
    return command_page(request, form, partial(remind, paper=paper), done, TEMPLATE, context)


def _of_commission(request: SignedIn, paper: str) -> tuple[Paper, Commission]:
    found = lookups.paper(paper)
    if found.is_money and not request.user.is_owner:
        raise PermissionDenied(_("Invoices are for the owner of the shop."))
    if found.commission is None:
        raise PermissionDenied(_("A statement is printed and handed over."))
    return found, lookups.commission(found.commission.number)
