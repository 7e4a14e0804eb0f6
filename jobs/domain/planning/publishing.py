"""The published plan: made again after events that matter, and in the background; the last good one stands.

A plan knows the shop up to an event of the log. Whether a newer one is due follows from the log and the
clock, so nothing is queued, and nothing is lost with a worker that dies.
"""

import logging
from collections.abc import Callable
from dataclasses import asdict
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from django.db import transaction
from django.utils import timezone

from calcs.kit.errors import CalcError
from jobs.core.canonical_json import plain, read_time, time_text
from jobs.core.typed_json import Misfit, reader
from jobs.domain.planning import plan_days
from jobs.domain.planning.plan_moves import moves
from jobs.domain.planning.problem.axis import Axis
from jobs.domain.planning.problem.changes import Changes
from jobs.domain.planning.published import Moved, Published
from jobs.log.commands import head_seq
from jobs.models import Event, PublishedPlan

if TYPE_CHECKING:  # the planner is loaded by what makes a plan: most processes only read one
    from jobs.domain.planning.planning_run import Made

PLAN = "jobs.tasks.plan"
"""The worker's task that makes the plan again."""
THE_ROW = 1
BURST = timedelta(seconds=5)
"""Time in which several events ask for one plan."""
RETRY = timedelta(minutes=2)
"""Time after which a plan that failed, or whose worker died, is tried again."""
EVERY = timedelta(hours=2)
"""Age at which a plan is made again though nothing happened: time passes."""
IDLE = timedelta(seconds=45)
"""Time without events after which a plan is improved."""
MATTER = (
    "acceptance_taken_back", "appointment_changed", "appointment_ended", "appointment_set", "approval_asked",
    "client_approved", "commission_blackout_cancelled", "commission_blackout_set", "commission_changed",
    "commission_moved", "commission_opened", "day_off_cancelled", "day_off_set", "decline_taken_back",
    "equipment_added", "equipment_changed", "equipment_freed", "equipment_retired", "equipment_taken",
    "offer_accepted", "offer_declined", "offer_issued", "paper_issued", "paper_withdrawn", "payment_received",
    "payment_voided", "piece_added", "piece_changed", "piece_removed", "plan_pinned", "plan_unpinned",
    "promise_weight_set", "route_changed", "sheet_set", "shop_set", "stage_finished", "stage_given",
    "stage_paused", "stage_put_back", "stage_redone", "stage_reopened", "stage_resumed", "stage_skipped",
    "stage_started", "stage_timed", "wait_changed", "wait_end_taken_back", "wait_finished",
    "wait_start_corrected", "wait_started", "working_hours_set",
)  # fmt: skip
"""Kinds of event after which a plan is made again."""
TROUBLE = "The plan is that of {day}: a newer one could not be made. {why}"

log = logging.getLogger(__name__)


def current() -> Published | None:
    """Return the last good plan; None before the first."""
    row = PublishedPlan.objects.filter(id=THE_ROW).values("body", "trouble").first()
    if row is None or not row["body"]:
        return None
    try:
        return _read({**row["body"], "trouble": row["trouble"] or row["body"].get("trouble", "")})
    except Misfit as old:
        log.info("the stored plan is of an older form: %s", old.member)
        return None


def moved_since(day: date) -> list[Moved]:
    """Return what is planned and moved by an hour or more since the last plan of a day."""
    said, was = current(), plan_days.plan_of(day)
    return moves(was, said) if said and was else []


def present_starts(axis: Axis) -> dict[str, int]:
    """Return the published start of each task on an axis [slot]; empty without a plan."""
    row = PublishedPlan.objects.filter(id=THE_ROW).first()
    return _starts(row, axis) if row else {}


def ask() -> None:
    """Ask for another plan for a reason that is no event: estimates that moved with the air."""
    PublishedPlan.objects.filter(id=THE_ROW).update(is_wanted=True)


def trouble() -> str:
    """Return why no newer plan was published; empty where one was."""
    return PublishedPlan.objects.filter(id=THE_ROW).values_list("trouble", flat=True).first() or ""


def forget() -> None:
    """Drop the plan, so that another is made from what the log holds now."""
    PublishedPlan.objects.all().delete()


def keep_up(now: datetime) -> bool:
    """Make the plan again where one is due, or improve it where nothing happens; return whether it did."""
    row = PublishedPlan.objects.get_or_create(id=THE_ROW)[0]
    if is_due(row, now):
        return publish(now)
    return is_idle(row, now) and improve(now)


def is_due(row: PublishedPlan, now: datetime) -> bool:
    """Return whether another plan is due: by events, by the clock, or because it was asked for."""
    newest = _newest(row.seq)
    since = now - row.tried_at if row.tried_at else RETRY
    if newest > row.tried_seq:
        return since >= BURST or since < timedelta(0)
    old = row.made_at is None or now - row.made_at >= EVERY or not _same_day(row.made_at, now)
    return bool(row.is_wanted or newest or old) and (since >= RETRY or since < timedelta(0))


