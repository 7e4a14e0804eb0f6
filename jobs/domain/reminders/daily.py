"""Morning reminders: promises at risk, clients without news, payments, deliveries, supplies.

Clients' words cause a reminder at once: a question, a yes or a no. Each reminder has a subject, such as
``commission:2026-014``, and an occasion, the day of its morning. The same subject may need another reminder
on another day.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from jobs.domain import lookups
from jobs.domain.billing.balances import account_of, payments_of
from jobs.domain.reminders.preferences import FOR_OWNERS, audience
from jobs.domain.reminders.schedule import build_schedule as due_rows
from jobs.domain.reminders.schedule import replace_schedule
from jobs.domain.settings import settings
from jobs.domain.stock.shelf_life import best_before
from jobs.models import (
    ClientQuestion,
    ClientUpdate,
    Commission,
    Event,
    Invoice,
    Offer,
    Paper,
    ReminderDue,
    ReminderKind,
    ReminderReply,
    Supply,
    Wait,
)

AHEAD = timedelta(days=3)
"""Lead of reminders about a promise or a payment. Common practice, no source."""
DAY = timedelta(days=1)
IN_WORK = (Commission.Step.ACCEPTED, Commission.Step.IN_SHOP)
TO_BE_TOLD = (*IN_WORK, Commission.Step.READY)
CLIENT = "client:"
"""Prefix of an actor who is a client."""
ANSWERS = {Offer.Step.ACCEPTED: ReminderKind.SAID_YES, Offer.Step.DECLINED: ReminderKind.SAID_NO}
UNPAID = (Commission.Step.DECLINED, Commission.Step.CANCELLED)


@dataclass(frozen=True, kw_only=True)
class ReminderTrigger:
    """The subject, kind and time of a reminder."""

    subject: str
    kind: ReminderKind
    at: datetime

    @property
    def occasion(self) -> str:
        return timezone.localtime(self.at).date().isoformat()


class Mornings:
    """The shop's mornings, on its clock."""

    def __init__(self) -> None:
        self.settings = settings()
        self.clock = time.fromisoformat(self.settings["morning"])

    def days_of(self, commission: Commission) -> int:
        """Return after how many days without news a client is named; 0 for never."""
        own = commission.tell_days
        return int(self.settings["tell_client_days"] or 0) if own is None else own

    def of(self, day: date) -> datetime:
        return datetime.combine(day, self.clock, timezone.get_current_timezone())

    def after(self, moment: datetime) -> datetime:
        """Return the first morning at or after this moment."""
        morning = self.of(_day(moment))
        return morning if morning >= moment else self.of(_day(moment) + DAY)


def refresh_promises(numbers: Collection[str]) -> None:
    """Recompute the reminders about the promised days of these commissions."""
    refresh_commissions(promises=numbers)


def refresh_commissions(
    *, promises: Collection[str] = (), invoices: Collection[str] = (), words: Collection[str] = ()
) -> None:
    """Recompute the reminders about promises, invoices and clients' words of these commissions."""
    commissions = lookups.commissions({*promises, *invoices, *words})
    if not commissions:
        return
    parts = [
        _promises([c for c in commissions if c.number in promises]),
        _invoices([c for c in commissions if c.number in invoices]),
        _said_by_clients([c for c in commissions if c.number in words]),
    ]
    subjects = [subject for part in parts for subject in part]
    _put(subjects, (cause for part in parts for causes in part.values() for cause in causes))


Told = dict[str, list["ReminderTrigger"]]
"""Triggers by subject; empty for a subject that needs no reminder any more."""


def _promises(commissions: list[Commission]) -> Told:
    if not commissions:
        return {}
    mornings = Mornings()
    ending = _waits([c for c in commissions if c.promise_on is not None and c.step in IN_WORK])
    told = last_told([c for c in commissions if mornings.days_of(c) and c.step in TO_BE_TOLD])
    return {
        f"commission:{c.number}": _of_commission(c, ending.get(c.id, []), told.get(c.id), mornings)
        for c in commissions
    }


def _invoices(commissions: list[Commission]) -> Told:
    if not commissions:
        return {}
    mornings, found = Mornings(), Told()
    issued = Invoice.objects.filter(paper__commission__in=commissions, paper__kind=Paper.Kind.INVOICE)
    invoices = list(issued.select_related("paper").order_by("id"))
    moneys = payments_of(commissions)
    for commission in commissions:
        mine = [one for one in invoices if one.paper.commission_id == commission.id]
        holding = [one for one in mine if one.paper.withdrawn_at is None and commission.step not in UNPAID]
        of = account_of(holding, moneys[commission.id])
        for one in mine:
            asked = one in holding and of.open(one) > 0
            found[f"invoice:{one.paper.number}"] = _of_invoice(one, mornings) if asked else []
    return found


def refresh_supplies(found: QuerySet[Supply]) -> None:
    """Recompute the reminders about these supplies."""
    supplies = list(found)
    if not supplies:
        return
    mornings = Mornings()
    changed = dict(
        Event.objects.filter(seq__in={s.version for s in supplies}).values_list("seq", "occurred_at")
    )
    causes = [
        ReminderTrigger(subject=f"supply:{supply.id}", kind=ReminderKind.SUPPLY, at=at)
        for supply in supplies
        if supply.discarded_at is None
        for at in _of_supply(supply, best_before(supply), changed[supply.version], mornings)
    ]
    _put([f"supply:{s.id}" for s in supplies], causes)


