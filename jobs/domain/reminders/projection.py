"""What is computed from state and kept for speed: wait estimates and the reminder schedule."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import fields
from datetime import datetime, timedelta

from django.db.models import Prefetch, QuerySet

from calcs.curing.series import STEP_S
from jobs.domain.climate.settling import SETTLES
from jobs.domain.climate.wait_estimates import Estimate, WaitEstimator
from jobs.domain.reminders import daily
from jobs.domain.reminders.preferences import RecipientDirectory
from jobs.domain.reminders.schedule import Told, build_schedule, replace_schedule
from jobs.domain.stages.route import look_at
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

OF_PIECE = (
    "number", "inputs", "commission__step", "commission__number", "commission__quote_declined",
)  # fmt: skip
STAGES = Prefetch(
    "stage",
    Stage.objects.only("spec", *(f"piece__{each}" for each in OF_PIECE)).select_related("piece__commission"),
)
"""What the clock reads of the stages of many waits, each once; not what was computed for their pieces."""
STOPS_OR_STARTS = ("commission_moved", "acceptance_taken_back", "offer_declined", "offer_issued")
"""Events after which the stages of a commission may be told of no more, or again."""
ESTIMATED = [field.name for field in fields(Estimate)]
CLOSING_LEAD = timedelta(minutes=15)
"""How long before a window closes the louder reminder comes; a quarter of a shorter window."""


def project_reminders(events: Iterable[Event]) -> None:
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
        elif event.kind in STOPS_OR_STARTS:
            commissions.add(event.stream.partition(":")[2])
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
    running = [w for w in waits if w.step == Wait.Step.RUNNING]
    if len(running) < len(waits):
        over = [w.id for w in waits if w.step != Wait.Step.RUNNING]
        WaitEstimate.objects.filter(wait_id__in=over).delete()
        ReminderDue.objects.filter(wait_id__in=over).delete()
    _reckon(running)


def refresh_clocked() -> None:
    """Reckon the running waits anew that rest on the air: on a product, or on stock that settles."""
    running = Wait.objects.filter(step=Wait.Step.RUNNING, ready_s__isnull=False).prefetch_related(STAGES)
    moved = _reckon([w for w in running if "product" in w.basis or w.kind in SETTLES])
    daily.refresh_commissions({w.stage.piece.commission.number for w in moved})


def _reckon(running: list[Wait]) -> list[Wait]:
    """Estimate and schedule of running waits; those whose estimate is another now."""
    if not running:
        return []
    clock = WaitEstimator(running)
    estimates = [WaitEstimate(wait=wait, **vars(clock.estimate(wait))) for wait in running]
    keys = [w.id for w in running]
    replace_schedule(ReminderDue.objects.filter(wait_id__in=keys), _schedule(estimates, keys))
    return [each.wait for each in _kept(estimates, keys)]


def _kept(estimates: list[WaitEstimate], keys: list[int]) -> list[WaitEstimate]:
    """Write the estimates that are new or say something else than before, and only those; which they are."""
    said = WaitEstimate.objects.filter(wait_id__in=keys).values_list("wait_id", *ESTIMATED)
    before = {key: tuple(rest) for key, *rest in said}
    other = [e for e in estimates if before.get(e.wait_id) != tuple(getattr(e, f) for f in ESTIMATED)]
    return WaitEstimate.objects.bulk_create(
        other, update_conflicts=True, unique_fields=["wait"], update_fields=ESTIMATED
    )


def _schedule(estimates: list[WaitEstimate], keys: list[int]) -> list[ReminderDue]:
    """What is told of these waits to whom, and when."""
    audience, told, due = RecipientDirectory(), Told.before(keys), []
    replies: dict[tuple[int | None, str, str], list[ReminderReply]] = defaultdict(list)
    for reply in ReminderReply.objects.filter(wait_id__in=keys).order_by("id"):
        replies[reply.wait_id, reply.kind, reply.person].append(reply)
    for estimate in estimates:
        wait = estimate.wait
        commission = wait.stage.piece.commission
        if commission.step in Commission.ENDED or commission.is_refused:
            continue
        for kind, at in moments(estimate):
            for person in audience.people:
                if person.is_owner or not wait.stage.spec["owner_only"]:
                    mine = replies.get((wait.id, kind, person.id), [])
                    due += build_schedule(
                        {"wait": wait}, kind, at, person, mine, since=wait.since, audience=audience, told=told
                    )
    return due


def refresh_tasks(found: QuerySet[SafetyTask]) -> None:
    """Recompute the schedule of these safety tasks: everybody is asked until somebody has answered."""
    tasks = list(found)
    keys = [t.id for t in tasks]
    audience = RecipientDirectory()
    replies = list(ReminderReply.objects.filter(task_id__in=keys).order_by("id"))
    due = []
    for task in (t for t in tasks if t.done_at is None):
        for person in audience.people:
            mine = [r for r in replies if (r.task_id, r.person) == (task.id, person.id)]
            for kind, at, replies_to in (
                (ReminderKind.TASK, task.due_at, mine),
                (ReminderKind.TASK_AT_CLOSING, task.closing_at, []),
            ):
                due += build_schedule(
                    {"task": task}, kind, at, person, replies_to, since=task.opened_at, audience=audience
                )
    replace_schedule(ReminderDue.objects.filter(task_id__in=keys), due)


def moments(estimate: WaitEstimate) -> list[tuple[ReminderKind, datetime]]:
    """What is told about a wait, and when."""
    found = []
    if (estimate.suspect or estimate.cold_at) and estimate.known_until:
        seen = estimate.known_until - timedelta(seconds=STEP_S)
        found.append((ReminderKind.TOO_COLD, max(seen, estimate.wait.since)))
    if estimate.ready_at is None:
        return found
    if estimate.closes_at is None:
        return [*found, (ReminderKind.READY, estimate.ready_at)]
    if look := look_at(estimate.wait, estimate):
        found.append((ReminderKind.LOOK, look))
    found.append((ReminderKind.OPENS, estimate.ready_at))
    if soon := closing_soon(estimate):
        found.append((ReminderKind.CLOSES_SOON, soon))
    return found


def closing_soon(estimate: WaitEstimate) -> datetime | None:
    """When a window calls for haste; never where it may have closed before it surely opened."""
    if estimate.closes_at <= estimate.ready_at:
        return None
    return estimate.closes_at - min(CLOSING_LEAD, (estimate.closes_at - estimate.ready_at) / 4)
