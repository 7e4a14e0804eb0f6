"""One life of a plan: each task is placed in the order of the plan, as early as it can be."""

from bisect import bisect_right, insort
from collections.abc import MutableMapping, Sequence
from typing import NamedTuple

from calcs.planning.problem import Resource
from calcs.planning.simulation.calendars import Calendar
from calcs.planning.simulation.draws import without
from calcs.planning.simulation.network import Network, Step, Way

EVER = 1 << 60
TRIES = 40
"""How often a task is moved so that the window after it can be met, before it is let go."""


class Line:
    """Times in which the one unit of a resource is taken, in their order."""

    def __init__(self, resource: Resource) -> None:
        self.since: list[int] = []
        self.until: list[int] = []
        for since, until, _ in sorted(resource.taken):
            self.take(max(since, self.until[-1] if self.until else since), until, 1)

    def free_at(self, since: int, until: int, units: int) -> int:
        """Return when to try next if it is taken between the two slots, else 0."""
        at = bisect_right(self.since, since)
        if at and self.until[at - 1] > since:
            return self.until[at - 1]
        return self.until[at] if at < len(self.since) and self.since[at] < until else 0

    def take(self, since: int, until: int, units: int) -> None:
        """Take it between two slots; what ends before it begins is not taken."""
        if until > since:
            at = bisect_right(self.since, since)
            self.since.insert(at, since)
            self.until.insert(at, until)


class Pool:
    """Units of a resource of which some are taken, each from a slot until another."""

    def __init__(self, resource: Resource) -> None:
        self.capacity = resource.capacity
        self.taken = sorted((until, since, units) for since, until, units in resource.taken)

    def free_at(self, since: int, until: int, units: int) -> int:
        """Return when to try next if too many units are taken between the two slots, else 0."""
        used, first = units, EVER
        for ends, begins, count in self.taken[bisect_right(self.taken, (since, EVER)) :]:
            if begins < until:
                used += count
                first = min(first, ends)
        return first if used > self.capacity and first < EVER else 0

    def take(self, since: int, until: int, units: int) -> None:
        """Take units between two slots."""
        if until > since:
            insort(self.taken, (until, since, units))

    def release(self, since: int, until: int, units: int) -> None:
        """Let units go that were taken without an end."""
        self.taken.remove((EVER, since, units))
        self.take(since, until, units)


class Spot(NamedTuple):
    """A place in time for a task: ``free`` is the start if nothing were taken, ``by`` what moved it last."""

    start: int
    end: int
    free: int
    by: str
    way: Way


