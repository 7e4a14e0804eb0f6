"""What is told in the morning: promises at risk, clients left without news, payments, deliveries, supplies.

What clients say is told at once: a question, a yes or a no. Each is about a subject, such as
``commission:2026-014``, and has an occasion: the day on whose morning it is told. The same subject may give
cause again on another day; that is another reminder.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from jobs.domain.billing.balances import accounts
from jobs.domain.reminders.preferences import FOR_OWNERS, RecipientDirectory
from jobs.domain.reminders.schedule import build_schedule, replace_schedule
from jobs.domain.settings import settings
from jobs.domain.stock.shelf_life import all_products, best_before
from jobs.models import (
    OF_SUBJECTS,
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
from jobs.models.bases import row_key

AHEAD = timedelta(days=3)
"""How long before a promise or a payment it is told. Common practice, no source."""
DAY = timedelta(days=1)
IN_WORK = (Commission.Step.ACCEPTED, Commission.Step.IN_SHOP)
TO_BE_TOLD = (*IN_WORK, Commission.Step.READY)
CLIENT = "client:"
"""How an actor begins who is a client."""
ANSWERS = {Offer.Step.ACCEPTED: ReminderKind.SAID_YES, Offer.Step.DECLINED: ReminderKind.SAID_NO}
UNPAID = (Commission.Step.DECLINED, Commission.Step.CANCELLED)


@dataclass(frozen=True, kw_only=True)
class ReminderTrigger:
    """Something to be told on a morning."""

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

    def of(self, day: date) -> datetime:
        return datetime.combine(day, self.clock, timezone.get_current_timezone())

    def after(self, moment: datetime) -> datetime:
        """The first morning that does not come before this moment."""
        morning = self.of(_day(moment))
        return morning if morning >= moment else self.of(_day(moment) + DAY)


def refresh_for(events: Iterable[Event]) -> None:
    """Bring up to date what these events touched."""
    subjects: set[str] = set()
    for event in events:
        if event.kind == "shop_set" and event.data["settings"].keys() & {"morning", "tell_client_days"}:
            refresh_all()
            return
        if event.stream.startswith("commission:"):
            subjects.add(event.stream)
        elif event.kind.startswith("supply_"):
            subjects.add(f"supply:{event.data.get('supply') or row_key(event.seq)}")
        elif event.kind == "sheet_set":
            made_of = Supply.objects.filter(sheet=event.data["key"])
            subjects |= {f"supply:{key}" for key in made_of.values_list("id", flat=True)}
        elif event.kind.startswith("reminder_") and event.data["subject"]:
            subjects.add(event.data["subject"])
    refresh_subjects(subjects)


def refresh_subjects(subjects: Iterable[str]) -> None:
    """Recompute the schedule of these subjects; an invoice with its commission."""
    named: dict[str, set[str]] = defaultdict(set)
    for subject in subjects:
        noun, _, name = subject.partition(":")
        named[noun].add(name)
    if named["invoice"]:
        billed = Commission.objects.filter(papers__number__in=named["invoice"])
        named["commission"] |= set(billed.values_list("number", flat=True))
    if named["question"]:
        asked = Commission.objects.filter(questions__in=[int(key) for key in named["question"]])
        named["commission"] |= set(asked.values_list("number", flat=True))
    if named["answer"]:
        answered = Commission.objects.filter(offers__in=[int(key) for key in named["answer"]])
        named["commission"] |= set(answered.values_list("number", flat=True))
    if named["commission"]:
        refresh_commissions(named["commission"])
    if named["supply"]:
        refresh_supplies(Supply.objects.filter(id__in=named["supply"]))


def refresh_all() -> None:
    """Drop and refill all of it."""
    ReminderDue.objects.filter(kind__in=OF_SUBJECTS).delete()
    refresh_commissions(Commission.objects.values_list("number", flat=True))
    refresh_supplies(Supply.objects.all())


def refresh_commissions(numbers: Iterable[str]) -> None:
    """Recompute what is told of these commissions and their invoices."""
    commissions = list(Commission.objects.filter(number__in=list(numbers)))
    if not commissions:
        return
    mornings = Mornings()
    issued = Invoice.objects.filter(paper__commission__in=commissions, paper__kind=Paper.Kind.INVOICE)
    invoices = list(issued.select_related("paper"))
    held, ending = accounts(c for c in commissions if c.step not in UNPAID), _waits(commissions)
    told, said = last_told(commissions), _said_by_clients(commissions)
    causes: list[ReminderTrigger] = [cause for cause in said.values() if cause is not None]
    for commission in commissions:
        causes += _of_commission(commission, ending.get(commission.id, []), told[commission.id], mornings)
        if of := held.get(commission.id):
            for invoice in of.invoices:
                if of.open(invoice) > 0:
                    causes += _of_invoice(invoice, mornings)
    subjects = [f"commission:{c.number}" for c in commissions]
    _put([*subjects, *(f"invoice:{i.paper.number}" for i in invoices), *said], causes)


def refresh_supplies(found: QuerySet[Supply]) -> None:
    """Recompute what is told of these supplies."""
    supplies = list(found)
    if not supplies:
        return
    mornings, known = Mornings(), all_products()
    changed = dict(
        Event.objects.filter(seq__in={s.version for s in supplies}).values_list("seq", "occurred_at")
    )
    causes = [
        ReminderTrigger(subject=f"supply:{supply.id}", kind=ReminderKind.SUPPLY, at=at)
        for supply in supplies
        if supply.discarded_at is None
        for at in _of_supply(supply, best_before(supply, known), changed[supply.version], mornings)
    ]
    _put([f"supply:{s.id}" for s in supplies], causes)


def _of_commission(
    commission: Commission, ending: list[tuple[datetime, datetime]], told: datetime, mornings: Mornings
) -> list[ReminderTrigger]:
    """``ending`` is when each running wait began and when it ends at the latest."""
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
    days = commission.tell_days if commission.tell_days is not None else mornings.settings["tell_client_days"]
    if days and step in TO_BE_TOLD:
        at.append((ReminderKind.UNTOLD, mornings.of(_day(told) + days * DAY)))
    return [
        ReminderTrigger(subject=f"commission:{commission.number}", kind=kind, at=moment)
        for kind, moment in at
    ]


def last_told(commissions: Collection[Commission]) -> dict[int, datetime]:
    """When the client of each last heard of it: with the newest update, before the first its last step."""
    updates = ClientUpdate.objects.filter(commission__in=commissions).order_by("told_at")
    return {c.id: c.step_at for c in commissions} | dict(updates.values_list("commission", "told_at"))


def _said_by_clients(commissions: Collection[Commission]) -> dict[str, ReminderTrigger | None]:
    """Return what clients asked and answered, by its subject; None where it need not be told any more."""
    asked = ClientQuestion.objects.filter(commission__in=commissions)
    found: dict[str, ReminderTrigger | None] = {}
    for key, at, settled in asked.values_list("id", "asked_at", "settled_at"):
        subject = f"question:{key}"
        found[subject] = None if settled else ReminderTrigger(subject=subject, kind=ReminderKind.ASKED, at=at)
    live = {c.id for c in commissions if c.step not in Commission.ENDED}
    given = Offer.objects.filter(commission__in=commissions).exclude(step=Offer.Step.DRAFT)
    newest = {offer.number: offer.id for offer in given.order_by("version")}
    for offer in given.filter(decided_by__startswith=CLIENT, step__in=ANSWERS, decided_at__isnull=False):
        subject, kind, at = f"answer:{offer.id}", ANSWERS[Offer.Step(offer.step)], offer.decided_at
        stands = at and offer.commission_id in live and newest[offer.number] == offer.id
        found[subject] = ReminderTrigger(subject=subject, kind=kind, at=at) if stands and at else None
    return found


def _of_invoice(invoice: Invoice, mornings: Mornings) -> list[ReminderTrigger]:
    """Once before it is due and once after."""
    ahead = mornings.after(max(mornings.of(invoice.due_on - AHEAD), invoice.paper.issued_at))
    late = mornings.of(invoice.due_on + DAY)
    return [
        ReminderTrigger(subject=f"invoice:{invoice.paper.number}", kind=ReminderKind.PAYMENT, at=at)
        for at in sorted({min(ahead, late), late})
    ]


def _of_supply(supply: Supply, best: date | None, changed: datetime, mornings: Mornings) -> list[datetime]:
    """The morning after it ran low, and the one after its last good day."""
    found = {mornings.after(changed)} if supply.level in (Supply.Level.LOW, Supply.Level.EMPTY) else set()
    if best is not None and supply.level != Supply.Level.EMPTY:
        found.add(mornings.of(best + DAY))
    return sorted(found)


def _waits(commissions: Iterable[Commission]) -> dict[int, list[tuple[datetime, datetime]]]:
    running = Wait.objects.filter(
        step=Wait.Step.RUNNING, stage__piece__commission__in=commissions, estimate__ready_at__isnull=False
    )
    found: dict[int, list[tuple[datetime, datetime]]] = {}
    times = ("since", "estimate__latest_at", "estimate__ready_at")
    for commission, since, latest, ready in running.values_list("stage__piece__commission_id", *times):
        found.setdefault(commission, []).append((since, latest or ready))
    return found


def _put(subjects: Collection[str], causes: Iterable[ReminderTrigger]) -> None:
    """Replace the rows of these subjects."""
    standing, causes = ReminderDue.objects.filter(subject__in=subjects), list(causes)
    audience = RecipientDirectory()
    replies: dict[tuple[Any, ...], list[ReminderReply]] = {}
    for reply in ReminderReply.objects.filter(subject__in=subjects).order_by("id"):
        replies.setdefault((reply.subject, reply.occasion, reply.kind, reply.person), []).append(reply)
    due: list[ReminderDue] = []
    for cause in causes:
        about = {"subject": cause.subject, "occasion": cause.occasion}
        for person in audience.people:
            if person.is_owner or cause.kind not in FOR_OWNERS:
                mine = replies.get((*about.values(), cause.kind, person.id), [])
                due += build_schedule(
                    about, cause.kind, cause.at, person, mine, since=cause.at, audience=audience
                )
    replace_schedule(standing, due)


def _day(moment: datetime) -> date:
    return timezone.localtime(moment).date()
