"""A plan while it is made: what is taken so far, and the placing of one more cluster."""

from collections.abc import Sequence
from dataclasses import dataclass

from calcs.planning.placing.allowed import Held, Option, take
from calcs.planning.placing.grouping import Cluster
from calcs.planning.placing.model import Model
from calcs.planning.placing.slots import CHUNK

UNPLACED = -1
MOST_RETRIES = 2000
"""How often a cluster may move one of its tasks before a maximum lag in it is dropped."""


@dataclass(frozen=True, slots=True)
class NoRoom:
    """Failure to place a cluster: the task without a start, or the placed task it would have to precede."""

    task: int
    before: int = UNPLACED


@dataclass(slots=True)
class Bookings:
    """Rows taken so far, start and option of each task, slots each person works, lags dropped."""

    rows: list[list[int]]
    starts: list[int]
    teams: list[int]
    worked: list[int]
    dropped: frozenset[int] = frozenset()

    def copy(self) -> "Bookings":
        """Return a copy that can be changed apart; rows are replaced, never written, so they are shared."""
        return Bookings(
            self.rows.copy(), self.starts.copy(), self.teams.copy(), self.worked.copy(), self.dropped
        )


def empty(model: Model) -> Bookings:
    """Return bookings without a task."""
    count = len(model.slots)
    people = {person for options in model.options for option in options for person in option.people}
    return Bookings(model.rows.copy(), [UNPLACED] * count, [0] * count, [0] * (max(people, default=-1) + 1))


def earliest_fit(
    rows: list[list[int]], starts: Sequence[int], option: Option, least: int, before: int
) -> int:
    """Return the first start from ``least`` on that is free, or ``before`` if none comes earlier."""
    part = least // CHUNK
    first = part
    parts = len(starts)
    while part < parts and part * CHUNK < before:
        found = starts[part]
        if part == first:
            found = found >> (least - part * CHUNK) << (least - part * CHUNK)
        if found:
            for row, slots, leaves in option.needs:
                levels = rows[row]
                taken = levels[part]
                if leaves:
                    taken = _with_following(levels, part, slots)
                if taken:
                    have = 1
                    while have * 2 <= slots:
                        taken |= taken >> have
                        have *= 2
                    if slots > have:
                        taken |= taken >> (slots - have)
                    found &= ~taken
                    if not found:
                        break
            if found:
                start = part * CHUNK + (found & -found).bit_length() - 1
                return start if start < before else before
        part += 1
    return before


