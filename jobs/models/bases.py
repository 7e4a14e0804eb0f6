"""The kinds of tables.

``State`` is projected from the log and from nothing else. ``Derived`` is computed from state and the clock;
it can be dropped and refilled. ``Kept`` stays outside the log for a reason that each model states.
"""

from typing import ClassVar

from django.db import models

ROWS_PER_EVENT = 1000


def row_key(seq: int, n: int = 0) -> int:
    """Return the key of the n-th row that event ``seq`` makes in a table: the same in every rebuild."""
    if not 0 <= n < ROWS_PER_EVENT:
        raise ValueError(f"n {n} is outside 0 to {ROWS_PER_EVENT - 1}")
    return seq * ROWS_PER_EVENT + n


class State(models.Model):
    """A row projected from the log; only ``jobs.log.projections`` writes it."""

    id = models.BigIntegerField(primary_key=True)

    class Meta:
        abstract = True


class Derived(models.Model):
    """A row computed from state and the present time; never compared, always refillable."""

    class Meta:
        abstract = True


class Kept(models.Model):
    """A row outside the log, with the reason why no event makes it."""

    why_kept: ClassVar[str] = ""

    class Meta:
        abstract = True
