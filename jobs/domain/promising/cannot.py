"""A day that cannot be kept: whether that is proved, and the smallest thing that gives way."""

from dataclasses import dataclass
from datetime import date

from calcs.planning.soonest import soonest_end
from jobs.domain.planning.problem.axis import day_span
from jobs.domain.planning.problem.changes import Changes
from jobs.domain.promising.helps import Help, what_helps
from jobs.domain.promising.trying import Tried


@dataclass(frozen=True, kw_only=True)
class CannotBeKept:
    """A day by which a commission is not ready in the plan.

    ``proved`` says that no plan at all keeps it. ``help`` is the smallest change that was found to keep it;
    ``ready_on`` is the day of the plan without any.
    """

    day: date
    ready_on: date
    proved: bool
    help: Help | None


def cannot_be_kept(plan: Tried, commission: str, day: date, changes: Changes) -> CannotBeKept | None:
    """Return why a commission is not ready by a day; None where the plan keeps it.

    ``changes`` are those that the plan was made with.
    """
    ready = plan.ready_on(commission)
    if ready is None or ready <= day:
        return None
    return CannotBeKept(
        day=day, ready_on=ready, proved=is_proved(plan, commission, day),
        help=what_helps(plan, commission, day, base=changes),
    )  # fmt: skip


def is_proved(plan: Tried, commission: str, day: date) -> bool:
    """Return whether no plan can have a commission ready by a day, whatever else is put back for it.

    Its stages and waits alone, one after another in the open hours, last longer: a bound that holds for
    every plan. Where it says nothing, the plan is only the best that was found.
    """
    due = plan.shop.axis.last_until(day_span(day, day)[1])
    soonest = soonest_end(plan.problem, commission)
    return soonest is None or soonest > due
