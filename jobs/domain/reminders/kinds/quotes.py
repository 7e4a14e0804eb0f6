"""The reminder of a quote that the client has not answered."""

from collections.abc import Collection, Iterable, Mapping
from datetime import datetime
from typing import Any

from django.db.models import Model
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop, ngettext

from jobs.domain.quoting.next_step import with_sending
from jobs.domain.reminders.kinds.base import (
    Fact,
    News,
    Preference,
    SubjectKind,
    Telling,
    reminder_kind,
    rows_by,
)
from jobs.domain.reminders.kinds.commissions import about_commission, commission_fact
from jobs.domain.reminders.times import DAY, Mornings, local_day
from jobs.domain.settings import settings
from jobs.models import Commission, Offer


def _quotes_of(names: Collection[str] | None) -> Mapping[str, Offer]:
    """Return the issued quotes of these commissions with when each was sent; every one for None."""
    found = Offer.objects.filter(kind=Offer.Kind.QUOTE).exclude(step=Offer.Step.DRAFT)
    found = with_sending(found.select_related("commission"))
    found = found if names is None else found.filter(commission__number__in=names)
    return {str(offer.id): offer for offer in found}


@reminder_kind
class QuoteUnanswered(SubjectKind):
    key, title, place = gettext_noop("quote unanswered"), gettext_noop("Quote not answered for a while"), 125
    usual = Preference(by_push=False)
    owners_only = True
    can_wait = True
    does = gettext_lazy("Ask again")
    noun = "quote"
    load = staticmethod(rows_by("id", with_sending(Offer.objects.select_related("commission"))))
    rests_on = staticmethod(_quotes_of)
    after = (
        "offer_issued", "offer_accepted", "offer_declined", "offer_expired", "paper_sent",
        "paper_not_delivered", "commission_moved", "acceptance_taken_back", "decline_taken_back",
    )  # fmt: skip
    settings = ("morning", "quote_follow_up_days")

    def touched_by_reply(self, name: str) -> Iterable[str]:
        return Commission.objects.filter(offers=int(name)).values_list("number", flat=True)

    def schedule(self, found: Mapping[str, Any], mornings: Mornings) -> Mapping[str, Iterable[datetime]]:
        days = int(settings()["quote_follow_up_days"])
        return {name: _morning(offer, days, mornings) for name, offer in found.items()}

    def rows_of(self, row: Offer) -> Iterable[Model]:
        return [row.commission]

    def news(self, row: Any, tell: Telling) -> News:
        count = (tell.today - local_day(row.sent_at)).days
        says = ngettext("quote unanswered, %(count)s day", "quote unanswered, %(count)s days", count)
        path = f"/offers/{row.number}/again/"
        return about_commission(row.commission, says % {"count": count}, path, tell)

    def facts(self, row: Any, tell: Telling) -> list[Fact]:
        opened = tell.day(local_day(row.opened_at)) if row.opened_at else _("not yet")
        return [
            commission_fact(row.commission, tell),
            (_("Opened by the client"), opened),
            (_("Good until"), tell.day(row.valid_until)),
        ]


def _morning(offer: Any, days: int, mornings: Mornings) -> list[datetime]:
    """Return the morning on which to ask again; none once the quote is answered or has lapsed."""
    live = offer.step == Offer.Step.ISSUED and offer.commission.step in Commission.UNDECIDED
    if not (days and live and offer.sent_at):
        return []
    day = local_day(offer.sent_at) + days * DAY
    return [mornings.of(day)] if offer.valid_until is None or day <= offer.valid_until else []
