"""Plans that are tried and never saved: the shop as it is, or with changes, searched alike."""

from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone

from calcs.planning.due_date_plan import due_date_plan
from calcs.planning.problem import Plan, Problem
from calcs.planning.repair import repair
from calcs.planning.search import search
from jobs.core.errors import NotYet
from jobs.domain.planning.problem.changes import NONE, Changes
from jobs.domain.planning.problem.drafts import is_delivery
from jobs.domain.planning.publishing import present_starts
from jobs.domain.planning.work import ShopProblem, problem_of_shop

PLANS = 30
"""Plans that each search tries: enough to settle, few enough to wait for."""


@dataclass(frozen=True, kw_only=True)
class Tried:
    """The problem of the shop, and a plan of its accepted work."""

    shop: ShopProblem
    plan: Plan

    @property
    def problem(self) -> Problem:
        return self.shop.problem

    def ready_on(self, commission: str) -> date | None:
        """Return the day on which the work on a commission ends; None where nothing of it is planned."""
        return self._day(self._ends(commission))

    def _ends(self, commission: str) -> list[int]:
        parts = self.shop.parts
        return [
            self.plan[task.key].start + task.slots
            for task in self.problem.tasks
            if task.key in parts
            and parts[task.key].commission == commission
            and not is_delivery(parts[task.key].stage)
        ]

    def _day(self, ends: list[int]) -> date | None:
        return timezone.localtime(self.shop.axis.moment(max(ends))).date() if ends else None


def tried(now: datetime, changes: Changes = NONE, *, start: Plan | None = None, plans: int = PLANS) -> Tried:
    """Return a plan of the shop with some changes, searched from a start plan.

    Two plans that are searched from the same start, in as many steps, differ by the changes alone.

    Raises
    ------
    NotYet
        If nothing can be planned: nobody has working hours.
    """
    shop = problem_of_shop(now, changes)
    if shop.trouble:
        raise NotYet(shop.trouble, field="hours", value="", allowed="working hours of somebody")
    begin = present_plan(shop) if start is None else start
    return Tried(shop=shop, plan=search(shop.problem, start=begin, plans=plans).plan)


def present_plan(shop: ShopProblem) -> Plan:
    """Return the published plan, moved into a problem of the shop; the plan by due date without one."""
    starts = present_starts(shop.axis)
    if not starts:
        return due_date_plan(shop.problem)
    return repair(shop.problem, starts, plans=0).plan
