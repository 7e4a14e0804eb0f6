"""Changes of the sequence of commissions that a search tries."""

from collections.abc import Sequence
from random import Random


def moved(sequence: Sequence[int], chance: Random) -> list[int]:
    """Return a sequence with one commission, or a part of one, earlier or later.

    The part is the whole, its end, its beginning or up to four clusters. Short ways are tried more often.
    """
    count = len(sequence)
    job = sequence[chance.randrange(count)]
    part = part_of([place for place, other in enumerate(sequence) if other == job], chance)
    reach = max(2, int(count / 2 * chance.random() ** 2))
    by = (chance.randint(1, reach) + 0.5) * chance.choice((-1, 1))
    going = set(part)
    keys = [(place + by if place in going else place, place) for place in range(count)]
    return [sequence[place] for _, place in sorted(keys)]


def part_of(own: Sequence[int], chance: Random) -> Sequence[int]:
    """Return the whole, an end, a beginning or up to four in the middle of what a commission has."""
    kind = chance.random()
    if kind < 0.4:
        return own
    at = chance.randrange(len(own))
    if kind < 0.6:
        return own[at:]
    if kind < 0.8:
        return own[: at + 1]
    return own[at : at + chance.randint(1, 4)]


def reordered(own: Sequence[int], chance: Random) -> list[int]:
    """Return what a commission has with one of it earlier or later; short ways are tried more often."""
    found = list(own)
    one = found.pop(chance.randrange(len(found)))
    reach = max(1, int(len(found) * chance.random() ** 2))
    at = own.index(one) + chance.randint(1, reach) * chance.choice((-1, 1))
    found.insert(max(0, min(len(found), at)), one)
    return found