def _of_commission(
    commission: Commission,
    ending: list[tuple[datetime, datetime]],
    told: datetime | None,
    mornings: Mornings,
) -> list[ReminderTrigger]:
    """Return the triggers of a commission.

    ``ending`` holds, for each running wait, when it began and when it ends at the latest.
    """
    at: list[tuple[ReminderKind, datetime]] = []
    promise, step = commission.promise_on, commission.step
    if promise is not None and step in IN_WORK:
        near = mornings.after(max(mornings.of(promise - AHEAD), commission.opened_at))
        too_long = [since for since, until in ending if _day(until) > promise]
        first = mornings.after(min(too_long)) if too_long else near
        at += [(ReminderKind.PROMISE, moment) for moment in sorted({near, min(near, first)})]
    if promise is not None and step == Commission.Step.READY:
        tomorrow = max(mornings.of(promise - DAY), commission.step_at)
        if _day(tomorrow) < promise:
            at.append((ReminderKind.DELIVERY, tomorrow))
    if told is not None:
        days = mornings.days_of(commission)
        at.append((ReminderKind.UNTOLD, mornings.of(_day(told) + days * DAY)))
    return [
        ReminderTrigger(subject=f"commission:{commission.number}", kind=kind, at=moment)
        for kind, moment in at
    ]


def last_told(commissions: Collection[Commission]) -> dict[int, datetime]:
    """Return when each client last heard of a commission: by the newest update, else by its last step."""
    updates = ClientUpdate.objects.filter(commission__in=commissions).order_by("told_at")
    return {c.id: c.step_at for c in commissions} | dict(updates.values_list("commission", "told_at"))


def _said_by_clients(commissions: Collection[Commission]) -> Told:
    """Return the triggers of clients' questions and answers."""
    if not commissions:
        return {}
    asked = ClientQuestion.objects.filter(commission__in=commissions)
    found: Told = {}
    for key, at, settled in asked.values_list("id", "asked_at", "settled_at"):
        subject = f"question:{key}"
        found[subject] = [] if settled else [ReminderTrigger(subject=subject, kind=ReminderKind.ASKED, at=at)]
    live = {c.id for c in commissions if c.step not in Commission.ENDED}
    given = Offer.objects.filter(commission__in=commissions).exclude(step=Offer.Step.DRAFT)
    offers = list(given.order_by("version"))
    newest = {offer.number: offer.id for offer in offers}
    for offer in offers:
        if offer.step in ANSWERS and offer.decided_at and offer.decided_by.startswith(CLIENT):
            subject, kind = f"answer:{offer.id}", ANSWERS[Offer.Step(offer.step)]
            stands = offer.commission_id in live and newest[offer.number] == offer.id
            cause = ReminderTrigger(subject=subject, kind=kind, at=offer.decided_at)
            found[subject] = [cause] if stands else []
    return found


def _of_invoice(invoice: Invoice, mornings: Mornings) -> list[ReminderTrigger]:
    """Return one trigger before the due date and one after it."""
    ahead = mornings.after(max(mornings.of(invoice.due_on - AHEAD), invoice.paper.issued_at))
    late = mornings.of(invoice.due_on + DAY)
    return [
        ReminderTrigger(subject=f"invoice:{invoice.paper.number}", kind=ReminderKind.PAYMENT, at=at)
        for at in sorted({min(ahead, late), late})
    ]


def _of_supply(supply: Supply, best: date | None, changed: datetime, mornings: Mornings) -> list[datetime]:
    """Return the morning after a supply ran low, and the one after its last good day."""
    found = {mornings.after(changed)} if supply.level in (Supply.Level.LOW, Supply.Level.EMPTY) else set()
    if best is not None and supply.level != Supply.Level.EMPTY:
        found.add(mornings.of(best + DAY))
    return sorted(found)


def _waits(commissions: Collection[Commission]) -> dict[int, list[tuple[datetime, datetime]]]:
    running = Wait.objects.filter(
        step=Wait.Step.RUNNING, stage__piece__commission__in=commissions, estimate__ready_at__isnull=False
    )
    found: dict[int, list[tuple[datetime, datetime]]] = {}
    times = ("since", "estimate__latest_at", "estimate__ready_at")
    for commission, since, latest, ready in running.values_list("stage__piece__commission_id", *times):
        found.setdefault(commission, []).append((since, latest or ready))
    return found


def _put(subjects: Collection[str], causes: Iterable[ReminderTrigger]) -> None:
    """Replace the scheduled rows of these subjects."""
    standing, causes = ReminderDue.objects.filter(subject__in=subjects), list(causes)
    told = {cause.subject for cause in causes}
    replies: dict[tuple[Any, ...], list[ReminderReply]] = {}
    for reply in ReminderReply.objects.filter(subject__in=told).order_by("id"):
        replies.setdefault((reply.subject, reply.occasion, reply.kind, reply.person), []).append(reply)
    due: list[ReminderDue] = []
    hearers = audience()
    for cause in causes:
        about = {"subject": cause.subject, "occasion": cause.occasion}
        for person in hearers.people:
            if person.is_owner or cause.kind not in FOR_OWNERS:
                mine = replies.get((*about.values(), cause.kind, person.id), [])
                due += due_rows(about, cause.kind, cause.at, person, mine, since=cause.at, audience=hearers)
    replace_schedule(standing, due)


def _day(moment: datetime) -> date:
    return timezone.localtime(moment).date()
