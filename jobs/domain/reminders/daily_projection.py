"""Projection of the morning reminders and of clients' words: events and the subjects they touch."""

from typing import Any

from jobs.domain.reminders.daily import CLIENT, UNPAID, refresh_commissions, refresh_supplies
from jobs.log.projections import rows
from jobs.log.projectors import Turn, projects, refills
from jobs.models import OF_SUBJECTS, Commission, Event, ReminderDue, Supply
from jobs.models.bases import row_key

OF_PROMISES = (
    "commission_opened", "commission_changed", "commission_moved", "acceptance_taken_back", "client_told",
)  # fmt: skip
OF_WAITS = (
    "wait_started", "wait_changed", "wait_start_corrected", "wait_finished", "stage_put_back",
    "stage_reopened", "stage_redone", "route_changed", "piece_changed", "piece_removed",
)  # fmt: skip
OF_MONEY = ("paper_issued", "payment_received", "payment_voided")
DECISIONS = ("offer_accepted", "offer_declined")
OF_WORDS = ("client_asked", "question_settled", "client_told", "offer_issued", *DECISIONS)
OF_STEPS = ("commission_moved", "acceptance_taken_back")
OF_SUPPLIES = (
    "supply_added", "supply_opened", "supply_level_set", "supply_refilled", "supply_discarded", "sheet_set",
)  # fmt: skip
OF_ANSWERS = ("reminder_acknowledged", "reminder_snoozed")
"""Events that change the reminders of each group."""
ENDS_OR_LIVES_AGAIN = (*Commission.ENDED, Commission.Step.DELIVERED)
"""Steps that stop or resume the reminders of clients' words."""


class Touched:
    """The subjects to recompute: promises, invoices, clients' words, supplies."""

    def __init__(self) -> None:
        self.promises: set[str] = set()
        self.invoices: set[str] = set()
        self.words: set[str] = set()
        self.supplies: set[int] = set()

    def by_subject(self, subject: str) -> None:
        noun, _, name = subject.partition(":")
        if noun == "commission":
            self.promises.add(name)
        elif noun == "invoice":
            self.invoices |= _numbers(papers__number=name)
        elif noun == "question":
            self.words |= _numbers(questions=int(name))
        elif noun == "answer":
            self.words |= _numbers(offers=int(name))
        elif noun == "supply":
            self.supplies.add(int(name))

    def refresh(self) -> None:
        """Recompute the schedule of these subjects."""
        if self.promises or self.invoices or self.words:
            refresh_commissions(promises=self.promises, invoices=self.invoices, words=self.words)
        if self.supplies:
            refresh_supplies(Supply.objects.filter(id__in=self.supplies))


def _numbers(**found: Any) -> set[str]:
    return set(Commission.objects.filter(**found).values_list("number", flat=True))


def _may_be_late(piece: str) -> bool:
    """Return whether waits of this piece can delay a promise; a piece not in hand may have one."""
    known = rows.held(piece)
    return known is None or known.piece.commission.promise_on is not None


def _is_of_money(event: Event) -> bool:
    kind, data = event.kind, event.data
    if kind in OF_STEPS:
        return data["to"] in UNPAID
    return kind in OF_MONEY and (kind != "paper_issued" or data["invoice"] is not None)


def _is_of_words(event: Event) -> bool:
    if event.kind in OF_STEPS:
        return event.data["to"] in ENDS_OR_LIVES_AGAIN
    if event.kind in DECISIONS:  # what the shop writes down for a client is not told to the shop
        return event.actor.startswith(CLIENT)
    return event.kind in OF_WORDS


@projects(
    Turn.REMINDERS,
    "shop_set",
    *(*OF_PROMISES, *OF_WAITS, *OF_MONEY, *OF_WORDS, *OF_STEPS, *OF_SUPPLIES, *OF_ANSWERS),
)
def project(events: list[Event]) -> None:
    """Recompute the reminders of the subjects that these events touch."""
    touched = Touched()
    for event in events:
        kind, data, number = event.kind, event.data, event.stream.partition(":")[2]
        if kind == "shop_set" and data["settings"].keys() & {"morning", "tell_client_days"}:
            refill()
            return
        if kind in OF_PROMISES or (kind in OF_WAITS and _may_be_late(data["piece"])):
            touched.promises.add(number)
        if _is_of_money(event):
            touched.invoices.add(number)
        if _is_of_words(event):
            touched.words.add(number)
        if kind in OF_ANSWERS and data["subject"]:
            touched.by_subject(data["subject"])
        if kind == "sheet_set":
            touched.supplies |= set(Supply.objects.filter(sheet=data["key"]).values_list("id", flat=True))
        elif kind in OF_SUPPLIES:
            touched.supplies.add(row_key(event.seq) if kind == "supply_added" else data["supply"])
    touched.refresh()


@refills(Turn.REMINDERS)
def refill() -> None:
    """Drop and refill the reminders of every subject."""
    ReminderDue.objects.filter(kind__in=OF_SUBJECTS).delete()
    numbers = _numbers()
    refresh_commissions(promises=numbers, invoices=numbers, words=numbers)
    refresh_supplies(Supply.objects.all())
