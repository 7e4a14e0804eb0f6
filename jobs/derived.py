"""What is computed from state and kept for speed: wait estimates and the reminder schedule."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db.models import Prefetch, QuerySet

from calcs.series import STEP_S
from jobs import daily
from jobs.clock import Clock
from jobs.due import Told, rows
from jobs.models import (
    Board,
    Commission,
    Event,
    ReminderDue,
    ReminderKind,
    ReminderReply,
    SafetyTask,
    Stage,
    Wait,
    WaitEstimate,
)
from jobs.models.bases import row_key
from jobs.moisture import SETTLES
from jobs.wishes import Audience

STAGES = Prefetch(
    "stage",
    Stage.objects.only("spec", "piece__number", "piece__inputs", "piece__commission__step").select_related(
        "piece__commission"
    ),
)
"""What the clock reads of the stages of many waits, each once; not what was computed for their pieces."""
CLOSING_LEAD = timedelta(minutes=15)
"""How long before a window closes the louder reminder comes; a quarter of a shorter window."""


def refresh_for(events: Iterable[Event]) -> None:
    """Bring derived rows up to date with what these events touched."""
    pieces, waits, commissions, tasks, boards = set(), set(), set(), set(), set()
    events = list(events)
    for event in events:
        if event.kind.startswith(("stage_", "wait_", "piece_", "route_")):
            pieces.add(event.data["piece"])
        elif event.kind.startswith("reminder_") and event.data["wait"] is not None:
            waits.add(event.data["wait"])
        elif event.kind == "task_opened":
            tasks.add(row_key(event.seq))
        elif event.kind.startswith("task_"):
            tasks.add(event.data["task"])
        elif event.kind == "commission_moved":
            commissions.add(event.data["number"])
        elif event.kind.startswith("board_"):
            boards.add(event.data["board"])
            pieces.add(event.data.get("piece", ""))
    if boards:
        pieces |= set(Board.objects.filter(number__in=boards).values_list("piece", flat=True))
    pieces.discard("")
    if commissions:
        refresh(Wait.objects.filter(stage__piece__commission__number__in=commissions))
    if pieces:
        refresh(Wait.objects.filter(stage__piece__number__in=pieces))
    if waits:
        refresh(Wait.objects.filter(id__in=waits))
    if tasks:
        refresh_tasks(SafetyTask.objects.filter(id__in=tasks))
    daily.refresh_for(events)


def refresh_all() -> None:
    """Drop and refill every derived row."""
    WaitEstimate.objects.all().delete()
    ReminderDue.objects.all().delete()
    refresh(Wait.objects.filter(step=Wait.Step.RUNNING))
    refresh_tasks(SafetyTask.objects.filter(done_at=None))
    daily.refresh_all()


def refresh(found: QuerySet[Wait]) -> None:
    """Recompute estimate and schedule of these waits."""
    waits = list(found.prefetch_related(STAGES))
    keys = [w.id for w in waits]
    WaitEstimate.objects.filter(wait_id__in=keys).delete()
    ReminderDue.objects.filter(wait_id__in=keys).delete()
    running = [w for w in waits if w.step == Wait.Step.RUNNING]
    audience = Audience() if running else None
    replies = list(ReminderReply.objects.filter(wait_id__in=keys).order_by("id")) if running else []
    clock, told, estimates, due = Clock(running), Told.before(keys), [], []
    for wait in running:
        estimate = WaitEstimate(wait=wait, **vars(clock.estimate(wait)))
        estimates.append(estimate)
        if wait.stage.piece.commission.step in Commission.ENDED:
            continue
        for kind, at in moments(estimate):
            for person in audience.people:
                if person.is_owner or not wait.stage.spec["owner_only"]:
                    mine = [r for r in replies if (r.wait_id, r.kind, r.person) == (wait.id, kind, person.id)]
                    due += rows(
                        {"wait": wait}, kind, at, person, mine, since=wait.since, audience=audience, told=told
                    )
    WaitEstimate.objects.bulk_create(estimates)
    ReminderDue.objects.bulk_create(due)


def refresh_clocked() -> None:
    """Reckon the running waits anew that rest on the air: on a product, or on stock that settles."""
    waits = Wait.objects.filter(step=Wait.Step.RUNNING, ready_s__isnull=False)
    keys = [w.id for w in waits.only("id", "kind", "basis") if "product" in w.basis or w.kind in SETTLES]
    refresh(Wait.objects.filter(id__in=keys))
    touched = Commission.objects.filter(pieces__stages__waits__in=keys).distinct()
    daily.refresh_commissions(touched.values_list("number", flat=True))


def refresh_tasks(found: QuerySet[SafetyTask]) -> None:
    """Recompute the schedule of these safety tasks: everybody is asked until somebody has answered."""
    tasks = list(found)
    keys = [t.id for t in tasks]
    ReminderDue.objects.filter(task_id__in=keys).delete()
    audience = Audience()
    replies = list(ReminderReply.objects.filter(task_id__in=keys).order_by("id"))
    due = []
    for task in (t for t in tasks if t.done_at is None):
        for person in audience.people:
            mine = [r for r in replies if (r.task_id, r.person) == (task.id, person.id)]
            for kind, at, replies_to in (
                (ReminderKind.TASK, task.due_at, mine),
                (ReminderKind.TASK_AT_CLOSING, task.closing_at, []),
            ):
                due += rows(
                    {"task": task}, kind, at, person, replies_to, since=task.opened_at, audience=audience
                )
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
