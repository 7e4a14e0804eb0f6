"""Sets of slots as runs, and what is taken over time as steps."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from calcs.planning.problem import ALWAYS, Resource, Task, slots_of

Step = tuple[int, int, int]
"""First slot, slot after the last, units."""


def runs(slots: int) -> Iterator[tuple[int, int]]:
    """Yield the runs of a finite set of slots, each from its first slot to its last without it."""
    first = 0
    while slots:
        gap = (slots & -slots).bit_length() - 1
        slots >>= gap
        length = (~slots & (slots + 1)).bit_length() - 1
        yield first + gap, first + gap + length
        slots >>= length
        first += gap + length


def room_for(open_slots: int, slots: int) -> int:
    """Return the slots from which on a number of slots are all open."""
    done = 1
    while done < slots:
        step = min(done, slots - done)
        open_slots &= open_slots >> step
        done += step
    return open_slots if slots else ALWAYS


def can_be_worked(task: Task, resources: Mapping[str, Resource]) -> int:
    """Return the starts at which everything that a task uses, and one of its teams, is open throughout."""
    found = somebody_there(task, resources)
    for key in task.uses:
        found &= room_for(resources[key].open, task.slots)
    return found


def somebody_there(task: Task, resources: Mapping[str, Resource]) -> int:
    """Return the starts at which one of a task's teams is there throughout."""
    if not task.teams:
        return ALWAYS
    found = 0
    for team in task.teams:
        there = ALWAYS
        for person in team:
            there &= room_for(resources[person].open, task.slots)
        found |= there
    return found


def stacked(spans: Iterable[Step], *, until: int, most: int) -> list[Step]:
    """Return spans laid over each other as steps that do not overlap, each of ``most`` units at most."""
    changes: dict[int, int] = {}
    for first, after, units in spans:
        first, after = max(0, first), min(after, until)
        if first < after and units:
            changes[first] = changes.get(first, 0) + units
            changes[after] = changes.get(after, 0) - units
    steps, units = list[Step](), 0
    moments = sorted(changes)
    for first, after in zip(moments, moments[1:], strict=False):
        units += changes[first]
        if units:
            steps.append((first, after, min(units, most)))
    return steps


def clipped(steps: Sequence[Step], open_slots: int) -> Iterator[Step]:
    """Yield the parts of steps that lie in open slots."""
    for first, after, units in steps:
        for begin, end in runs(slots_of([(first, after)]) & open_slots):
            yield begin, end, units
