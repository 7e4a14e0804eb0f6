"""How promises and plans were kept: what was told and planned, against what was done."""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils import timezone

from jobs.domain.commissions.hours import plain_title
from jobs.domain.commissions.labour_rates import kind_of
from jobs.models import Commission, Event, PromiseTold, Stage, StagePlanned

LEAST_PROMISES = 10
"""Promises that have to be in before a share is shown: a few say nothing."""
WEEKS = 12
"""Weeks that are shown."""
READY = (Commission.Step.READY, Commission.Step.DELIVERED, Commission.Step.CLOSED)


@dataclass(frozen=True, kw_only=True)
class Kept:
    """One promise that is in: the days told as it was made, and the day on which the commission was ready."""

    commission: str
    told_on: date
    promised: date
    in_half: date | None
    in_eight_of_ten: date | None
    in_nineteen_of_twenty: date | None
    ready_on: date

    @property
    def is_kept(self) -> bool:
        return self.ready_on <= self.promised

    @property
    def days_over(self) -> int:
        """Return the days from the promised day to the ready day; negative where it was early."""
        return (self.ready_on - self.promised).days


@dataclass(frozen=True, kw_only=True)
class Shares:
    """How many promises are in, how many were kept, and how many were ready by each day that was told.

    ``told`` of them had days from a plan; the last three count of those alone.
    """

    promises: int
    kept: int
    told: int
    by_half: int
    by_eight_of_ten: int
    by_nineteen_of_twenty: int

    @property
    def is_shown(self) -> bool:
        """Return whether enough promises with odds are in to speak of shares."""
        return self.told >= LEAST_PROMISES


def kept_promises() -> list[Kept]:
    """Return every promise that is in, the newest first: one for each commission."""
    ready = _ready_days()
    last: dict[str, PromiseTold] = {}
    for one in PromiseTold.objects.filter(commission__in=ready).order_by("seq"):
        if timezone.localtime(one.told_at).date() <= ready[one.commission]:
            last[one.commission] = one
    found = [_kept(one, ready[number]) for number, one in last.items()]
    return sorted(found, key=lambda one: (one.ready_on, one.commission), reverse=True)


def _kept(one: PromiseTold, ready: date) -> Kept:
    return Kept(
        commission=one.commission, told_on=timezone.localtime(one.told_at).date(), promised=one.promise_on,
        in_half=one.in_half, in_eight_of_ten=one.in_eight_of_ten,
        in_nineteen_of_twenty=one.in_nineteen_of_twenty, ready_on=ready,
    )  # fmt: skip


def _ready_days() -> dict[str, date]:
    """Return when each commission that is ready, or further on, last came to be ready."""
    now_ready = set(Commission.objects.filter(step__in=READY).values_list("number", flat=True))
    moves = Event.objects.filter(kind="commission_moved", body__contains=f'"to":"{Commission.Step.READY}"')
    found: dict[str, date] = {}
    for stream, at in moves.order_by("seq").values_list("stream", "occurred_at"):
        number = stream.partition(":")[2]
        if number in now_ready:
            found[number] = timezone.localtime(at).date()
    return found


def shares_of(kept: list[Kept]) -> Shares:
    """Return how often promises were kept."""
    told = [one for one in kept if one.in_eight_of_ten is not None]

    def by(name: str) -> int:
        days = ((one.ready_on, getattr(one, name)) for one in told)
        return sum(day is not None and ready <= day for ready, day in days)

    return Shares(
        promises=len(kept), kept=sum(one.is_kept for one in kept), told=len(told),
        by_half=by("in_half"), by_eight_of_ten=by("in_eight_of_ten"),
        by_nineteen_of_twenty=by("in_nineteen_of_twenty"),
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Compared:
    """Minutes of work planned and done of the stages of one kind, or of one week from its Monday on."""

    about: str
    stages: int
    planned_min: int
    done_min: int


def work_by_kind() -> list[Compared]:
    """Return planned against done minutes by kind of stage, the most work first."""
    return sorted(_compared(kind_of), key=lambda one: -one.done_min)


def work_by_week() -> list[Compared]:
    """Return planned against done minutes by the week in which stages were finished, the newest first."""
    return sorted(_compared(_monday), key=lambda one: one.about, reverse=True)[:WEEKS]


def stage_titles() -> dict[str, str]:
    """Return the title of each kind of stage that plans were kept of."""
    planned = StagePlanned.objects.values_list("piece", "stage")
    stages = Stage.objects.filter(piece__number__in={piece for piece, _ in planned}, title_ref=None)
    return {str(stage.spec["template_key"]): plain_title(stage.spec) for stage in stages}


def _compared(about: Callable[[Stage], str]) -> list[Compared]:
    planned = {(one.piece, one.stage): one.minutes for one in StagePlanned.objects.order_by("seq")}
    stages = Stage.objects.filter(
        piece__number__in={piece for piece, _ in planned}, step=Stage.Step.DONE, minutes__isnull=False
    ).select_related("piece")
    found: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for stage in stages:
        if (minutes := planned.get((stage.piece.number, stage.key))) is not None:
            found[about(stage)].append((minutes, stage.minutes or 0))
    return [
        Compared(
            about=key, stages=len(rows), planned_min=sum(row[0] for row in rows),
            done_min=sum(row[1] for row in rows),
        )
        for key, rows in found.items()
    ]  # fmt: skip


def _monday(stage: Stage) -> str:
    assert stage.finished_at is not None, "a stage that is done"
    day = timezone.localtime(stage.finished_at).date()
    return (day - timedelta(days=day.weekday())).isoformat()