class Run:
    """A plan lived through once. ``end`` has the end of each task by its number."""

    def __init__(
        self, network: Network, *, work: Sequence[int], waits: Sequence[int], lost: dict[str, set[int]]
    ) -> None:
        self.network, self.work, self.waits = network, work, waits
        count = len(network.steps)
        self.start, self.end = [0] * count, [-EVER] * count
        self.after = [-1] * count
        self.by_resource: list[tuple[str, int]] = [("", 0)] * count
        self.calendars = self._calendars(lost)
        self.held_since: dict[int, int] = {}
        self.lines = self._lines()

    def _calendars(self, lost: dict[str, set[int]]) -> dict[tuple[str, ...], Calendar]:
        """Return the open time of each set of people and resources, without what the people lose."""
        gone = {
            person: [self.network.windows_of((person,))[at] for at in sorted(windows)]
            for person, windows in lost.items()
        }
        return {
            needs: Calendar(
                without(windows, sorted(span for key in needs for span in gone.get(key, ())))
                if needs
                else [(0, EVER)]
            )
            for needs, windows in self.network.windows.items()
        }

    def _lines(self) -> dict[str, Line | Pool]:
        problem = self.network.problem
        held = {hold.resource for hold in problem.holds}
        lines: dict[str, Line | Pool] = {
            resource.key: Pool(resource) if resource.key in held or resource.capacity > 1 else Line(resource)
            for resource in problem.resources
        }
        for number, hold in enumerate(problem.holds):
            if not hold.first:
                lines[hold.resource].take(0, EVER, hold.units)
                self.held_since[number] = 0
        return lines

    def live(self) -> None:
        """Place every task."""
        for number in self.network.order:
            step = self.network.steps[number]
            ready, self.after[number] = self._ready(step)
            spot = self._placed(step, ready)
            self.start[number], self.end[number] = spot.start, spot.end
            self.by_resource[number] = spot.by, spot.start - spot.free
            self._take(step, spot)

    def _ready(self, step: Step) -> tuple[int, int]:
        """Return when its waits are over, and the number of the task it waits for longest."""
        ready, after = 0, -1
        for first, lag in step.before:
            over = self.end[first] + self.waits[lag]
            if over > ready:
                ready, after = over, first
        return ready, after

    def _placed(self, step: Step, ready: int) -> Spot:
        """Return the spot of a step from which the windows after it can be met."""
        spot = self._earliest(step, ready)
        for _ in range(TRIES if step.limits else 0):
            beyond = self._beyond(step, spot.end)
            if beyond <= 0:
                break
            spot = self._earliest(step, spot.start + beyond)._replace(free=spot.free)
        return spot

    def _beyond(self, step: Step, end: int) -> int:
        """Return by how many slots a window after the step would be missed."""
        beyond = 0
        for then, lag, most in step.limits:
            least = self.waits[lag]
            start = self._earliest(self.network.steps[then], end + least).start
            if start < self.network.problem.horizon:
                beyond = max(beyond, start - end - max(most, least))
        return beyond

    def _earliest(self, step: Step, ready: int) -> Spot:
        """Return the spot that ends first. Only where the team of the plan has to wait are others asked."""
        spot = self._spot(step, step.ways[0], ready)
        if spot.start > ready:
            for way in step.ways[1:]:
                other = self._spot(step, way, ready)
                if other.end < spot.end:
                    spot = other._replace(free=min(spot.free, other.free), by=other.by or spot.by)
        return spot

    def _spot(self, step: Step, way: Way, ready: int) -> Spot:
        calendar, slots = self.calendars[way.needs], self.work[step.number]
        free, by, at = -1, "", max(0, ready)
        while True:
            start = _open_start(way, calendar, at)
            end = calendar.end(start, slots) if start is not None else None
            if start is None or end is None:
                never = max(ready, self.network.problem.horizon)
                return Spot(never, never, never if free < 0 else free, by, way)
            if free < 0:
                free = start
            at = 0
            for key, units, kept in way.takes:
                at = self.lines[key].free_at(start, end if kept is None else start + kept, units)
                if at:
                    by = key
                    break
            else:
                for number in step.begins:
                    hold = self.network.problem.holds[number]
                    at = self.lines[hold.resource].free_at(start, EVER, hold.units)
                    if at:
                        by = hold.resource
                        break
            if not at:
                return Spot(start, end, free, by, way)

    def _take(self, step: Step, spot: Spot) -> None:
        for key, units, kept in spot.way.takes:
            self.lines[key].take(spot.start, spot.end if kept is None else spot.start + kept, units)
        for number in step.begins:
            hold = self.network.problem.holds[number]
            over = self.end[self.network.number[hold.last]]
            self.lines[hold.resource].take(spot.start, over if over > -EVER else EVER, hold.units)
            if over == -EVER:
                self.held_since[number] = spot.start
        for number in step.ends:
            hold = self.network.problem.holds[number]
            pool = self.lines[hold.resource]
            if number in self.held_since and isinstance(pool, Pool):
                pool.release(self.held_since[number], spot.end, hold.units)

    def trace(self, last: int, held: MutableMapping[tuple[str, str], int]) -> None:
        """Add what held up a task to ``held``, back along the tasks that it waited for."""
        number = last
        while number >= 0:
            key = self.network.problem.tasks[number].key
            held["work", key] += self.work[number]
            by, slots = self.by_resource[number]
            if by:
                held["resource", by] += slots
            after = self.after[number]
            if after >= 0:
                waited = max(w for f, w in self._waits_of(number) if f == after)
                if waited > 0:
                    held["wait", f"{self.network.problem.tasks[after].key} {key}"] += waited
            number = after

    def _waits_of(self, number: int) -> list[tuple[int, int]]:
        return [(first, self.waits[lag]) for first, lag in self.network.steps[number].before]


def _open_start(way: Way, calendar: Calendar, at: int) -> int | None:
    """Return the first start that is allowed and open; if no allowed one is left, the first open one."""
    while True:
        allowed = way.starts.from_(at)
        if allowed is None:
            return calendar.from_(at)
        opens = calendar.from_(allowed)
        if opens is None or opens == allowed:
            return opens
        at = opens
