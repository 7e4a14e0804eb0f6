"""The rule by which the bench orders work: a reason for each job's place, and a sort key from it. Pure.

What cannot wait comes first, then what is in hand, then what may go wrong, then what the plan has for today
in its order, then what sets others free, then what was promised. What can only be done later stands last.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import IntEnum

SOON = timedelta(minutes=15)
"""A window that opens this soon counts as open: it is ready by the time one has put the tools down."""


class Why(IntEnum):
    """Why a job stands where it stands, the most pressing first."""

    CLOSES = 0
    UNDER_WAY = 1
    SAFETY = 2
    SUSPECT = 3
    ASKED = 4
    MISSED = 5
    PLANNED = 6
    FREES_CLAMPS = 7
    STARTS_WAIT = 8
    PROMISED = 9
    FREE = 10
    OFFICE = 11
    LATER = 12

    @property
    def word(self) -> str:
        """Return the reason as the API says it."""
        return self.name.lower().replace("_", " ")


@dataclass(frozen=True, kw_only=True)
class Job:
    """What the rule asks of a job. ``key`` tells it from every other.

    ``planned_at`` is when the plan has it today; ``for_others`` where the plan has it for somebody else than
    who looks.
    """

    key: str
    started_at: datetime | None = None
    paused: bool = False
    opens_at: datetime | None = None
    closes_at: datetime | None = None
    missed: bool = False
    suspect: bool = False
    asked_at: datetime | None = None
    is_safety: bool = False
    frees_clamps: bool = False
    unlocks_h: float = 0
    promise_on: date | None = None
    at_desk: bool = False
    planned_at: datetime | None = None
    for_others: bool = False
    given: int = 0
    """0 where it is given to nobody, 1 to the person who looks, 2 to another."""


def why(job: Job, now: datetime) -> Why:
    """Return the first reason that holds for a job."""
    ahead = job.opens_at is not None and job.opens_at > now
    near = job.opens_at is None or job.opens_at <= now + SOON
    holds = {
        Why.OFFICE: job.at_desk,
        Why.UNDER_WAY: job.started_at is not None,
        Why.SAFETY: job.is_safety,
        Why.SUSPECT: job.suspect,
        Why.ASKED: job.asked_at is not None,
        Why.CLOSES: near and job.closes_at is not None and job.closes_at >= now,
        Why.LATER: ahead,
        Why.MISSED: job.missed,
        Why.PLANNED: job.planned_at is not None,
        Why.FREES_CLAMPS: job.frees_clamps,
        Why.STARTS_WAIT: job.unlocks_h > 0,
        Why.PROMISED: job.promise_on is not None,
    }
    return next((reason for reason, does in holds.items() if does), Why.FREE)


def rank(job: Job, now: datetime) -> tuple[int, int, float, str, str]:
    """Return the sort key of a job: whose it is, its reason, how it presses, its promised day, its key."""
    reason = why(job, now)
    presses = {
        Why.CLOSES: _at(job.closes_at),
        Why.UNDER_WAY: _at(job.started_at) + (SET_BACK if job.paused else 0),
        Why.SAFETY: _at(job.asked_at),
        Why.ASKED: _at(job.asked_at),
        Why.PLANNED: _at(job.planned_at) + (SET_BACK if job.for_others else 0),
        Why.FREES_CLAMPS: -job.unlocks_h,
        Why.STARTS_WAIT: -job.unlocks_h,
        Why.LATER: _at(job.opens_at),
    }.get(reason, 0.0)
    return (_whose(job, reason), int(reason), presses, (job.promise_on or date.max).isoformat(), job.key)


def _whose(job: Job, reason: Why) -> int:
    """Return 0 for what presses whoever does it and for one's own, 1 for nobody's, 2 for another's."""
    if job.given == OTHERS:
        return 2
    return 0 if job.given == MINE or reason in (Why.CLOSES, Why.UNDER_WAY, Why.SAFETY) else 1


NOBODYS, MINE, OTHERS = 0, 1, 2
SET_BACK = 1e12
"""Seconds that put a paused job behind every running one, and another's planned job behind one's own."""


def _at(moment: datetime | None) -> float:
    return moment.timestamp() if moment else 0.0
