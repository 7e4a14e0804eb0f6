"""Solving a whole problem, or a part of it, and naming who does what."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from itertools import combinations
from random import Random

from calcs.planning.problem import Placed, Plan, Problem, slots_of
from calcs.planning.solving.freeing import calm, freed, groups
from calcs.planning.solving.model import Model
from calcs.planning.solving.points import cost, make_small
from calcs.planning.solving.running import Limits, Ran, run

TEAMS_S = 2.0
"""How long teams are looked for once every start is known."""
MOST_PARTS = 100


def solved(problem: Problem, plan: Plan | None, near: Mapping[str, int], limits: Limits) -> Ran:
    """Return the best plan that is found from a plan on; from none if it is None."""
    ran = _run(problem, plan, near, limits, exact=False)
    if ran.plan is None:
        return ran
    with_teams = named(problem, ran.plan, plan)
    if with_teams is not None:
        return replace(ran, plan=with_teams)
    return _run(problem, plan, near, limits, exact=True)


def part(problem: Problem, plan: Plan, jobs: Collection[str], near: Mapping[str, int], limits: Limits) -> Ran:
    """Return a plan in which only some jobs may have moved; None if none is better.

    Of the unwanted slots only those stay open that these jobs take already: to price them all would make a
    step twenty times as long.
    """
    some = freed(problem, plan, jobs)
    taken = slots_of([(plan[t.key].start, plan[t.key].start + t.slots) for t in some.tasks])
    some = calm(some, but=taken)
    ran = _run(some, plan, near, limits, exact=False)
    before = cost(problem, plan, near)
    if ran.plan is None or cost(problem, {**plan, **ran.plan}, near) >= before:
        return replace(ran, plan=None)
    with_teams = named(some, ran.plan, plan)
    if with_teams is not None:
        return replace(ran, plan=with_teams)
    ran = _run(some, plan, near, limits, exact=True)
    better = ran.plan is not None and cost(problem, {**plan, **ran.plan}, near) < before
    return ran if better else replace(ran, plan=None)


def _run(problem: Problem, plan: Plan | None, near: Mapping[str, int], limits: Limits, *, exact: bool) -> Ran:
    model = Model(problem, exact=exact)
    make_small(model, near)
    if plan is not None:
        model.hint(plan)
    return run(model, limits)


def named(problem: Problem, starts: Plan, before: Plan | None) -> Plan | None:
    """Return a plan with a team for every task, as before where that can be; None if there is none."""
    if all(len(task.teams) < 2 for task in problem.tasks):
        team = {task.key: (task.teams or ((),))[0] for task in problem.tasks}
        return {key: Placed(start=placed.start, team=team[key]) for key, placed in starts.items()}
    fixed = replace(problem, tasks=tuple(replace(t, starts=1 << starts[t.key].start) for t in problem.tasks))
    model = Model(fixed, exact=True)
    if before:
        kept = [model.chosen.get((key, before[key].team)) for key in starts]
        model.cp.maximize(sum(literal for literal in kept if literal is not None))
    return run(model, Limits(seconds=TEAMS_S, workers=1, presolve=True)).plan


def parts(problem: Problem, random: Random, size: int) -> Iterator[frozenset[str]]:
    """Yield sets of so many groups of jobs in a random order, not all of them where they are many."""
    sets = groups(problem)
    if len(sets) ** size <= 5000:
        every = list(combinations(sets, size))
        random.shuffle(every)
    else:
        every = [tuple(random.sample(sets, size)) for _ in range(MOST_PARTS)]
    for some in every:
        yield frozenset().union(*some)
