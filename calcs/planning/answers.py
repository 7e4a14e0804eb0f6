"""What the solver answers. Loads no solver, so that every process may read it."""

from dataclasses import dataclass

from calcs.planning.problem import Plan

UNWANTED, RESOURCE, DUE, CHANGE = "unwanted", "resource", "due", "change"


@dataclass(frozen=True, kw_only=True, slots=True)
class Improved:
    """A plan and its cost, at least as good as the one before.

    ``proved``: there is no better one. ``plan`` None and ``proved``: there is none at all.
    """

    plan: Plan | None
    value: int | None
    proved: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Met:
    """Answer whether dates can be kept: True with a plan, False if proved impossible, None if unknown."""

    possible: bool | None
    plan: Plan | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Way:
    """One thing that gives way so that the dates can be kept, with a plan that keeps them.

    Parameters
    ----------
    kind : str
        ``UNWANTED``: work in slots that may be worked but should not be. ``RESOURCE``: one unit more of it.
        ``DUE``: a job ends later than its date. ``CHANGE``: a change that the caller named.
    key : str
        The resource, the job, or the caller's name of the change; empty for unwanted slots.
    amount : int
        Unwanted slots worked, units more, or slots by which the job ends after its date; 0 for a change.
    proved : bool
        Nothing less of it will do.
    """

    kind: str
    key: str = ""
    amount: int = 0
    plan: Plan
    proved: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class GivesWay:
    """Answer whether dates can be kept as things are, and else what would help, each by itself.

    ``met.possible`` False: proved impossible as things are. ``ways`` may be empty: then none was found.
    """

    met: Met
    ways: tuple[Way, ...] = ()
