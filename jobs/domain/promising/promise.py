"""When something can be promised: it is put into the plan, and the plan is lived through many times."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.utils import timezone

from calcs.planning.chance import chances
from calcs.planning.problem import SLOT_MINUTES
from jobs.core.errors import NotYet
from jobs.domain.planning.plan_why import Reasons
from jobs.domain.planning.problem.changes import NEW, Changes
from jobs.domain.planning.published import NotPlanned
from jobs.domain.promising.asked import RACK, Asked, checked, is_sized
from jobs.domain.promising.cannot import CannotBeKept, cannot_be_kept
from jobs.domain.promising.holding import Holding, holding
from jobs.domain.promising.odds import Odds, odds_of, with_margin
from jobs.domain.promising.trying import Tried, tried
from jobs.domain.working_time.open_hours import interruption_share
from jobs.models import Piece

RUNS = 120
"""Lives of the plan: the 19 in 20 day is that of the 115th of them."""


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What can be promised of a commission, ``NEW`` for a piece not quoted yet.

    ``proposed`` is the 8 in 10 day with the shop's margin. ``held_by`` is what holds it up most, as a kind
    and a name. ``hours`` are hours of work [h]; those of ``unsized`` pieces are the usual ones. ``chance``
    is that of the day asked for, from 0 to 1; None where no day was.
    """

    commission: str
    odds: Odds
    ready_on: date
    proposed: date
    holding: Holding
    held_by: tuple[str, str]
    hours: Decimal
    unsized: tuple[str, ...]
    not_planned: tuple[NotPlanned, ...]
    day: date | None = None
    chance: float | None = None
    cannot: CannotBeKept | None = None


def when(asked: Asked, now: datetime) -> Answer:
    """Return when something can be promised.

    Raises
    ------
    ShopError
        If it cannot be worked out: the field, its value and what is allowed are named.
    """
    pieces = checked(asked, timezone.localtime(now).date())
    number = NEW if asked.like else asked.commission
    changes = _changes(asked, pieces, number)
    plan = tried(now, changes)
    _refuse_unplanned(plan, number)
    found = chances(plan.problem, plan.plan, plan.shop.uncertainty, runs=RUNS)[number]
    odds = odds_of(found, plan.shop.axis)
    ready = plan.ready_on(number)
    assert ready is not None, "it is in the plan"
    return Answer(
        commission=number, odds=odds, ready_on=ready, proposed=with_margin(odds.in_eight_of_ten),
        holding=holding(plan, number), held_by=_held_by(plan, number), hours=_hours(plan, number),
        unsized=tuple(one.number for one in pieces if asked.hours is None and not is_sized(one)),
        not_planned=tuple(one for one in plan.shop.not_planned if one.commission == number),
        day=asked.day, chance=odds.chance(asked.day) if asked.day else None,
        cannot=cannot_be_kept(plan, number, asked.day, changes) if asked.day else None,
    )  # fmt: skip


def _changes(asked: Asked, pieces: list[Piece], number: str) -> Changes:
    numbers = tuple(piece.number for piece in pieces)
    finish = {one: {"finish_face": asked.finish, "finish_under": asked.finish} for one in numbers}
    return Changes(
        firm=frozenset({number}), like=numbers if asked.like else (),
        inputs=finish if asked.finish else {},
        hours={number: asked.hours} if asked.hours is not None else {},
        settled=frozenset({number}) if asked.wood == RACK else frozenset(),
    )  # fmt: skip


def _refuse_unplanned(plan: Tried, number: str) -> None:
    """Refuse what no plan can hold, with the reason."""
    if any(job.key == number for job in plan.problem.jobs):
        return
    why = next(
        (one.why for one in plan.shop.not_planned if one.commission == number), "nothing is left to do"
    )
    raise NotYet(
        f"it cannot be planned: {(why or ['nothing is left to do'])[0]}", field="commission", value=number,
        allowed="a commission with work that can be planned",
    )  # fmt: skip


def _hours(plan: Tried, number: str) -> Decimal:
    """Return the hours of work in it [h], without what the shop is called away for."""
    slots = sum(task.slots for task in plan.problem.tasks if task.job == number)
    return Decimal(slots * SLOT_MINUTES) / 60 * (1 - interruption_share())


def _held_by(plan: Tried, number: str) -> tuple[str, str]:
    """Return what holds it up in the plan, as its kind and its name."""
    job = next(job for job in plan.problem.jobs if job.key == number)
    return Reasons(shop=plan.shop, problem=plan.problem, plan=plan.plan).held_by(job)
