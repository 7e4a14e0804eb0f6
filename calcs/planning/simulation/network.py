"""The plan as a simulation walks it: tasks in their order, what each waits for and what it takes."""

from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush

from calcs.planning.placing.slots import runs_of
from calcs.planning.problem import ALWAYS, Lag, Plan, Problem, Task
from calcs.planning.simulation.calendars import (
    Starts,
    Windows,
    starts_that_reach,
    windows_of,
)


@dataclass(frozen=True, slots=True)
class Way:
    """A team that may do a task: what has to be open, and in which slots it may start.

    ``takes`` are resource, units and how many slots they stay taken from the start; None: while it is worked.
    """

    needs: tuple[str, ...]
    starts: Starts
    takes: tuple[tuple[str, int, int | None], ...]


@dataclass(slots=True)
class Step:
    """A task of the plan, with the ways to do it, that of the plan first.

    ``before`` are the task it waits for and the number of the lag; ``limits`` the task that must follow, the
    number of the lag and its most. ``begins`` and ``ends`` are numbers of holds.
    """

    number: int
    ways: list[Way]
    before: list[tuple[int, int]] = field(default_factory=list)
    limits: list[tuple[int, int, int]] = field(default_factory=list)
    begins: list[int] = field(default_factory=list)
    ends: list[int] = field(default_factory=list)


class Network:
    """Tasks in the order of a plan. Numbers of tasks and holds are those of the problem."""

    def __init__(self, problem: Problem, plan: Plan) -> None:
        self.problem, self.plan = problem, plan
        self.resources = {resource.key: resource for resource in problem.resources}
        self.number = {task.key: number for number, task in enumerate(problem.tasks)}
        self.people = {person for task in problem.tasks for team in task.teams for person in team}
        self.windows: dict[tuple[str, ...], Windows] = {}
        self._starts: dict[tuple[tuple[str, ...], int, int], Starts] = {}
        reached = self._reached()
        self.steps = [
            Step(number, [self._way(task, team, reached[task.key, team]) for team in self._teams(task)])
            for number, task in enumerate(problem.tasks)
        ]
        for number, lag in enumerate(problem.lags):
            first, then = self.steps[self.number[lag.first]], self.steps[self.number[lag.then]]
            then.before.append((first.number, number))
            if lag.most is not None:
                first.limits.append((then.number, number, lag.most))
        for number, hold in enumerate(problem.holds):
            if hold.first:
                self.steps[self.number[hold.first]].begins.append(number)
            self.steps[self.number[hold.last]].ends.append(number)
        self.order = self._order()

    def _teams(self, task: Task) -> list[tuple[str, ...]]:
        mine = tuple(self.plan[task.key].team)
        return [mine, *(team for team in map(tuple, task.teams) if set(team) != set(mine))]

    def _way(self, task: Task, team: tuple[str, ...], reached: int) -> Way:
        needs = _needs(task, team)
        self.windows_of(needs)
        takes = (
            *((key, units, None) for key, units in task.uses.items() if units),
            *((person, 1, None) for person in team),
            *((key, 1, slots) for key, slots in task.keeps.items() if slots),
        )
        return Way(needs, self._made(needs, task.slots, reached), takes)

    def _made(self, needs: tuple[str, ...], slots: int, reached: int) -> Starts:
        key = needs, slots, reached
        if key not in self._starts:
            self._starts[key] = Starts(reached, self.problem.horizon)
        return self._starts[key]

    def windows_of(self, needs: tuple[str, ...]) -> Windows:
        """Return when all of the resources are open."""
        if needs not in self.windows:
            self.windows[needs] = windows_of(self._open(needs), self.problem.horizon)
        return self.windows[needs]

    def _open(self, needs: tuple[str, ...]) -> int:
        slots = ALWAYS
        for key in needs:
            slots &= self.resources[key].open
        return slots

    def _reached(self) -> dict[tuple[str, tuple[str, ...]], int]:
        """Return the starts of each task and team from which the calendar lets followers keep their windows.

        Work without a window behind it may begin where half of it fits: it goes on after the break.
        """
        limited: dict[str, list[Lag]] = {}
        for lag in self.problem.lags:
            if lag.most is not None and lag.most >= lag.least:
                limited.setdefault(lag.first, []).append(lag)
        fits: dict[tuple[tuple[str, ...], int], int] = {}
        reached: dict[tuple[str, tuple[str, ...]], int] = {}
        of_any: dict[str, int] = {}
        for task in sorted(self.problem.tasks, key=lambda task: -self.plan[task.key].start):
            limits = [lag for lag in limited.get(task.key, ()) if lag.then in of_any]
            for team in self._teams(task):
                key = _needs(task, team), task.slots if limits else -(-task.slots // 2)
                if key not in fits:
                    fits[key] = runs_of(self._open(key[0]), key[1])
                mine = task.starts & fits[key]
                for lag in limits:
                    least, most = lag.least + task.slots, (lag.most or 0) + task.slots
                    mine = mine & starts_that_reach(of_any[lag.then], least, most) or mine
                reached[task.key, team] = mine
                of_any[task.key] = of_any.get(task.key, 0) | mine
        return reached

    def _order(self) -> list[int]:
        """Return the numbers of the steps by their start in the plan, each after those it waits for."""
        waits_for = [0] * len(self.steps)
        followers: list[list[int]] = [[] for _ in self.steps]
        for lag in self.problem.lags:
            if lag.least >= 0:
                waits_for[self.number[lag.then]] += 1
                followers[self.number[lag.first]].append(self.number[lag.then])
        start = [self.plan[task.key].start for task in self.problem.tasks]
        ready = [(start[number], number) for number, count in enumerate(waits_for) if not count]
        heapify(ready)
        order = []
        while ready:
            _, number = heappop(ready)
            order.append(number)
            for then in followers[number]:
                waits_for[then] -= 1
                if not waits_for[then]:
                    heappush(ready, (start[then], then))
        return order


def _needs(task: Task, team: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(sorted({*task.uses, *team}))
