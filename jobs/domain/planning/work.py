"""The shop's state as a planning problem: every open stage of its orders, and of its quotes as maybe."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from itertools import chain
from typing import TypeVar

from calcs.planning.problem import Job, Lag, Problem
from calcs.planning.spreads import Uncertainty
from jobs.core.command_cache import own_memory
from jobs.domain.planning.problem.axis import Axis, day_span
from jobs.domain.planning.problem.changes import NONE, Changes
from jobs.domain.planning.problem.client import ClientDates
from jobs.domain.planning.problem.drafting import drafted
from jobs.domain.planning.problem.drafts import Draft, Ground, Part, Pin, is_delivery
from jobs.domain.planning.problem.orders import WaitAhead
from jobs.domain.planning.problem.people import People, span_of
from jobs.domain.planning.problem.places import wet_now
from jobs.domain.planning.problem.shop_rows import ShopRows, ground_of, longer, read_shop
from jobs.domain.planning.published import NotPlanned
from jobs.domain.waits.route import RouteState
from jobs.models import Commission

K = TypeVar("K")
V = TypeVar("V")
WEEKS = 26
MOST_WEEKS = 104
FULL = 0.6
"""Share of the working time until the horizon that work may take before the horizon is moved out."""
MOST_TASKS, MOST_LOAD = 2_000, 0.8
"""Tasks of one plan, and the share of all working time that they may take: more is planned later."""
TOO_FAR = "other orders fill the time until then: it is planned once they are further on"
NO_HOURS = "Nobody has working hours: set them, then the plan is made."
MISSED = "its window closes before anybody has the time: sand before the next coat, or come back for it"
FIRST_WEIGHT = 16
"""Weight of what goes first: four times that of a promise that must be kept."""


@dataclass(frozen=True, kw_only=True)
class ShopProblem:
    """The problem of the shop, and what its names stand for.

    Attributes
    ----------
    problem : Problem
        Work of accepted commissions.
    maybe : Problem
        Work of quoted ones alone: it takes what accepted work leaves.
    parts : mapping
        What each task is of.
    waits : tuple
        Waits that have not begun, each with the route of its piece.
    first, last : mapping
        By piece and stage: its first and its last task.
    uncertainty : Uncertainty
        Spreads of all tasks and waits.
    not_planned : tuple
        Stages that no plan can hold, with the words for the maker.
    promises : mapping
        The promised day of each commission that has one.
    clients, people, pins
        Answers and agreed dates of clients; who works when; what makers fixed.
    trouble : str
        Why nothing can be planned at all; empty where it can.
    """

    axis: Axis
    now: datetime
    problem: Problem
    maybe: Problem
    commissions: Mapping[str, Commission]
    routes: Sequence[RouteState]
    parts: Mapping[str, Part]
    waits: tuple[tuple[RouteState, WaitAhead], ...]
    first: Mapping[tuple[str, str], str]
    last: Mapping[tuple[str, str], str]
    uncertainty: Uncertainty
    not_planned: tuple[NotPlanned, ...]
    promises: Mapping[str, date]
    clients: ClientDates
    people: People
    pins: Mapping[tuple[str, str], Pin]
    trouble: str = ""

    @property
    def has_pinned_days(self) -> bool:
        """Return whether a maker fixed the day of any stage."""
        return any(pin.day for pin in self.pins.values())

    def whole(self) -> Problem:
        """Return the problem of all work, accepted and maybe."""
        firm, maybe = self.problem, self.maybe
        return replace(
            firm, tasks=(*firm.tasks, *maybe.tasks), lags=(*firm.lags, *maybe.lags),
            holds=(*firm.holds, *maybe.holds), jobs=(*firm.jobs, *maybe.jobs),
        )  # fmt: skip

    def missed(self, dropped: Iterable[Lag]) -> list[NotPlanned]:
        """Return the windows that no plan keeps, each at the stage that comes too late for it."""
        parts = [self.parts[lag.then] for lag in dropped]
        return [
            NotPlanned(commission=one.commission, piece=one.piece, stage=one.stage.key, why=MISSED)
            for one in parts
        ]


def problem_of_shop(now: datetime, changes: Changes = NONE) -> ShopProblem:
    """Return the problem of the shop as it stands, or as it would stand with some changes."""
    with own_memory():
        return _problem_of_shop(now, changes)


def _problem_of_shop(now: datetime, changes: Changes) -> ShopProblem:
    rows = read_shop(now, changes)
    weeks, known = WEEKS, None
    while True:
        found = _drafted(rows, now, weeks, changes, known)
        if found.load <= FULL or weeks >= MOST_WEEKS:
            return _whole(rows, now, _near_enough(found), changes)
        weeks, known = min(2 * weeks, MOST_WEEKS), found.ground


@dataclass(frozen=True, kw_only=True)
class _Drafted:
    """The drafts of all commissions on one axis."""

    ground: Ground
    firm: list[Draft]
    maybe: list[Draft]
    later: list[Draft] = field(default_factory=list)

    @property
    def every(self) -> list[Draft]:
        return [*self.firm, *self.maybe]

    @property
    def load(self) -> float:
        """Return the share of all working time until the horizon that accepted work takes."""
        there = sum((of.usual | of.unwanted).bit_count() for of in self.ground.people.hours.values())
        return sum(work_of(draft) for draft in self.firm) / max(there, 1)


def work_of(draft: Draft) -> int:
    """Return the slots that people spend on a commission."""
    return sum(task.slots * max((len(team) for team in task.teams[:1]), default=1) for task in draft.tasks)


def _drafted(rows: ShopRows, now: datetime, weeks: int, changes: Changes, known: Ground | None) -> _Drafted:
    axis = Axis.begin(now, 7 * weeks)
    ground = longer(known, rows, axis, changes) if known else ground_of(rows, axis, now, changes)
    firm: list[Draft] = []
    maybe: list[Draft] = []
    for one in rows.commissions:
        is_maybe = one.step in Commission.UNDECIDED and one.number not in changes.firm
        draft = drafted(ground, one, rows.routes_of(one), maybe=is_maybe)
        if draft.tasks:
            due = due_of(draft, ground) if not is_maybe else None
            weight = 1 if is_maybe else rows.weights[one.number]
            draft.jobs.append(job_of(draft, due=due, weight=weight, first=changes.first))
            put_first(draft, ground)
        (maybe if is_maybe else firm).append(draft)
    return _Drafted(ground=ground, firm=firm, maybe=maybe)


def _near_enough(found: _Drafted) -> _Drafted:
    """Return the drafts that one plan can hold, those due first; the others are named and wait for it."""
    there = sum((of.usual | of.unwanted).bit_count() for of in found.ground.people.hours.values())
    tasks, work = 0, 0
    firm: list[Draft] = []
    later: list[Draft] = []
    for draft in sorted(found.firm, key=_urgency):
        tasks, work = tasks + len(draft.tasks), work + work_of(draft)
        (firm if tasks <= MOST_TASKS and work <= MOST_LOAD * there else later).append(draft)
    if not later:
        return found
    return replace(found, firm=firm, maybe=[], later=[*later, *found.maybe])


def _urgency(draft: Draft) -> tuple[bool, int, str]:
    due = min((job.due for job in draft.jobs if job.due is not None), default=None)
    return due is None, due or 0, draft.commission.number


def _too_far(draft: Draft) -> list[NotPlanned]:
    """Return the first stage of a commission that no plan reaches yet."""
    part = next(iter(draft.parts.values()), None)
    if part is None:
        return []
    number = draft.commission.number
    return [NotPlanned(commission=number, piece=part.piece, stage=part.stage.key, why=TOO_FAR)]


def due_of(draft: Draft, ground: Ground) -> int | None:
    """Return the slot until which a commission must be ready: the end of the work before its delivery."""
    number, promised = draft.commission.number, ground.promised(draft.commission)
    agreed = ground.clients.deliveries.get(number)
    moments = [span_of(agreed)[0]] if agreed else []
    if promised is not None:
        begins, ends = day_span(promised, promised)
        only_delivery = all(is_delivery(part.stage) for part in draft.parts.values())
        moments.append(ends if only_delivery else begins)
    return min((ground.end_before(each) for each in moments), default=None)


def job_of(draft: Draft, *, due: int | None, weight: int, first: str) -> Job:
    """Return a commission as a job: complete when all is ready to go out."""
    ready = [task for task in draft.tasks if not is_delivery(draft.parts[task.key].stage)] or draft.tasks
    keys = {task.key for task in ready}
    followed = {lag.first for lag in draft.lags if lag.then in keys}
    last = tuple(task.key for task in ready if task.key not in followed)
    if draft.commission.number == first:
        due, weight = 0, FIRST_WEIGHT
    return Job(key=draft.commission.number, last=last, due=due, weight=weight)


def put_first(draft: Draft, ground: Ground) -> None:
    """Let the stages that are pinned to come first be a job of their own, with all that comes before them.

    It is late from now on, so nothing else goes before it.
    """
    [job] = draft.jobs
    for name in [name for name, pin in ground.pins.items() if pin.is_first and name in draft.last]:
        last = draft.last[name]
        keys = _up_to(last, draft.lags)
        if keys >= set(job.last):
            draft.jobs[0] = replace(job, due=0, weight=FIRST_WEIGHT)
            continue
        first = Job(key=f"first:{last}", last=(last,), due=0, weight=FIRST_WEIGHT)
        draft.jobs.append(first)
        draft.tasks[:] = [replace(task, job=first.key) if task.key in keys else task for task in draft.tasks]


def _up_to(last: str, lags: Iterable[Lag]) -> set[str]:
    """Return the tasks up to one: itself and all that come before it."""
    before: dict[str, list[str]] = defaultdict(list)
    for lag in lags:
        before[lag.then].append(lag.first)
    found, left = {last}, [last]
    while left:
        new = set(before[left.pop()]) - found
        found |= new
        left += new
    return found


def _whole(rows: ShopRows, now: datetime, found: _Drafted, changes: Changes) -> ShopProblem:
    ground = found.ground
    drafts = found.every
    return ShopProblem(
        axis=ground.axis, now=now, problem=_problem(ground, found.firm, rows, changes),
        maybe=_problem(ground, found.maybe, rows, changes),
        commissions={one.number: one for one in rows.commissions}, routes=rows.routes,
        parts=_joined(draft.parts for draft in drafts),
        waits=tuple(chain.from_iterable(draft.waits for draft in drafts)),
        first=_joined(draft.first for draft in drafts), last=_joined(draft.last for draft in drafts),
        uncertainty=Uncertainty(
            tasks={key: part.spread for draft in drafts for key, part in draft.parts.items()},
            lags=_joined(draft.lag_spreads for draft in drafts),
        ),
        not_planned=tuple(
            chain(*(draft.not_planned for draft in drafts), *(_too_far(draft) for draft in found.later))
        ),
        promises={one.number: day for one in rows.commissions if (day := ground.promised(one))},
        clients=ground.clients, people=ground.people, pins=ground.pins,
        trouble="" if ground.people.hours else NO_HOURS,
    )  # fmt: skip


def _problem(ground: Ground, drafts: Sequence[Draft], rows: ShopRows, changes: Changes) -> Problem:
    taken = wet_now(rows.routes, ground.axis, ground.places)
    tasks = tuple(chain.from_iterable(draft.tasks for draft in drafts))
    keys = {task.key for task in tasks}
    holds = [hold for draft in drafts for hold in draft.holds]
    return Problem(
        horizon=ground.axis.horizon, tasks=tasks,
        resources=(*ground.resources, *ground.places.resources(taken)),
        lags=tuple(chain.from_iterable(draft.lags for draft in drafts)),
        holds=(*(hold for hold in ground.held if hold.last in keys), *holds),
        jobs=tuple(chain.from_iterable(draft.jobs for draft in drafts)),
        unwanted=0 if changes.evenings else ground.people.unwanted,
    )  # fmt: skip


def _joined(each: Iterable[Mapping[K, V]]) -> dict[K, V]:
    return {key: value for one in each for key, value in one.items()}
