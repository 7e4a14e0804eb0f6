"""A plan in slots as people read it: work, waits, days on which commissions are ready."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cached_property
from itertools import groupby

from django.utils import timezone

from calcs.planning.chance import Chance, chances
from calcs.planning.problem import Plan, Problem, Task
from jobs.domain.planning.plan_why import Reasons
from jobs.domain.planning.problem.drafts import Part, is_delivery
from jobs.domain.planning.problem.orders import Before, WaitAhead
from jobs.domain.planning.problem.people import BACK, going, span_of
from jobs.domain.planning.problem.places import CLAMPS, FINISHING
from jobs.domain.planning.published import Finish, PlannedWait, PlannedWork
from jobs.domain.planning.work import ShopProblem
from jobs.domain.stages.clamps import UNCLAMP
from jobs.domain.waits.route import OVER, RouteState, estimate_of, safe_at
from jobs.models import Commission, Stage, Wait

RUNS, FEWEST_RUNS = 100, 20
"""Lives of the plan that the days of a commission are read from; fewer where there is much work."""
TASKS_LIVED, MOST_TASKS = 10_000, 3_000
"""Tasks of all lives together; tasks of a plan too long to be lived through in the time of the worker."""
RACK = "rack"
WORKING = (Commission.Step.ACCEPTED, Commission.Step.IN_SHOP, Commission.Step.READY)


@dataclass(frozen=True, kw_only=True)
class PlanView:
    """A plan of the shop with its problem: of accepted work and of maybes together."""

    shop: ShopProblem
    problem: Problem
    plan: Plan

    def begins(self, key: str) -> datetime:
        return self.shop.axis.moment(self.plan[key].start)

    def ends(self, key: str) -> datetime:
        return self.shop.axis.moment(self.plan[key].start + self._slots[key])

    @cached_property
    def reasons(self) -> Reasons:
        return Reasons(shop=self.shop, problem=self.problem, plan=self.plan)

    @cached_property
    def _slots(self) -> Mapping[str, int]:
        return {task.key: task.slots for task in self.problem.tasks}


def work_of(view: PlanView) -> list[PlannedWork]:
    """Return the planned stretches of work in order; parts that follow one another are one stretch."""
    reasons = view.reasons
    found: list[PlannedWork] = []
    for _, tasks in groupby(view.problem.tasks, key=lambda task: _stage_of(view.shop.parts[task.key])):
        found += _stretches(view, list(tasks), reasons)
    found += _deliveries(view)
    return sorted(found, key=lambda one: (one.begins, one.commission, one.piece, one.stage, one.part))


def _stage_of(part: Part) -> tuple[str, str]:
    return part.piece, part.stage.key


def _stretches(view: PlanView, tasks: list[Task], reasons: Reasons) -> list[PlannedWork]:
    stretches: list[PlannedWork] = []
    for task in tasks:
        one = _work(view, task, reasons)
        before = stretches[-1] if stretches else None
        if before and before.ends == one.begins and before.people == one.people:
            stretches[-1] = replace(before, ends=one.ends)
        else:
            stretches.append(one)
    count = len(stretches)
    return [replace(one, part=n, parts=count) for n, one in enumerate(stretches, 1)]


def _work(view: PlanView, task: Task, reasons: Reasons) -> PlannedWork:
    part, placed = view.shop.parts[task.key], view.plan[task.key]
    why, about = reasons.of(task)
    return PlannedWork(
        commission=part.commission, piece=part.piece, stage=part.stage.key,
        begins=view.begins(task.key), ends=view.shop.axis.moment(placed.start + task.slots),
        people=tuple(key.removeprefix(BACK) for key in placed.team), place=str(part.stage.spec["place"]),
        maybe=part.maybe, pinned=part.pinned, why=why, about=about,
    )  # fmt: skip


def _deliveries(view: PlanView) -> Iterator[PlannedWork]:
    """Yield the deliveries on agreed dates, which are no tasks: the date stands, whatever the plan."""
    for route in view.shop.routes:
        date = view.shop.clients.deliveries.get(route.piece.commission.number)
        for stage in route.stages if date else ():
            if date and is_delivery(stage) and stage.step not in OVER:
                begins, ends = span_of(date)
                people = view.shop.people
                order = sorted(people.hours, key=lambda key: key not in people.owners)
                team = going(date, order, people.hours, view.shop.axis.touched([(begins, ends)]))
                yield PlannedWork(
                    commission=route.piece.commission.number, piece=route.piece.number, stage=stage.key,
                    begins=begins, ends=ends, people=tuple(team), place=str(stage.spec["place"]), pinned=True,
                )  # fmt: skip


def waits_of(view: PlanView) -> list[PlannedWait]:
    """Return the running waits and those to come, in order of their begin."""
    running = (_running(route, wait) for route in view.shop.routes for wait in route.waits)
    ahead = (_ahead(view, route, one) for route, one in view.shop.waits)
    return sorted(filter(None, (*running, *ahead)), key=lambda one: (one.begins, one.piece, one.stage))


def _running(route: RouteState, wait: Wait) -> PlannedWait | None:
    estimate = estimate_of(wait)
    ready = safe_at(wait, estimate) if estimate else None
    if estimate is None or ready is None:
        return None
    likely = estimate.likely_at or estimate.ready_at or ready
    return PlannedWait(
        commission=route.piece.commission.number, piece=route.piece.number, stage=wait.stage.key,
        kind=wait.kind, title=wait.title, begins=wait.since, likely=min(likely, ready), ends=ready,
        closes=estimate.closes_at, place=_place(wait.kind, wait.stage),
        maybe=route.piece.commission.step not in WORKING,
    )  # fmt: skip


def _ahead(view: PlanView, route: RouteState, one: WaitAhead) -> PlannedWait | None:
    begins = _since(view, route.piece.number, one.since)
    if begins is None:
        return None
    return PlannedWait(
        commission=route.piece.commission.number, piece=route.piece.number, stage=one.stage.key,
        kind=str(one.spec["kind"]), title=str(one.spec["title"]), begins=begins,
        likely=begins + one.length.likely, ends=begins + one.length.safe,
        closes=begins + one.length.closes if one.length.closes is not None else None,
        place=_place(str(one.spec["kind"]), one.stage), maybe=route.piece.commission.step not in WORKING,
    )  # fmt: skip


def _since(view: PlanView, piece: str, since: Iterable[Before]) -> datetime | None:
    """Return the moment from which a wait counts; None where a stage before it is not planned."""
    moments = []
    for one in since:
        key = view.shop.last.get((piece, one.anchor), "")
        if one.anchor and key not in view.plan:
            return None
        begins = view.ends(key) if one.anchor else one.since
        moments.append((begins or view.shop.now) + one.least)
    return max(moments, default=None)


def _place(kind: str, stage: Stage) -> str:
    if kind == UNCLAMP:
        return CLAMPS
    return str(stage.spec["place"]) if stage.spec["place"] in (FINISHING, RACK) else ""


def finishes_of(view: PlanView) -> list[Finish]:
    """Return the day on which each commission is ready by the plan, and by which it is in most cases."""
    odds = _odds(view)
    found = []
    for job in view.problem.jobs:
        if job.key not in view.shop.commissions:
            continue
        ready = max(view.ends(key) for key in job.last)
        commission, chance = view.shop.commissions[job.key], odds.get(job.key)
        found.append(
            Finish(
                commission=job.key, ready_on=timezone.localdate(ready),
                in_half=_day(view, chance, 0.5), in_eight_of_ten=_day(view, chance, 0.8),
                in_nineteen_of_twenty=_day(view, chance, 0.95),
                promised=view.shop.promises.get(job.key), maybe=commission.step not in WORKING,
                held_by=view.reasons.held_by(job),
            )
        )  # fmt: skip
    return found


def _odds(view: PlanView) -> dict[str, Chance]:
    """Return the chances of the commissions; none where the plan is too long to live through."""
    count = len(view.problem.tasks)
    if not view.problem.jobs or count > MOST_TASKS:
        return {}
    runs = max(FEWEST_RUNS, min(RUNS, TASKS_LIVED // count))
    return chances(view.problem, view.plan, view.shop.uncertainty, runs=runs)


def _day(view: PlanView, chance: Chance | None, share: float) -> date | None:
    """Return the day by which a commission is ready in this share of cases; None beyond the plan."""
    slot = chance.slot_at(share) if chance else None
    return view.shop.axis.day(slot) if slot is not None else None
