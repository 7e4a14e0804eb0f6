"""How many of which people are busy at a time, whoever it is."""

from collections.abc import Iterator

from calcs.planning.problem import ALWAYS, Problem, Task, span
from calcs.planning.solving.profiles import Step, clipped, room_for, runs, somebody_there, stacked

MOST_SETS = 40
"""Beyond so many different sets of people only each person alone, and all of them, are counted."""


class People:
    """The people who are named in teams, and the sets of them that choices are made from."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.resources = {resource.key: resource for resource in problem.resources}
        named = {person for task in problem.tasks for team in task.teams for person in team}
        everybody = tuple(sorted(named))
        choices = {tuple(sorted({p for team in task.teams for p in team})) for task in problem.tasks}
        sets = {(person,) for person in everybody} | ({everybody} if everybody else set())
        self.sets = sorted(sets | choices - {()} if len(choices) <= MOST_SETS else sets)

    def needed(self, people: tuple[str, ...]) -> Iterator[tuple[Task, int]]:
        """Yield each task that takes some of these people in any case, with how many at least."""
        among = set(people)
        for task in self.problem.tasks:
            units = sum(task.uses.get(person, 0) for person in people)
            units += min((len(among.intersection(team)) for team in task.teams), default=0)
            if units:
                yield task, units

    def away(self, people: tuple[str, ...], until: int) -> Iterator[Step]:
        """Yield when one of these people is closed or taken, one unit each."""
        for person in people:
            resource = self.resources[person]
            for first, after in runs(~resource.open & span(0, until)) if resource.open != ALWAYS else ():
                yield first, after, 1
            yield from clipped(stacked(resource.taken, until=until, most=1), resource.open)

    def changing(self, task: Task) -> int:
        """Return the starts at which enough people are there in every slot, but no team throughout."""
        if len(task.teams) < 2:
            return 0
        least = min(len(team) for team in task.teams)
        there = at_least(
            least, [self.resources[p].open for p in sorted({p for team in task.teams for p in team})]
        )
        return room_for(there, task.slots) & ~somebody_there(task, self.resources)


def at_least(count: int, sets: list[int]) -> int:
    """Return the slots that at least ``count`` of the sets have."""
    reached = [ALWAYS] + [0] * count
    for slots in sets:
        for n in range(count, 0, -1):
            reached[n] |= reached[n - 1] & slots
    return reached[count]
