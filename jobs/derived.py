"""What is computed from state and kept for speed: wait estimates and the reminder schedule."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db.models import QuerySet

from calcs.series import STEP_S
from jobs.clock import Clock
from jobs.models import (
    Channel,
    Commission,
    Delivery,
    Event,
    Person,
    ReminderDue,
    ReminderKind,
    ReminderReply,
    SafetyTask,
    Wait,
    WaitEstimate,
)
from jobs.models.bases import row_key
from jobs.quiet import heard_at

MOVED = timedelta(minutes=15)
"""A told time that moves by so much is taken back."""
CLOSING_LEAD = timedelta(minutes=15)
"""How long before a window closes the louder reminder comes; a quarter of a shorter window."""


def refresh_for(events: Iterable[Event]) -> None:
    """Bring derived rows up to date with what these events touched."""
    pieces, waits, commissions, tasks = set(), set(), set(), set()
    for event in events:
        if event.kind.startswith(("stage_", "wait_", "piece_", "route_")):
            pieces.add(event.data["piece"])
        elif event.kind.startswith("reminder_"):
            waits.add(event.data["wait"])
        elif event.kind == "task_opened":
            tasks.add(row_key(event.seq))
        elif event.kind.startswith("task_"):
            tasks.add(event.data["task"])
        elif event.kind == "commission_moved":
            commissions.add(event.data["number"])
    if commissions:
        refresh(Wait.objects.filter(stage__piece__commission__number__in=commissions))
    if pieces:
        refresh(Wait.objects.filter(stage__piece__number__in=pieces))
    if waits:
        refresh(Wait.objects.filter(id__in=waits))
    if tasks:
        refresh_tasks(SafetyTask.objects.filter(id__in=tasks))


def refresh_all() -> None:
    """Drop and refill every derived row."""
    WaitEstimate.objects.all().delete()
    ReminderDue.objects.all().delete()
    refresh(Wait.objects.filter(step=Wait.Step.RUNNING))
    refresh_tasks(SafetyTask.objects.filter(done_at=None))


def refresh(found: QuerySet[Wait]) -> None:
    """Recompute estimate and schedule of these waits."""
    waits = list(found.select_related("stage__piece__commission"))
    keys = [w.id for w in waits]
    WaitEstimate.objects.filter(wait_id__in=keys).delete()
    ReminderDue.objects.filter(wait_id__in=keys).delete()
    running = [w for w in waits if w.step == Wait.Step.RUNNING]
    people = list(Person.objects.filter(is_active=True)) if running else []
    replies = list(ReminderReply.objects.filter(wait_id__in=keys).order_by("id")) if running else []
    clock, told, estimates, due = Clock(running), Told.before(keys), [], []
    for wait in running:
        estimate = WaitEstimate(wait=wait, **vars(clock.estimate(wait)))
        estimates.append(estimate)
        if wait.stage.piece.commission.step in Commission.ENDED:
            continue
        for kind, at in moments(estimate):
            for person in people:
                if person.is_owner or not wait.stage.spec["owner_only"]:
                    mine = [r for r in replies if (r.wait_id, r.kind, r.person) == (wait.id, kind, person.id)]
                    due += _rows({"wait": wait}, kind, at, person, mine, since=wait.since, told=told)
    WaitEstimate.objects.bulk_create(estimates)
    ReminderDue.objects.bulk_create(due)


def refresh_clocked() -> None:
    """Reckon the running waits anew that rest on a product and the air."""
    waits = Wait.objects.filter(step=Wait.Step.RUNNING, ready_s__isnull=False)
    keys = [w.id for w in waits.only("id", "basis") if "product" in w.basis]
    refresh(Wait.objects.filter(id__in=keys))


def refresh_tasks(found: QuerySet[SafetyTask]) -> None:
    """Recompute the schedule of these safety tasks: everybody is asked until somebody has answered."""
    tasks = list(found)
    keys = [t.id for t in tasks]
    ReminderDue.objects.filter(task_id__in=keys).delete()
    people = list(Person.objects.filter(is_active=True))
    replies = list(ReminderReply.objects.filter(task_id__in=keys).order_by("id"))
    due = []
    for task in (t for t in tasks if t.done_at is None):
        for person in people:
            mine = [r for r in replies if (r.task_id, r.person) == (task.id, person.id)]
            for kind, at, replies_to in (
                (ReminderKind.TASK, task.due_at, mine),
                (ReminderKind.TASK_AT_CLOSING, task.closing_at, []),
            ):
                due += _rows({"task": task}, kind, at, person, replies_to, since=task.opened_at)
    ReminderDue.objects.bulk_create(due)


def moments(estimate: WaitEstimate) -> list[tuple[ReminderKind, datetime]]:
    """What is told about a wait, and when."""
    found = []
    if (estimate.suspect or estimate.cold_at) and estimate.known_until:
        found.append((ReminderKind.TOO_COLD, estimate.known_until - timedelta(seconds=STEP_S)))
    if estimate.ready_at is None:
        return found
    if estimate.closes_at is None:
        return [*found, (ReminderKind.READY, estimate.ready_at)]
    lead = min(CLOSING_LEAD, (estimate.closes_at - estimate.ready_at) / 4)
    closing = estimate.closes_at - lead
    return [*found, (ReminderKind.OPENS, estimate.ready_at), (ReminderKind.CLOSES_SOON, closing)]


class Told:
    """What has gone out about waits already, the newest of each: a time that moves is taken back."""

    def __init__(self, deliveries: Iterable[Delivery]) -> None:
        self.sent = {(d.wait_key, d.kind, d.person, d.channel): d for d in deliveries}

    @classmethod
    def before(cls, waits: Iterable[int]) -> "Told":
        """The ledger of these waits."""
        kinds = (ReminderKind.READY, ReminderKind.OPENS, ReminderKind.NOT_YET)
        rows = Delivery.objects.filter(wait_key__in=waits, kind__in=kinds, step=Delivery.Step.SENT)
        return cls(rows.order_by("attempt"))

    def moved(self, due: ReminderDue, at: datetime) -> Delivery | None:
        """What told this person a time that holds no more; None where nothing did."""
        if due.kind not in (ReminderKind.READY, ReminderKind.OPENS):
            return None
        about = (due.about_key, due.kind, due.person, due.channel)
        sent = self.sent.get(about)
        if sent is None or sent.told_at is None:
            return None
        taken_back = self.sent.get((due.about_key, ReminderKind.NOT_YET, due.person, due.channel))
        if taken_back is not None and taken_back.attempt >= sent.attempt:
            return sent
        return sent if at - sent.told_at >= MOVED else None

    def attempt(self, due: ReminderDue) -> int:
        """The number of the newest one sent; 0 where none was."""
        sent = self.sent.get((due.about_key, due.kind, due.person, due.channel))
        return sent.attempt if sent else 0


def _rows(
    about: dict[str, Wait | SafetyTask],
    kind: ReminderKind,
    at: datetime,
    person: Person,
    mine: list[ReminderReply],
    *,
    since: datetime,
    told: "Told | None" = None,
) -> list[ReminderDue]:
    """Rows of one reminder to one person, by that person's earlier answers to it and what was told."""
    answered = any(r.snoozed_until is None for r in mine)
    if answered and told is None:
        return []
    due = {Channel.SCREEN: at}
    if person.reminders_by_mail and person.email:
        due[Channel.MAIL] = heard_at(person, kind, at, since=since)
    rows = [
        ReminderDue(
            **about,
            kind=kind,
            person=person.id,
            channel=channel,
            attempt=len(mine) + 1,
            due_at=mine[-1].snoozed_until if mine and not answered else moment,
        )
        for channel, moment in due.items()
    ]
    if told is None:
        return rows
    return [each for row in rows for each in _taken_back(row, at, told, answered=answered)]


def _taken_back(row: ReminderDue, at: datetime, told: "Told", *, answered: bool) -> list[ReminderDue]:
    """The row, unless it is answered; where a told time moved, a "not yet" at once and the reminder again."""
    row.attempt = max(row.attempt, told.attempt(row))
    sent = told.moved(row, at)
    if sent is None:
        return [] if answered else [row]
    row.attempt = max(row.attempt, sent.attempt + 1)
    not_yet = ReminderDue(
        wait=row.wait,
        kind=ReminderKind.NOT_YET,
        person=row.person,
        channel=row.channel,
        attempt=sent.attempt,
        due_at=sent.sent_at,
    )
    return [not_yet, row]
