"""What the plan told as a promise was made, or a stage begun: kept beside the event."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date

from jobs.domain.commissions.labour_rates import kind_of
from jobs.domain.planning.published import Finish, PlannedWork
from jobs.domain.planning.publishing import current
from jobs.log.projectors import Turn, projects
from jobs.models import Event, Offer, PromiseTold, Stage, StagePlanned

OF_COMMISSION = ("commission_opened", "commission_changed")
OF_OFFER = ("offer_issued",)


@projects(Turn.REMINDERS, *OF_COMMISSION, *OF_OFFER)
def keep_what_was_told(events: list[Event]) -> None:
    """Keep the days that the published plan told of each commission whose promise these events set."""
    promised = [(event, day) for event in events if (day := _promised(event)) is not None]
    if not promised:
        return
    plan = current()
    finishes = {one.commission: one for one in plan.finishes} if plan else {}
    PromiseTold.objects.bulk_create(
        (_told(event, day, finishes.get(_number(event))) for event, day in promised), ignore_conflicts=True
    )


def _number(event: Event) -> str:
    return event.stream.partition(":")[2]


def _promised(event: Event) -> date | None:
    """Return the day that an event promises; None where it promises none."""
    if event.kind in OF_OFFER:
        offer = Offer.objects.filter(number=event.data["offer"], version=event.data["version"]).first()
        return offer.promise_on if offer else None
    said = event.data.get("promise_on")
    return date.fromisoformat(said) if said else None


def _told(event: Event, day: date, finish: Finish | None) -> PromiseTold:
    days = ("ready_on", "in_half", "in_eight_of_ten", "in_nineteen_of_twenty")
    return PromiseTold(
        seq=event.seq, commission=_number(event), told_at=event.occurred_at, promise_on=day,
        **{name: getattr(finish, name) for name in days if finish is not None},
    )  # fmt: skip


@projects(Turn.REMINDERS, "stage_started")
def keep_what_was_planned(events: list[Event]) -> None:
    """Keep how long the published plan thought that each of these stages takes, and when it was to start."""
    plan = current()
    if plan is None:
        return
    begun = {(event.data["piece"], event.data["stage"]): event for event in events}
    work: dict[tuple[str, str], list[PlannedWork]] = defaultdict(list)
    for one in plan.work:
        if (one.piece, one.stage) in begun:
            work[one.piece, one.stage].append(one)
    kinds = {(s.piece.number, s.key): kind_of(s) for s in _stages(work)}
    StagePlanned.objects.bulk_create(
        (
            StagePlanned(
                seq=begun[name].seq, piece=name[0], stage=name[1], kind=kinds[name],
                minutes=round(sum((one.ends - one.begins).total_seconds() for one in parts) / 60),
                begins=min(one.begins for one in parts), started_at=begun[name].occurred_at,
            )
            for name, parts in work.items()
            if kinds.get(name)
        ),
        ignore_conflicts=True,
    )  # fmt: skip


def _stages(names: Iterable[tuple[str, str]]) -> Iterable[Stage]:
    """Return the stages of these pieces and keys."""
    pieces, keys = {piece for piece, _ in names}, {key for _, key in names}
    if not pieces:
        return []
    return Stage.objects.filter(piece__number__in=pieces, key__in=keys).select_related("piece")
