"""What a plan costs, as a term of the model: tardiness, completion, unwanted slots, moves."""

from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache

from ortools.sat.python.cp_model import Domain, IntVar, LinearExprT

from calcs.planning.problem import ALWAYS, LATE, Job, Plan, Problem, Task, span, value
from calcs.planning.solving.model import Model
from calcs.planning.solving.profiles import runs

LEVELS = 4
"""Unwanted slots of a task are counted in so many levels, each as the most of it: never too cheap."""


def cost(problem: Problem, plan: Plan, near: Mapping[str, int]) -> int:
    """Return the points of a plan and the slots by which its starts differ from those of ``near``."""
    return value(problem, plan) + sum(abs(plan[key].start - start) for key, start in near.items())


def make_small(model: Model, near: Mapping[str, int]) -> None:
    """Ask for the least cost."""
    terms: list[LinearExprT] = []
    for job in model.problem.jobs:
        end = model.completion(job)
        terms.append(end)
        if job.due is not None:
            terms.append(LATE * job.weight * tardiness(model, job, job.due, end))
    for task in model.problem.tasks:
        if task.key in near:
            terms.append(moved(model, task, near[task.key]))
        if model.problem.unwanted:
            terms += [model.problem.unwanted_points * slots for slots in unwanted(model, task)]
    model.cp.minimize(sum(terms))


def tardiness(model: Model, job: Job, due: int, end: IntVar) -> IntVar:
    """Return how late a job is against a date [slots], or more."""
    slots = {key: model.tasks[key].slots for key in job.last}

    def late_in(plan: Plan) -> int:
        return max(0, max(plan[key].start + slots[key] for key in slots) - due)

    late = model.variable(0, max(0, model.until - due), f"{job.key} late", late_in)
    model.cp.add(late >= end - due)
    return late


def moved(model: Model, task: Task, start: int) -> IntVar:
    """Return by how many slots a task starts elsewhere, or more."""
    by = model.variable(0, model.until, f"{task.key} moved", lambda plan: abs(plan[task.key].start - start))
    model.cp.add(by >= model.start[task.key] - start)
    model.cp.add(by >= start - model.start[task.key])
    return by


def unwanted(model: Model, task: Task, levels_of: int = LEVELS) -> Iterator[LinearExprT]:
    """Yield how many unwanted slots a task takes, level by level."""
    levels = sorted({-(-task.slots * level // levels_of) for level in range(1, levels_of + 1)} - {0})
    for below, most in zip([0, *levels], levels, strict=False):
        calm = reaching_at_most(below, model.problem.unwanted, task.slots) & span(0, model.problem.horizon)
        more = model.literal(f"{task.key} reaches {most}", reaches(task.key, calm))
        domain = Domain.from_intervals([[first, after - 1] for first, after in runs(calm)])
        model.cp.add_linear_expression_in_domain(model.start[task.key], domain).only_enforce_if(~more)
        yield (most - below) * more


def reaches(key: str, calm: int) -> Callable[[Plan], bool]:
    """Return the question whether a plan starts a task outside a set of slots."""
    return lambda plan: not calm >> plan[key].start & 1


@lru_cache(maxsize=200)
def reaching_at_most(count: int, unwanted: int, slots: int) -> int:
    """Return the starts at which a task takes at most so many unwanted slots."""
    digits = list[int]()
    for i in range(slots):
        carry = unwanted >> i
        for k, digit in enumerate(digits):
            digits[k], carry = digit ^ carry, digit & carry
        if carry:
            digits.append(carry)
    if count >> len(digits):
        return ALWAYS
    fewer, equal = 0, ALWAYS
    for k in reversed(range(len(digits))):
        if count >> k & 1:
            fewer |= equal & ~digits[k]
            equal &= digits[k]
        else:
            equal &= ~digits[k]
    return fewer | equal