def _with_following(levels: list[int], part: int, slots: int) -> int:
    """Return a week of a row with as much of the following weeks as a use of that length may reach."""
    taken = levels[part]
    for ahead in range(1, (slots - 1) // CHUNK + 2):
        if part + ahead < len(levels):
            taken |= levels[part + ahead] << (ahead * CHUNK)
    return taken


def first_taken(levels: list[int], first: int) -> int | None:
    """Return the first slot of a row from ``first`` on that is taken."""
    part = first // CHUNK
    found = levels[part] >> (first - part * CHUNK) << (first - part * CHUNK)
    while not found:
        part += 1
        if part == len(levels):
            return None
        found = levels[part]
    return part * CHUNK + (found & -found).bit_length() - 1


def first_free(levels: list[int], first: int) -> int:
    """Return the first slot of a row from ``first`` on that is not taken."""
    part = first // CHUNK
    offset = first - part * CHUNK
    while part < len(levels):
        found = ~(levels[part] >> offset)
        free = (found & -found).bit_length() - 1
        if free + offset < CHUNK:
            return part * CHUNK + offset + free
        part, offset = part + 1, 0
    return part * CHUNK


class Placing:
    """Placing of one cluster after another into bookings, each as early as it can be.

    ``floors`` are starts no task may come before, ``preferred`` the teams chosen among those equally early.
    ``evenings`` says whether the present cluster may use unwanted slots.
    """

    def __init__(
        self, model: Model, floors: Sequence[int] | None = None, preferred: Sequence[int] | None = None
    ) -> None:
        """Prepare for a model; without floors every task starts as early as it can."""
        self.model = model
        self.horizon = model.problem.horizon
        self.floors = floors or [0] * len(model.slots)
        self.preferred = preferred or [UNPLACED] * len(model.slots)
        self.evenings = False

    def place(self, book: Bookings, cluster: Cluster, *, evenings: bool = False) -> NoRoom | None:
        """Place every task of a cluster, or say which one has no room; bookings are then unusable.

        A maximum lag inside the cluster that cannot be met at all is dropped and noted. Unwanted slots are
        used where ``evenings`` allows it, and by a task that has no other.
        """
        self.evenings = evenings
        if len(cluster.tasks) == 1:
            return self._place_one(book, cluster.tasks[0])
        floors = {task: self.floors[task] for task in cluster.tasks}
        return _Whole(self, book, cluster, floors).place()

    def _place_one(self, book: Bookings, task: int) -> NoRoom | None:
        start, option = self.fit(book, task, self.floors[task])
        if option is None:
            return NoRoom(task)
        for other, wait, _, _ in self.model.limits[task]:
            if book.starts[other] != UNPLACED and start + wait > book.starts[other]:
                return NoRoom(task, other)
        return None if self.book(book, task, start, option) is None else NoRoom(task)

    def fit(self, book: Bookings, task: int, least: int) -> tuple[int, int | None]:
        """Return the earliest start of a task and its team; of equal ones the team that worked least."""
        starts = book.starts
        for other, wait, _ in self.model.after[task]:
            start = starts[other]
            if start >= 0 and start + wait > least:
                least = start + wait
        start, option = self._fit(book, task, least, self.evenings)
        if option is None and not self.evenings and self.model.problem.unwanted:
            return self._fit(book, task, least, True)
        return start, option

    def _fit(self, book: Bookings, task: int, least: int, evenings: bool) -> tuple[int, int | None]:
        best, chosen, least_worked = self.horizon, None, 0
        options = self.model.options[task]
        if len(options) == 1:
            allowed = options[0].starts if evenings else options[0].wanted
            start = earliest_fit(book.rows, allowed, options[0], least, best)
            return start, None if start == best else 0
        for number, option in enumerate(options):
            allowed = option.starts if evenings else option.wanted
            start = earliest_fit(book.rows, allowed, option, least, best + (chosen is not None))
            if start > best or start >= self.horizon:
                continue
            worked = sum([book.worked[person] for person in option.people])
            if number == self.preferred[task]:
                worked = -1
            if start < best or chosen is None or worked < least_worked:
                best, chosen, least_worked = start, number, worked
        return best, chosen

    def book(self, book: Bookings, task: int, start: int, option: int) -> tuple[Held, int] | None:
        """Take what a task uses and the holds it ends; return the first hold that is broken, and where."""
        chosen = self.model.options[task][option]
        rows = book.rows
        for row, capacity, units, slots in chosen.takes:
            take(rows, row, capacity, units, start, start + slots)
        end = start + self.model.slots[task]
        for hold in self.model.holds[task]:
            first = hold.since if hold.first < 0 else book.starts[hold.first] if hold.first != task else start
            taken = first_taken(rows[hold.row + hold.capacity - hold.units], first) if end > first else None
            if taken is not None and taken < end:
                return hold, taken
            take(rows, hold.row, hold.capacity, hold.units, first, end)
        book.starts[task] = start
        book.teams[task] = option
        for person in chosen.people:
            book.worked[person] += self.model.slots[task]
        return None


class _Whole:
    """Placing of one cluster of several tasks: a task whose follower comes too late for it moves later."""

    def __init__(self, placing: Placing, book: Bookings, cluster: Cluster, floors: dict[int, int]) -> None:
        self.placing, self.model, self.book = placing, placing.model, book
        self.tasks = cluster.tasks
        self.floors = floors
        self.where = {task: i for i, task in enumerate(cluster.tasks)}
        self.before: list[tuple[list[list[int]], list[int]]] = []
        self.moved_by: dict[int, int] = {}
        """The maximum lag for whose sake a task moved last."""
        self.last_lag = UNPLACED
        self.retries = 0

    def place(self) -> NoRoom | None:
        """Place the tasks in order; go back to a task that has to move."""
        at = 0
        while at < len(self.tasks):
            task = self.tasks[at]
            del self.before[at:]
            self.before.append((self.book.rows.copy(), self.book.worked.copy()))
            start, option = self.placing.fit(self.book, task, self.floors[task])
            if option is None or self.retries > MOST_RETRIES:
                if not self._drop_a_lag():
                    return NoRoom(task)
                at = 0
                continue
            behind = self._too_late_for(task, start)
            if isinstance(behind, NoRoom):
                return behind
            if behind is None:
                broken = self.placing.book(self.book, task, start, option)
                if broken is None:
                    at += 1
                    continue
                hold, taken = broken
                if hold.first < 0:
                    return NoRoom(task)
                level = self.book.rows[hold.row + hold.capacity - hold.units]
                behind, self.floors[hold.first] = hold.first, first_free(level, taken)
                self.moved_by.pop(behind, None)
            at = self._go_back(behind, at)
        return None

    def _too_late_for(self, task: int, start: int) -> int | NoRoom | None:
        """Return the placed task that has to move since this one can start only here."""
        for other, wait, lag, most in self.model.limits[task]:
            placed = self.book.starts[other]
            if placed == UNPLACED or start + wait <= placed or lag in self.book.dropped and most:
                continue
            if other not in self.where:
                return NoRoom(task, other)
            self.floors[other] = start + wait
            if most:
                self.moved_by[other] = self.last_lag = lag
            return other
        return None

    def _go_back(self, task: int, at: int) -> int:
        """Take back what was placed from a task on."""
        self.retries += 1
        back = self.where[task]
        for other in self.tasks[back : at + 1]:
            self.book.starts[other] = UNPLACED
        rows, worked = self.before[back]
        self.book.rows[:], self.book.worked[:] = rows, worked
        return back

    def _drop_a_lag(self) -> bool:
        """Drop the maximum lag for which a task moved last, and begin again; False if there is none."""
        if self.last_lag == UNPLACED:
            return False
        self.book.dropped |= {self.last_lag}
        self.last_lag, self.retries = UNPLACED, 0
        for task in self.tasks:
            self.floors[task] = self.placing.floors[task]
        self._go_back(self.tasks[0], len(self.tasks) - 1)
        self.retries = 0
        return True
