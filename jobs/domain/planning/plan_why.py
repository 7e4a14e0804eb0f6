"""Why work stands where it does in a plan, and what keeps a commission longest."""

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

from calcs.planning.problem import Job, Lag, Plan, Problem, Resource, Task, span
from jobs.domain.planning.problem.axis import SLOTS_OF_DAY, day_span
from jobs.domain.planning.problem.drafts import Part
from jobs.domain.planning.problem.people import BACK
from jobs.domain.planning.problem.places import CLAMPS, is_clamps
from jobs.domain.planning.problem.room import starts_of
from jobs.domain.planning.published import (
    CLIENT,
    CLOSES,
    FREES,
    PERSON,
    PINNED,
    PLACE,
    PROMISED,
    STAGE,
    UNDER_WAY,
    WAIT,
)
from jobs.domain.planning.work import ShopProblem
from jobs.domain.waits.route import estimate_of
from jobs.models import Stage

SOON = 10 * SLOTS_OF_DAY
"""Slots before a promise in which it is the reason for work: common practice, no source."""
Reason = tuple[str, str]
NO_REASON = ("", "")


@dataclass(frozen=True, kw_only=True)
class Reasons:
    """Reasons of a plan, worked out from its problem."""

    shop: ShopProblem
    problem: Problem
    plan: Plan

    def of(self, task: Task) -> Reason:
        """Return why a task stands where it does, as a key of ``WHY`` and what it is about."""
        part = self.shop.parts[task.key]
        if part.stage.step == Stage.Step.UNDER_WAY and part.part == 1:
            return UNDER_WAY, ""
        if part.pinned:
            return PINNED, ""
        if part.part == 1 and (title := self._closing.get((part.piece, part.stage.key))):
            return CLOSES, title
        return self._frees(task, part) or self._begins(part) or self._promised(task, part) or NO_REASON

    def _frees(self, task: Task, part: Part) -> Reason | None:
        """Return the commission whose clamping follows on the clamps that a task frees."""
        for reach in self._freed_by.get(task.key, ()):
            ends = self.plan[task.key].start + task.slots
            for start, piece, number in self._clampings.get(reach, ()):
                if ends <= start <= ends + SLOTS_OF_DAY and piece != part.piece:
                    return FREES, number
        return None

    def _begins(self, part: Part) -> Reason | None:
        """Return the title of the longest wait that begins with a stage, of those of a day or longer."""
        title, length = self._started.get((part.piece, part.stage.key), ("", 0))
        return (WAIT, title) if length >= SLOTS_OF_DAY and part.part == part.parts else None

    def _promised(self, task: Task, part: Part) -> Reason | None:
        day = self.shop.promises.get(part.commission)
        if day is None:
            return None
        until = self.shop.axis.last_until(day_span(day, day)[0])
        return (PROMISED, part.commission) if self.plan[task.key].start > until - SOON else None

    @cached_property
    def _closing(self) -> dict[tuple[str, str], str]:
        """Return the titles of waits with a window, by the stage that must begin in it."""
        found: dict[tuple[str, str], str] = {}
        for route, ahead in self.shop.waits:
            if ahead.length.closes is not None:
                found |= {(route.piece.number, key): str(ahead.spec["title"]) for key in ahead.spec["holds"]}
        for route in self.shop.routes:
            for wait in route.waits:
                estimate = estimate_of(wait)
                if estimate and estimate.closes_at and estimate.closes_at > self.shop.now:
                    found |= {(route.piece.number, key): wait.title for key in wait.holds}
        return found

    @cached_property
    def _started(self) -> dict[tuple[str, str], tuple[str, int]]:
        """Return the longest wait that begins as a stage ends, with its slots."""
        found: dict[tuple[str, str], tuple[str, int]] = {}
        for route, ahead in self.shop.waits:
            length = ahead.length.safe.days * SLOTS_OF_DAY
            for one in ahead.since:
                name = (route.piece.number, one.anchor)
                if one.anchor and length > found.get(name, ("", 0))[1]:
                    found[name] = (str(ahead.spec["title"]), length)
        return found

    @cached_property
    def _freed_by(self) -> dict[str, list[str]]:
        found: dict[str, list[str]] = defaultdict(list)
        for hold in self.problem.holds:
            if is_clamps(hold.resource):
                found[hold.last].append(hold.resource)
        return found

    @cached_property
    def _clampings(self) -> dict[str, list[tuple[int, str, str]]]:
        """Return the clampings to come by what they take: start, piece, commission."""
        found: dict[str, list[tuple[int, str, str]]] = defaultdict(list)
        for hold in self.problem.holds:
            if is_clamps(hold.resource) and hold.first:
                part = self.shop.parts[hold.first]
                start = self.plan[hold.first].start
                found[hold.resource].append((start, part.piece, part.commission))
        return {key: sorted(each) for key, each in found.items()}

    def held_by(self, job: Job) -> Reason:
        """Return what keeps a commission longest on its way: kind and name, see ``Finish``."""
        lasted: dict[Reason, int] = defaultdict(int)
        key = max(job.last, key=lambda each: self.plan[each].start + self._tasks[each].slots)
        while True:
            task, part = self._tasks[key], self.shop.parts[key]
            lasted[STAGE, f"{part.piece}/{part.stage.key}"] += task.slots
            lag = max(self._before.get(key, ()), key=self._over, default=None)
            ready = max(self._over(lag) if lag else 0, 0)
            lasted[self._late(task, part, ready)] += self.plan[key].start - ready
            if lag is None:
                break
            if lag.least > 0:
                lasted[WAIT, self._title(lag)] += lag.least
            key = lag.first
        lasted.pop(NO_REASON, None)
        return max(lasted, key=lambda each: lasted[each])

    def _over(self, lag: Lag) -> int:
        return self.plan[lag.first].start + self._tasks[lag.first].slots + lag.least

    def _late(self, task: Task, part: Part, ready: int) -> Reason:
        """Return what a task that is ready waits for until its start; nothing where the shop is closed."""
        start = self.plan[task.key].start
        if start <= ready:
            return NO_REASON
        before = span(ready, start - ready)
        number = part.commission
        if self.shop.clients.answer_for(part.stage, number, part.piece) and not before & task.starts:
            return CLIENT, number
        if not starts_of(task.teams, self._people, task.slots) & before & task.starts:
            return NO_REASON
        free = [Resource(key=one.key, open=one.open & ~self._busy[one.key]) for one in self._people]
        if not starts_of(task.teams, free, task.slots) & before & task.starts:
            return PERSON, self.plan[task.key].team[0].removeprefix(BACK)
        clamped = any(hold.first == task.key and is_clamps(hold.resource) for hold in self.problem.holds)
        return (CLAMPS, "") if clamped else (PLACE, str(part.stage.spec["place"]))

    def _title(self, lag: Lag) -> str:
        """Return the title of the longest wait between two tasks."""
        first, then = self.shop.parts[lag.first], self.shop.parts[lag.then]
        of_piece = [one for route, one in self.shop.waits if route.piece.number == first.piece]
        between = [
            one
            for one in of_piece
            if first.stage.position <= one.stage.position < then.stage.position and one.length.safe
        ]
        return str(max(between, key=lambda one: one.length.safe).spec["title"]) if between else ""

    @cached_property
    def _tasks(self) -> dict[str, Task]:
        return {task.key: task for task in self.problem.tasks}

    @cached_property
    def _before(self) -> dict[str, list[Lag]]:
        found: dict[str, list[Lag]] = defaultdict(list)
        for lag in self.problem.lags:
            found[lag.then].append(lag)
        return found

    @cached_property
    def _people(self) -> list[Resource]:
        return self.shop.people.resources

    @cached_property
    def _busy(self) -> dict[str, int]:
        found: dict[str, int] = defaultdict(int)
        for task in self.problem.tasks:
            for key in self.plan[task.key].team:
                found[key] |= span(self.plan[task.key].start, task.slots)
        return found
