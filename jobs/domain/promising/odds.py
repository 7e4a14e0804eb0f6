"""Days by which something is ready, in odds: from the runs of a simulation."""

from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils import timezone

from calcs.planning.chance import Chance
from jobs.core.errors import NotYet
from jobs.domain.planning.problem.axis import Axis
from jobs.domain.settings import settings
from jobs.domain.working_time.open_hours import open_spans, person_ids

HALF, EIGHT_OF_TEN, NINETEEN_OF_TWENTY = 0.5, 0.8, 0.95
LONGEST_CLOSED = timedelta(days=60)
"""How far a working day is looked for."""


@dataclass(frozen=True, kw_only=True)
class Odds:
    """The days by which it is ready in 1 of 2, 8 of 10, 19 of 20 cases; how many runs end on each day."""

    in_half: date
    in_eight_of_ten: date
    in_nineteen_of_twenty: date
    runs: dict[date, int]

    def chance(self, day: date) -> float:
        """Return the share of runs that are ready by the end of a day, from 0 to 1."""
        return sum(count for ends, count in self.runs.items() if ends <= day) / sum(self.runs.values())


def odds_of(chance: Chance, axis: Axis) -> Odds:
    """Return the odds from the runs of a simulation; refuse where one in twenty ends after the plan does."""

    def by(share: float) -> date:
        slot = chance.slot_at(share)
        if slot is None:
            raise NotYet(
                "the plan does not reach so far", field="commission", value="",
                allowed=f"what is ready before {axis.last_day}",
            )  # fmt: skip
        return axis.day(slot)

    return Odds(
        in_half=by(HALF), in_eight_of_ten=by(EIGHT_OF_TEN), in_nineteen_of_twenty=by(NINETEEN_OF_TWENTY),
        runs=dict(Counter(axis.day(end) for end in chance.ends)),
    )  # fmt: skip


def with_margin(day: date) -> date:
    """Return a day with the shop's margin of working days on top.

    A working day is one on which anybody works; without any in sight, days of the calendar count.
    """
    margin = int(settings()["promise_margin_days"])
    if not margin:
        return day
    after = worked_days(day + timedelta(days=1), day + LONGEST_CLOSED)
    return after[margin - 1] if len(after) >= margin else day + timedelta(days=margin)


def worked_days(first: date, last: date) -> list[date]:
    """Return the days from first to last on which anybody works, in their order."""
    spans = open_spans(person_ids(), first, last)
    return sorted({timezone.localtime(begins).date() for of in spans.values() for begins, _ in of.usual})
