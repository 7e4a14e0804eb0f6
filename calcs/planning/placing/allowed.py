"""Where a task may start: its own slots, the open slots of what it uses, a choice for each team."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from calcs.planning.placing.slots import CHUNK, parts_of, runs_of
from calcs.planning.problem import Problem, Resource, Task


@dataclass(frozen=True, slots=True)
class Held:
    """Units held from the start of one task, or from slot ``since``, to the end of another.

    ``first`` is -1 where they are held from slot ``since`` on. ``least`` is how long that takes at least.
    """

    first: int
    last: int
    row: int
    capacity: int
    units: int
    least: int = 0
    since: int = 0


@dataclass(frozen=True, slots=True)
class Option:
    """One team that may do a task.

    ``wanted`` and ``starts`` are its allowed starts in parts of a week, the first without unwanted slots.
    ``needs`` are rows that must be free, for how many slots, and whether that may reach into the next week.
    ``takes`` are row, capacity, units and slots of what becomes taken.
    """

    team: tuple[str, ...]
    people: tuple[int, ...]
    wanted: list[int]
    starts: list[int]
    needs: tuple[tuple[int, int, bool], ...]
    takes: tuple[tuple[int, int, int, int], ...]


class Allowed:
    """Rows of the resources and allowed starts of the tasks of one problem.

    A resource of capacity c has c rows in a list: row k is the set of slots in which more than k units are
    taken.
    """

    def __init__(self, problem: Problem) -> None:
        """Lay out the rows for a problem that has been checked."""
        self.problem = problem
        self.resources = {resource.key: resource for resource in problem.resources}
        self.row: dict[str, int] = {}
        count = 0
        for resource in problem.resources:
            self.row[resource.key] = count
            count += resource.capacity
        self.people = {
            key: i for i, key in enumerate(sorted({p for t in problem.tasks for m in t.teams for p in m}))
        }
        self.parts = 0
        self._inside = (1 << problem.horizon) - 1
        self._runs: dict[tuple[str, int], int] = {}
        self._cut: dict[int, list[int]] = {}

    def lay_out(self, longest: int) -> list[list[int]]:
        """Return the rows as they are before any task is placed; ``longest`` is the longest use [slots]."""
        self.parts = (self.problem.horizon + longest) // CHUNK + 2
        rows = [[0] * self.parts for resource in self.problem.resources for _ in range(resource.capacity)]
        for resource in self.problem.resources:
            for first, last, units in resource.taken:
                take(rows, self.row[resource.key], resource.capacity, units, max(0, first), last)
        return rows

    def options(self, task: Task, held: Sequence[Held]) -> tuple[Option, ...]:
        """Return an option for each team of a task that begins some holds."""
        own = self.starts(task, ())
        return tuple(self._option(task, team, own, held) for team in task.teams or ((),))

    def starts(self, task: Task, team: Sequence[str]) -> int:
        """Return the slots in which a task may start if nothing else is planned."""
        found = task.starts & self._inside
        for key in (*task.uses, *team):
            found &= self._open_runs(self.resources[key], task.slots)
        return found

    def _option(self, task: Task, team: tuple[str, ...], own: int, held: Sequence[Held]) -> Option:
        found = own
        for key in team:
            found &= self._open_runs(self.resources[key], task.slots)
        unwanted = self.problem.unwanted
        wanted = found & runs_of(~unwanted & self._beyond(task.slots), task.slots) if unwanted else found
        takes = self._takes(task, team)
        starts = self._parts(found)
        used = [*takes, *((h.row, h.capacity, h.units, h.least) for h in held)]
        return Option(
            team=team,
            people=tuple(self.people[key] for key in team),
            wanted=self._parts(wanted),
            starts=starts,
            needs=tuple(needs_of(used, starts)),
            takes=tuple(takes),
        )

    def _takes(self, task: Task, team: Sequence[str]) -> list[tuple[int, int, int, int]]:
        units = dict(task.uses)
        for key in team:
            units[key] = units.get(key, 0) + 1
        spans = [(key, count, task.slots) for key, count in units.items()]
        spans += [(key, 1, slots) for key, slots in task.keeps.items()]
        return [
            (self.row[key], self.resources[key].capacity, count, slots)
            for key, count, slots in spans
            if slots > 0
        ]

    def _open_runs(self, resource: Resource, slots: int) -> int:
        found = self._runs.get((resource.key, slots))
        if found is None:
            found = -1 if resource.open == -1 else runs_of(resource.open & self._beyond(slots), slots)
            self._runs[resource.key, slots] = found
        return found

    def _beyond(self, slots: int) -> int:
        """Return the slots up to where a task that starts before the horizon ends."""
        return (1 << (self.problem.horizon + slots)) - 1

    def _parts(self, found: int) -> list[int]:
        if found not in self._cut:
            self._cut[found] = parts_of(found, self.parts)
        return self._cut[found]


def needs_of(used: Sequence[tuple[int, int, int, int]], starts: Sequence[int]) -> list[tuple[int, int, bool]]:
    """Return which rows must be free for how long, so that every use from the start on fits."""
    by_row: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for row, capacity, units, slots in used:
        by_row.setdefault((row, capacity), []).append((slots, units))
    found = []
    for (row, capacity), uses in by_row.items():
        together = 0
        for slots, units in sorted(uses, reverse=True):
            together += units
            found.append((row + capacity - together, slots, _leaves_the_week(starts, slots)))
    return sorted(found, key=lambda need: need[1])


def _leaves_the_week(starts: Sequence[int], slots: int) -> bool:
    return slots > CHUNK or any(part >> (CHUNK - slots) for part in starts)


def take(rows: list[list[int]], row: int, capacity: int, units: int, first: int, last: int) -> None:
    """Take units of a resource from one slot to another without it; replace the rows that change."""
    if last <= first:
        return
    if capacity == 1 and first // CHUNK == (last - 1) // CHUNK:
        changed = rows[row].copy()
        changed[first // CHUNK] |= ((1 << (last - first)) - 1) << (first % CHUNK)
        rows[row] = changed
        return
    levels = range(row + capacity - 1, row - 1, -1)
    for part in range(first // CHUNK, (last - 1) // CHUNK + 1):
        from_slot, to_slot = max(0, first - part * CHUNK), min(CHUNK, last - part * CHUNK)
        span = ((1 << (to_slot - from_slot)) - 1) << from_slot
        for level in levels:
            below = level - units
            added = span if below < row else rows[below][part] & span
            if added:
                now = rows[level][part]
                if now | added != now:
                    changed = rows[level].copy()
                    changed[part] = now | added
                    rows[level] = changed


def jobs_of(problem: Problem) -> Mapping[str, int]:
    """Return the number of each commission; tasks of none have the number after the last."""
    return {**{job.key: i for i, job in enumerate(problem.jobs)}, "": len(problem.jobs)}
