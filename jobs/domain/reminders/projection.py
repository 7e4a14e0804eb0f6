"""Projections computed from state and kept for speed: wait estimates and the reminder schedule."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import fields
from functools import reduce
from operator import or_

from django.db import transaction
from django.db.models import Prefetch, Q, QuerySet

from jobs.core.command_cache import remembering
from jobs.domain import lookups
from jobs.domain.climate.clocked_wait import Estimate
from jobs.domain.climate.settling import SETTLES
from jobs.domain.climate.wait_estimates import WaitEstimator
from jobs.domain.reminders.kinds import SUBJECT_KINDS, TASK_KINDS, WAIT_KINDS
from jobs.domain.reminders.kinds.commissions import PromiseAtRisk
from jobs.domain.reminders.preferences import audience
from jobs.domain.reminders.schedule import Told, build_schedule, replace_schedule
from jobs.domain.reminders.subject_projection import recompute
from jobs.log.commands import head_seq, lock_log
from jobs.log.projections import rows
from jobs.log.projectors import Turn, projects, refills
from jobs.models import (
    Board,
    Commission,
    Event,
    ReminderDue,
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
"""The columns of stages that the estimates need, without the results of their pieces."""
OF_ONE_WAIT = (
    "wait_started", "wait_changed", "wait_start_corrected", "wait_finished", "wait_end_taken_back",
    "reminder_acknowledged",
    "reminder_snoozed", "reminder_asked_again",
)  # fmt: skip
OF_STAGES = ("stage_put_back", "stage_reopened")
"""Events after which the waits of a stage are void."""
OF_PIECES = ("stage_redone", "route_changed", "piece_changed")
"""Events after which waits of a piece are void, hold something else or depend on another thickness."""
STOPS_OR_STARTS = (
    "commission_moved",
    "acceptance_taken_back",
    "decline_taken_back",
    "offer_declined",
    "offer_issued",
)
"""Events that stop or resume the reminders of a commission's stages."""
OF_BOARDS = (
    "board_changed", "board_moisture_read", "board_moisture_voided", "board_reserved", "board_released",
    "board_used", "board_written_off",
)  # fmt: skip
"""Events that change which moisture readings count for a piece."""
OF_TASKS = ("task_opened", "task_moved", "task_settled", "task_snoozed")
ESTIMATED = [field.name for field in fields(Estimate)]


@projects(Turn.ESTIMATES, *OF_ONE_WAIT, *OF_STAGES, *OF_PIECES, *STOPS_OR_STARTS, *OF_BOARDS)
def project_waits(events: list[Event]) -> None:
    """Update estimates and reminders of the waits that these events touch."""
    of_waits = (_wait_of(event) for event in events if event.kind in OF_ONE_WAIT)
    keys = {key for key in of_waits if key is not None}
    begun = {row_key(event.seq) for event in events if event.kind == "wait_started"}
    others = [event for event in events if event.kind not in OF_ONE_WAIT]
    known = _in_hand(events)
    if known is not None:
        stopped = any(event.kind in STOPS_OR_STARTS for event in events)
        running = known if stopped else [wait for wait in known if wait.id in keys]
        _follow(running, keys | {wait.id for wait in running}, begun)
    elif (touched := _touched(others, keys)) is not None:
        waits = list(Wait.objects.filter(touched).prefetch_related(STAGES))
        running = [wait for wait in waits if wait.step == Wait.Step.RUNNING]
        _follow(running, {wait.id for wait in waits}, begun)


def _wait_of(event: Event) -> int | None:
    key: int | None = row_key(event.seq) if event.kind == "wait_started" else event.data["wait"]
    return key


def _in_hand(events: list[Event]) -> list[Wait] | None:
    """Return the running waits of these events' pieces, where the command holds them all."""
    routes: dict[str, rows.Laid | None] = {}
    for event in events:
        if event.kind in OF_ONE_WAIT:
            numbers = [event.data.get("piece", "")]
        elif event.kind in STOPS_OR_STARTS and rows.all_held():
            numbers = _pieces_of(event.stream.partition(":")[2])
        else:
            return None
        routes |= {number: rows.held(number) for number in numbers}
    return None if None in routes.values() else [w for laid in routes.values() if laid for w in laid.waits]


def _pieces_of(commission: str) -> list[str]:
    """Return the numbers of a commission's pieces; a single empty number where it is not in hand."""
    known = rows.commissions(commission)
    return [piece.number for piece in lookups.pieces(known[0])] if known else [""]


def _touched(events: list[Event], keys: set[int]) -> Q | None:
    """Return a filter for the waits that these events touch, these keys included; None where none."""
    found = [Q(id__in=keys)] if keys else []
    pieces, commissions, boards = set(), set(), set()
    for event in events:
        if event.kind in OF_STAGES:
            found.append(Q(stage__piece__number=event.data["piece"], stage__key=event.data["stage"]))
        elif event.kind in OF_PIECES:
            pieces.add(event.data["piece"])
        elif event.kind in STOPS_OR_STARTS:
            commissions.add(event.stream.partition(":")[2])
        else:
            boards.add(event.data["board"])
            pieces.add(event.data.get("piece", ""))
    if boards:
        pieces |= set(Board.objects.filter(number__in=boards).values_list("piece", flat=True))
    if pieces - {""}:
        found.append(Q(stage__piece__number__in=pieces - {""}))
    if commissions:
        found.append(Q(stage__piece__commission__number__in=commissions))
    return reduce(or_, found) if found else None


