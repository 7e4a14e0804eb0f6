"""The reminder of an invoice: before the day on which it is due, and after it."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django.db.models import Model
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop, ngettext

from jobs.domain import lookups
from jobs.domain.billing.balances import account, accounts
from jobs.domain.reminders.kinds.base import (
    Fact,
    News,
    Preference,
    SubjectKind,
    Telling,
    reminder_kind,
    rows_by,
)
from jobs.domain.reminders.kinds.commissions import AHEAD, commission_fact, load_commissions
from jobs.domain.reminders.times import DAY, Mornings
from jobs.models import Commission, Event, Invoice, Paper

OF_STEPS = ("commission_moved", "acceptance_taken_back", "decline_taken_back")
UNPAID = (Commission.Step.DECLINED, Commission.Step.CANCELLED)


@reminder_kind
class PaymentDue(SubjectKind):
    key, title, place = gettext_noop("payment due"), gettext_noop("Payment due or late"), 130
    usual = Preference(by_push=False)
    does = gettext_lazy("Remind")
    owners_only = True
    noun = "invoice"
    load = staticmethod(rows_by("paper__number", Invoice.objects.select_related("paper__commission")))
    rests_on = staticmethod(load_commissions)
    after = ("paper_issued", "payment_received", "payment_voided", *OF_STEPS)

    def touched(self, event: Event) -> Iterable[str]:
        """Return the commission, where its invoices, its money or whether it is paid at all changed."""
        if event.kind in OF_STEPS and event.data["to"] not in UNPAID:
            return ()
        if event.kind == "paper_issued" and event.data["invoice"] is None:
            return ()
        return super().touched(event)

    def touched_by_reply(self, name: str) -> Iterable[str]:
        return Commission.objects.filter(papers__number=name).values_list("number", flat=True)

    def schedule(self, found: Mapping[str, Any], mornings: Mornings) -> Mapping[str, Iterable[datetime]]:
        commissions, at = list(found.values()), {}
        held = accounts(commissions)
        for commission in commissions:
            of = held[commission.id]
            for one in (each for each in of.documents if each.paper.kind == Paper.INVOICE):
                asked = commission.step not in UNPAID and of.open(one) > 0
                at[one.paper.number] = _mornings_of_invoice(one, mornings) if asked else []
        return at

    def rows_of(self, row: Invoice) -> Iterable[Model]:
        return [_commission(row)]

    def news(self, row: Invoice, tell: Telling) -> News:
        late, where = (tell.today - row.due_on).days, _commission(row).number
        says = _("overdue since") if late > 0 else "due"
        line = ngettext("has not paid, %(days)s day late", "has not paid, %(days)s days late", late)
        return News(
            headline=_("Invoice %(number)s: %(says)s %(due_on)s")
            % {"number": row.paper.number, "says": says, "due_on": tell.day(row.due_on)},
            path=f"/papers/{row.paper.number}/remind/" if late > 0 else f"/commissions/{where}/money/",
            commission=_commission(row).number,
            about=lookups.short_number(_commission(row).number),
            line=line % {"days": late} if late > 0 else _("pays by %(day)s") % {"day": tell.day(row.due_on)},
            late=late > 0,
        )

    def facts(self, row: Invoice, tell: Telling) -> list[Fact]:
        commission = _commission(row)
        open_sum = account(commission).open(row)
        return [commission_fact(commission, tell), (_("Open"), f"{open_sum} {row.currency}")]


def _commission(invoice: Invoice) -> Commission:
    commission = invoice.paper.commission
    assert commission is not None, "an invoice is of a commission"
    return commission


def _mornings_of_invoice(invoice: Invoice, mornings: Mornings) -> list[datetime]:
    """Return a morning before the due date and one after it."""
    ahead = mornings.after(max(mornings.of(invoice.due_on - AHEAD), invoice.paper.issued_at))
    late = mornings.of(invoice.due_on + DAY)
    return sorted({min(ahead, late), late})
