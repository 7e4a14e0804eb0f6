"""The chance that a plan is kept: it is lived through many times, with other work and waits each time.

The order of the plan is kept: task by task, each starts as early as its waits, its people, its calendar and
what it holds let it. A gap in somebody's day is used. Work that takes longer goes on in the next window.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil

from calcs.kit.validators import whole
from calcs.planning.problem import Plan, Problem
from calcs.planning.simulation.draws import Draws
from calcs.planning.simulation.network import Network
from calcs.planning.simulation.run import Run
from calcs.planning.spreads import Uncertainty

RUNS = 200


@dataclass(frozen=True, kw_only=True, slots=True)
class Held:
    """Something that held a commission up: its ``kind`` is "work", "wait" or "resource".

    ``key`` is that of the task, of the two tasks of the wait with a space between, or of the resource;
    ``slots`` are how long it held it up in a run, on average.
    """

    kind: str
    key: str
    slots: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Chance:
    """Ends of a commission, one of each run: slots in their order, the horizon where no run ends it.

    ``held`` is what held it up, the longest first.
    """

    ends: tuple[int, ...]
    horizon: int
    held: tuple[Held, ...] = ()

    def slot_at(self, share: float) -> int | None:
        """Return the slot by which it is complete with this chance, from 0 to 1; None: after the horizon.

        Notes
        -----
        The k-th of n ends is as probable as k / (n + 1): the next end is one more of the same kind.
        """
        place = ceil(round(share * (len(self.ends) + 1), 9)) - 1
        if not 0 <= place < len(self.ends) or self.ends[place] >= self.horizon:
            return None
        return self.ends[place]

    def share_by(self, slot: int) -> float:
        """Return the share of the runs in which it is complete at a slot."""
        return sum(end <= slot for end in self.ends) / len(self.ends)


def chances(
    problem: Problem, plan: Plan, doubts: Uncertainty, *, runs: int = RUNS, seed: int = 0
) -> dict[str, Chance]:
    """Return when each commission is complete, by its key, over so many runs.

    Raises
    ------
    OutOfRange
        If ``runs`` is not 20 to 100,000.

    Notes
    -----
    A new commission is read by having it in the problem and the plan. A task whose starts have all passed,
    such as a delivery that is missed, is done in the next open time. A window that is missed all the same
    moves nothing more.
    """
    whole(runs, "runs", least=20, most=100_000)
    network = Network(problem, plan)
    draws = Draws(doubts, runs, seed)
    work = [draws.work(task) for task in problem.tasks]
    waits = [draws.wait(lag) for lag in problem.lags]
    lost = {person: draws.lost(person, network.windows_of((person,))) for person in sorted(network.people)}
    ends: dict[str, list[int]] = defaultdict(list)
    held: dict[str, dict[tuple[str, str], int]] = {job.key: defaultdict(int) for job in problem.jobs}
    for number in range(runs):
        run = Run(
            network,
            work=[drawn[number] for drawn in work],
            waits=[drawn[number] for drawn in waits],
            lost={person: drawn[number] for person, drawn in lost.items()},
        )
        run.live()
        for job in problem.jobs:
            last = max((network.number[key] for key in job.last), key=run.end.__getitem__)
            ends[job.key].append(min(problem.horizon, run.end[last]))
            run.trace(last, held[job.key])
    return {
        job.key: Chance(
            ends=tuple(sorted(ends[job.key])), horizon=problem.horizon, held=_ranked(held[job.key], runs)
        )
        for job in problem.jobs
    }


def _ranked(held: Mapping[tuple[str, str], int], runs: int) -> tuple[Held, ...]:
    longest = sorted(held.items(), key=lambda item: (-item[1], item[0]))
    return tuple(Held(kind=kind, key=key, slots=slots / runs) for (kind, key), slots in longest)