def is_idle(row: PublishedPlan, now: datetime) -> bool:
    """Return whether the plan stands and nothing happens, so that it may be improved."""
    return bool(
        row.made_at and row.starts and not row.is_improved and now - row.made_at >= IDLE and not row.trouble
    )


def publish(now: datetime, *, seconds: float | None = None) -> bool:
    """Make a plan, check it and publish it; a failure leaves the last good plan and says why.

    ``seconds`` are those of the search, ``QUICK_S`` unless given.
    """
    from jobs.domain.planning.planning_run import QUICK_S, Faulty

    row = PublishedPlan.objects.get_or_create(id=THE_ROW)[0]
    seq = head_seq()
    if not _claimed(row, now, seq):
        return False
    try:
        _store(_made(row, now, QUICK_S if seconds is None else seconds), seq)
    except (CalcError, Faulty) as wrong:
        log.error("no plan was published: %s", wrong)
        PublishedPlan.objects.filter(id=THE_ROW).update(trouble=_trouble(row, str(wrong)))
        return False
    except Exception as broken:
        log.exception("no plan was published: the planner broke off")
        PublishedPlan.objects.filter(id=THE_ROW).update(trouble=_trouble(row, type(broken).__name__))
        return False
    return True


def _made(row: PublishedPlan, now: datetime, seconds: float) -> "Made":
    """Return a plan with all pins; without pinned days where they exclude one another or break a window."""
    from jobs.domain.planning.planning_run import make
    from jobs.domain.planning.work import problem_of_shop

    shop = problem_of_shop(now)
    try:
        made = make(shop, _starts(row, shop.axis), seconds=seconds)
        if not (made.found.dropped and shop.has_pinned_days):
            return made
    except CalcError as wrong:
        if not shop.has_pinned_days:
            raise
        log.warning("the pins cannot all be kept: %s", wrong)
    shop = problem_of_shop(now, Changes(unpinned=True))
    return make(shop, _starts(row, shop.axis), seconds=seconds)


def improve(now: datetime) -> bool:
    """Search longer for a better plan and publish it where it is worth its moves; return whether it was."""
    from jobs.domain.planning.planning_run import better
    from jobs.domain.planning.work import problem_of_shop

    row = PublishedPlan.objects.get(id=THE_ROW)
    seq = head_seq()
    if not PublishedPlan.objects.filter(id=THE_ROW, seq=row.seq, is_improved=False).update(is_improved=True):
        return False
    shop = problem_of_shop(now)
    try:
        found = better(shop, _starts(row, shop.axis))
    except CalcError as wrong:  # pins that cannot all be kept: the plan without them stands
        log.info("the plan is not improved: %s", wrong)
        return False
    if found is None or _newest(row.seq) or head_seq() != seq:
        return False
    _store(found, seq)
    PublishedPlan.objects.filter(id=THE_ROW).update(is_improved=True)
    return True


def _claimed(row: PublishedPlan, now: datetime, seq: int) -> bool:
    """Return whether this process is the one to make the plan; another may be at it."""
    as_read = PublishedPlan.objects.filter(id=THE_ROW, tried_at=row.tried_at)
    return as_read.update(tried_at=now, tried_seq=seq, is_wanted=False) == 1


@transaction.atomic
def _store(made: "Made", seq: int) -> None:
    from jobs.domain.planning.planning_run import published

    said = published(made)
    axis = made.shop.axis
    starts = {key: [time_text(axis.moment(one.start)), list(one.team)] for key, one in made.view.plan.items()}
    PublishedPlan.objects.filter(id=THE_ROW, seq__lte=seq).update(
        made_at=made.shop.now, seq=seq, body=plain(asdict(said)), starts=starts, value=made.found.value,
        is_improved=False, trouble="",
    )  # fmt: skip
    plan_days.keep(said)


def _starts(row: PublishedPlan, axis: Axis) -> dict[str, int]:
    """Return the published starts on an axis [slot]; what should have begun by now begins now."""
    return {key: max(0, axis.first_from(read_time(at))) for key, (at, _) in row.starts.items()}


def _newest(seq: int) -> int:
    """Return the newest event after this one that matters to a plan; 0 without any."""
    found = Event.objects.filter(seq__gt=seq, kind__in=MATTER).order_by("-seq")
    return found.values_list("seq", flat=True).first() or 0


def _same_day(one: datetime, other: datetime) -> bool:
    return timezone.localdate(one) == timezone.localdate(other)


def _trouble(row: PublishedPlan, why: str) -> str:
    """Return the words for a plan that failed; they name tasks and numbers, and nobody."""
    day = f"{timezone.localtime(row.made_at):%d %b, %H:%M}" if row.made_at else "-"
    return TROUBLE.format(day=day, why=why[:300]) if row.made_at else f"No plan could be made. {why[:300]}"


_read: Callable[[Any], Published] = reader(Published)
