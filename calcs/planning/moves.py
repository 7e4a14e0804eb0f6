"""Changes of the sequence of commissions that a search tries."""

from collections.abc import Sequence
from random import Random


def moved(sequence: Sequence[int], chance: Random) -> list[int]:
    """Return a sequence with one commission, a part of it, or one of its clusters elsewhere."""
    job = sequence[chance.randrange(len(sequence))]
    own = [place for place, other in enumerate(sequence) if other == job]
    kind = chance.random()
    if kind < 0.3:
        part = own
    elif kind < 0.5:
        part = own[chance.randrange(len(own)) :]
    elif kind < 0.7:
        part = own[: chance.randrange(len(own)) + 1]
    else:
        part = [chance.choice(own)]
    reach = len(sequence) if chance.random() < 0.3 else max(4, len(sequence) // 8)
    by = chance.randint(1, reach) * chance.choice((-1, 1)) + 0.5
    going = set(part)
    keys = [(place + by if place in going else place, place) for place in range(len(sequence))]
    return [sequence[place] for _, place in sorted(keys)]