@projects(Turn.ESTIMATES, *OF_TASKS)
def project_tasks(events: list[Event]) -> None:
    """Update the reminders of the safety tasks that these events touch."""
    keys = {row_key(e.seq) if e.kind == "task_opened" else e.data["task"] for e in events}
    refresh_tasks(SafetyTask.objects.filter(id__in=keys))


@refills(Turn.ESTIMATES)
def refill() -> None:
    """Drop and refill the estimates of waits, their reminders and those of safety tasks."""
    WaitEstimate.objects.all().delete()
    ReminderDue.objects.filter(subject="").delete()
    running = Wait.objects.filter(step=Wait.Step.RUNNING).prefetch_related(STAGES)
    _estimate(list(running))
    refresh_tasks(SafetyTask.objects.filter(done_at=None))


def _follow(running: list[Wait], touched: set[int], begun: Collection[int]) -> None:
    """Estimate the running waits; delete estimates and reminders of the other touched waits."""
    over = touched - {wait.id for wait in running} - set(begun)
    if over:
        WaitEstimate.objects.filter(wait_id__in=over).delete()
        ReminderDue.objects.filter(wait_id__in=over).delete()
    _estimate(running, begun)


def estimate_clocked() -> None:
    """Estimate the running waits that depend on the air: by a product, or by settling stock.

    Estimating takes a while, so it happens before the log is locked. It is repeated under the lock only if
    the log grew meanwhile.
    """
    with remembering():
        seq, waits = head_seq(), _clocked()
        estimates = _estimates(waits)
        with transaction.atomic():
            if lock_log().seq != seq:
                waits = _clocked()
                estimates = _estimates(waits)
            moved = _write(estimates, {wait.id for wait in waits})
            delayed = {wait.stage.piece.commission.number for wait in moved}
            recompute({SUBJECT_KINDS[PromiseAtRisk.key]: delayed})


def _clocked() -> list[Wait]:
    running = Wait.objects.filter(step=Wait.Step.RUNNING, ready_s__isnull=False).prefetch_related(STAGES)
    return [wait for wait in running if "product" in wait.basis or wait.kind in SETTLES]


def _estimate(running: list[Wait], begun: Collection[int] = ()) -> None:
    """Write estimates and schedule of running waits.

    Waits that were just ``begun`` have no rows yet, and nobody was told of them.
    """
    before = {wait.id for wait in running if wait.id not in begun}
    _write(_estimates(running, changed=before), before)


def _estimates(waits: list[Wait], changed: Collection[int] | None = None) -> list[WaitEstimate]:
    if not waits:
        return []
    estimator = WaitEstimator(waits, changed=changed)
    return [WaitEstimate(wait=wait, **vars(estimator.estimate(wait))) for wait in waits]


def _write(estimates: list[WaitEstimate], before: Collection[int]) -> list[Wait]:
    """Write estimates and their schedule; return the waits whose estimate changed.

    ``before`` holds the waits that may have rows already.
    """
    keys = list(before)
    if not (estimates or keys):
        return []
    replace_schedule(ReminderDue.objects.filter(wait_id__in=keys), _schedule(estimates, keys))
    return [each.wait for each in _kept(estimates, keys)]


def _kept(estimates: list[WaitEstimate], keys: list[int]) -> list[WaitEstimate]:
    """Write the estimates that are new or changed, and only those; return them."""
    said = WaitEstimate.objects.filter(wait_id__in=keys).values_list("wait_id", *ESTIMATED)
    before = {key: tuple(rest) for key, *rest in said}
    other = [e for e in estimates if before.get(e.wait_id) != tuple(getattr(e, f) for f in ESTIMATED)]
    return WaitEstimate.objects.bulk_create(
        other, update_conflicts=True, unique_fields=["wait"], update_fields=ESTIMATED
    )


def _schedule(estimates: list[WaitEstimate], keys: list[int]) -> list[ReminderDue]:
    """Return the reminders of these waits, by person and time."""
    hearers, told, due = audience(), Told.before(keys), []
    replies: dict[tuple[int | None, str, str], list[ReminderReply]] = defaultdict(list)
    for reply in ReminderReply.objects.filter(wait_id__in=keys).order_by("id"):
        replies[reply.wait_id, reply.kind, reply.person].append(reply)
    for estimate in estimates:
        wait = estimate.wait
        commission = wait.stage.piece.commission
        if commission.step in Commission.ENDED or commission.is_refused:
            continue
        hear = [p for p in hearers.people if p.is_owner or not wait.stage.spec["owner_only"]]
        for kind in WAIT_KINDS.values():
            if (at := kind.moment(estimate)) is None:
                continue
            for person in hear:
                if person.is_owner or not kind.owners_only:
                    mine = replies.get((wait.id, kind.key, person.id), [])
                    due += build_schedule(
                        {"wait": wait}, kind, at, person, mine, since=wait.since, audience=hearers, told=told
                    )
    return due


def refresh_tasks(found: QuerySet[SafetyTask]) -> None:
    """Recompute the schedule of these safety tasks: everybody is asked until somebody has answered."""
    tasks = list(found)
    keys = [t.id for t in tasks]
    hearers = audience()
    replies = list(ReminderReply.objects.filter(task_id__in=keys).order_by("id"))
    due = []
    for task in (t for t in tasks if t.done_at is None):
        for person in hearers.people:
            for kind in TASK_KINDS.values():
                about = (task.id, kind.key, person.id)
                mine = [r for r in replies if (r.task_id, r.kind, r.person) == about]
                at = kind.moment(task)
                due += build_schedule(
                    {"task": task}, kind, at, person, mine, since=task.opened_at, audience=hearers
                )
    replace_schedule(ReminderDue.objects.filter(task_id__in=keys), due)
