"""The rules of a planning problem as a model of the solver: starts, lags, resources, teams.

It loads the solver, which takes memory: only processes that end soon import it.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator

from ortools.sat.python.cp_model import CpModel, Domain, IntervalVar, IntVar, LinearExpr, LinearExprT

from calcs.planning.problem import ALWAYS, Hold, Job, Lag, Placed, Plan, Problem, Resource, Task, span
from calcs.planning.solving.people import People
from calcs.planning.solving.profiles import can_be_worked, clipped, runs, stacked

Use = tuple[IntervalVar, LinearExprT]
"""An interval and the units that it takes."""


class Model:
    """The rules of a problem. What is to be made small is added by those who ask.

    ``exact`` models who does a task. Otherwise it is only said how many of which people are busy at a time.
    That is a looser problem, but solved much sooner: what it cannot do is impossible, and what it can do
    mostly finds its teams afterwards.

    Attributes
    ----------
    start : dict
        Variable of the start by the key of a task.
    chosen : dict
        Literal by task and team, where a task has several and the model is exact.
    """

    def __init__(self, problem: Problem, *, exact: bool, more: Iterable[str] = ()) -> None:
        """State the rules; of each resource of ``more`` there may be one unit more, by its literal."""
        self.problem, self.cp = problem, CpModel()
        self.tasks = {task.key: task for task in problem.tasks}
        self.resources = {resource.key: resource for resource in problem.resources}
        self.people = People(problem)
        self.until = problem.horizon + max((task.slots for task in problem.tasks), default=0)
        self.hints: list[tuple[IntVar, Callable[[Plan], int]]] = []
        self.more = {key: self.literal(f"one more {key}", lambda _: False) for key in more}
        self.start = {task.key: self._start(task) for task in problem.tasks}
        self.chosen: dict[tuple[str, tuple[str, ...]], IntVar] = {}
        self.worked: dict[str, list[Use]] = defaultdict(list)
        self.kept: dict[str, list[Use]] = defaultdict(list)
        self.whole = {
            task.key: self.cp.new_fixed_size_interval_var(self.start[task.key], task.slots, task.key)
            for task in problem.tasks
        }
        for task in problem.tasks:
            self._use(task)
            if exact and task.teams:
                self._choose(task)
        for hold in problem.holds:
            self._hold(hold)
        for lag in problem.lags:
            self._lag(lag)
        if not exact:
            self._count_people()
        for resource in problem.resources:
            self._room(resource)

    def variable(self, least: int, most: int, name: str, hint: Callable[[Plan], int]) -> IntVar:
        """Return a new whole number, with what it is in a plan."""
        made = self.cp.new_int_var(least, most, name)
        self.hints.append((made, hint))
        return made

    def literal(self, name: str, hint: Callable[[Plan], bool]) -> IntVar:
        """Return a new yes or no, with what it is in a plan."""
        made = self.cp.new_bool_var(name)
        self.hints.append((made, lambda plan: int(hint(plan))))
        return made

    def end(self, key: str) -> LinearExpr:
        """Return the end of a task."""
        return self.start[key] + self.tasks[key].slots

    def _start(self, task: Task) -> IntVar:
        """Return a start whose domain has only the holes that closed time does not explain."""
        whole = span(0, self.problem.horizon)
        allowed = task.starts & whole
        if allowed:
            least, most = (allowed & -allowed).bit_length() - 1, allowed.bit_length() - 1
            allowed |= span(least, most - least) & ~can_be_worked(task, self.resources)
            allowed &= ~self.people.changing(task)
        spans = [[first, after - 1] for first, after in runs(allowed)]
        made = self.cp.new_int_var_from_domain(Domain.from_intervals(spans), task.key)
        self.hints.append((made, lambda plan: plan[task.key].start))
        return made

    def _use(self, task: Task) -> None:
        for key, units in task.uses.items():
            self.worked[key].append((self.whole[task.key], units))
        for key, slots in task.keeps.items():
            kept = self.cp.new_fixed_size_interval_var(self.start[task.key], slots, f"{task.key} in {key}")
            self.kept[key].append((kept, 1))

    def _choose(self, task: Task) -> None:
        """Let a task have one of its teams; each person of it has an interval then."""
        for team in task.teams:
            chosen = self.literal(f"{task.key} by {team}", is_by(task.key, team))
            self.chosen[task.key, team] = chosen
            for person in team:
                interval = self.cp.new_optional_fixed_size_interval_var(
                    self.start[task.key], task.slots, chosen, f"{task.key} by {person}"
                )
                self.worked[person].append((interval, 1))
        self.cp.add_exactly_one(self.chosen[task.key, team] for team in task.teams)

    def _count_people(self) -> None:
        """Never take more of a set of people than are there; a set of one has its own limit."""
        for people in self.people.sets:
            uses: list[Use] = [(self.whole[task.key], units) for task, units in self.people.needed(people)]
            if len(people) == 1:
                self.worked[people[0]] = uses
            else:
                away = stacked(self.people.away(people, self.until), until=self.until, most=len(people))
                self._limit(len(people), [*uses, *self._fixed(away)])

    def _hold(self, hold: Hold) -> None:
        """Hold units from a start to an end; the length between them is a variable, 0 or more."""
        since: LinearExprT = self.start[hold.first] if hold.first else 0
        slots = self.tasks[hold.last].slots

        def length_of(plan: Plan) -> int:
            return plan[hold.last].start + slots - (plan[hold.first].start if hold.first else 0)

        length = self.variable(0, self.until, f"{hold.first} to {hold.last}", length_of)
        held = self.cp.new_interval_var(
            since, length, self.end(hold.last), f"{hold.resource} until {hold.last}"
        )
        self.kept[hold.resource].append((held, hold.units))

    def _lag(self, lag: Lag) -> None:
        wait = self.start[lag.then] - self.end(lag.first)
        if lag.least > -self.until:
            self.cp.add(wait >= lag.least)
        if lag.most is not None:
            self.cp.add(wait <= lag.most)

    def _room(self, resource: Resource) -> None:
        """Never take more of a resource than there is, and work with it only when it is open.

        Closed time takes all units, but only of what is worked: what is held or kept runs through it.
        """
        worked, kept = self.worked[resource.key], self.kept[resource.key]
        taken = stacked(resource.taken, until=self.until, most=resource.capacity)
        most: LinearExprT = resource.capacity
        if resource.key in self.more:
            most = self.more[resource.key] + resource.capacity
        if resource.open == ALWAYS or not worked:
            return self._limit(most, [*worked, *kept, *self._fixed(taken)])
        shut = [(first, after, most) for first, after in runs(~resource.open & span(0, self.until))]
        self._limit(most, [*worked, *self._fixed([*shut, *clipped(taken, resource.open)])])
        if kept:
            self._limit(most, [*worked, *kept, *self._fixed(taken)])

    def _fixed(self, spans: Iterable[tuple[int, int, LinearExprT]]) -> Iterator[Use]:
        for first, after, units in spans:
            yield self.cp.new_fixed_size_interval_var(first, after - first, "taken"), units

    def _limit(self, most: LinearExprT, uses: list[Use]) -> None:
        intervals, units = [interval for interval, _ in uses], [count for _, count in uses]
        if isinstance(most, int) and most == 1 and all(count == 1 for count in units):
            self.cp.add_no_overlap(intervals)
        elif uses:
            self.cp.add_cumulative(intervals, units, most)

    def completion(self, job: Job) -> IntVar:
        """Return a slot at which a job has ended; whoever asks makes it small."""
        slots = {key: self.tasks[key].slots for key in job.last}
        end = self.variable(
            0, self.until, f"end of {job.key}", lambda plan: max(plan[k].start + slots[k] for k in slots)
        )
        for key in job.last:
            self.cp.add(end >= self.end(key))
        return end

    def plan(self, value_of: Callable[[IntVar], int]) -> Plan:
        """Return the plan of the values of a solution; without teams unless the model is exact."""
        chosen = {key: team for (key, team), literal in self.chosen.items() if value_of(literal)}
        return {
            key: Placed(start=value_of(start), team=chosen.get(key, ())) for key, start in self.start.items()
        }

    def hint(self, plan: Plan) -> None:
        """Let the solver begin from a plan. Once only."""
        for made, value in self.hints:
            self.cp.add_hint(made, value(plan))


def is_by(key: str, team: tuple[str, ...]) -> Callable[[Plan], bool]:
    """Return the question whether a plan has a task done by a team."""
    return lambda plan: sorted(plan[key].team) == sorted(team)
