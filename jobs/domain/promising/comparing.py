"""What changes would do to every promised day, beside the present plan. Nothing is saved.

Two plans are searched alike, with and without the changes; the difference is the effect. It is added to the
expected day of the published plan, so that "before" is the day that all other pages show.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone

from calcs.planning.chance import chances
from jobs.domain.planning.published import NotPlanned
from jobs.domain.planning.publishing import current
from jobs.domain.promising.odds import EIGHT_OF_TEN, LONGEST_CLOSED, worked_days
from jobs.domain.promising.promise import RUNS
from jobs.domain.promising.trying import Tried, tried
from jobs.domain.promising.what_if import WhatIf

Days = tuple[date | None, date | None]


@dataclass(frozen=True, kw_only=True)
class Effect:
    """When a commission is expected by the present plan and by the changed one; None where not planned."""

    commission: str
    promised: date | None
    before: date | None
    after: date | None

    @property
    def days(self) -> int:
        """Return the days by which it is ready later; negative where it is earlier."""
        return (self.after - self.before).days if self.after and self.before else 0

    @property
    def days_late(self) -> int:
        """Return the days after the promised day; 0 where it is kept, or where nothing is promised."""
        return max(0, (self.after - self.promised).days) if self.after and self.promised else 0

    @property
    def is_broken(self) -> bool:
        """Return whether the change breaks a promise that the present plan keeps."""
        kept = self.promised and self.before and self.before <= self.promised
        return bool(kept and self.days_late)


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """The effects on every commission, by their promised day, and what cannot be planned then."""

    effects: tuple[Effect, ...]
    not_planned: tuple[NotPlanned, ...]


def compare(what: WhatIf, now: datetime) -> Comparison:
    """Return what the changes would do to each commission."""
    changes = what.changes(timezone.localtime(now).date())
    before = tried(now)
    after = tried(now, changes, start=before.plan)
    numbers = {part.commission for part in [*before.shop.parts.values(), *after.shop.parts.values()]}
    promised = {**before.shop.promises, **after.shop.promises}
    days = {number: (before.ready_on(number), after.ready_on(number)) for number in numbers}
    told = _from_published(days, _expected(), timezone.localtime(now).date())
    new = [number for number, (was, then) in days.items() if then and not was]
    told |= {number: (None, _in_eight_of_ten(after, number)) for number in new}
    effects = [
        Effect(
            commission=number, promised=promised.get(number), before=told[number][0], after=told[number][1]
        )
        for number in numbers
    ]
    planned = [one for one in effects if one.before or one.after]
    known = {(one.piece, one.stage) for one in before.shop.not_planned}
    return Comparison(
        effects=tuple(sorted(planned, key=lambda one: (one.promised or date.max, one.commission))),
        not_planned=tuple(
            one for one in after.shop.not_planned if (one.piece, one.stage) not in known
        ),
    )  # fmt: skip


def _expected() -> dict[str, date]:
    """Return the day on which the published plan expects each accepted commission."""
    plan = current()
    return {one.commission: one.expected_on for one in plan.finishes if not one.maybe} if plan else {}


def _in_eight_of_ten(plan: Tried, number: str) -> date | None:
    """Return the day by which what is new in a plan is ready 8 times in 10; the plan's day beyond its end."""
    found = chances(plan.problem, plan.plan, plan.shop.uncertainty, runs=RUNS)[number]
    slot = found.slot_at(EIGHT_OF_TEN)
    return plan.ready_on(number) if slot is None else plan.shop.axis.day(slot)


def _from_published(days: Mapping[str, Days], expected: Mapping[str, date], today: date) -> dict[str, Days]:
    """Return the days by commission, with the published day as the one before and the effect added to it."""
    known = [day for each in days.values() for day in each if day]
    if not known or not expected:
        return dict(days)
    last = max(*known, *expected.values()) + LONGEST_CLOSED
    worked = worked_days(min(today, *known), last)
    found: dict[str, Days] = {}
    for number, (before, after) in days.items():
        told = expected.get(number)
        if told is None or before is None:
            found[number] = before, after
        else:
            found[number] = told, _moved(told, before, after, worked) if after else None
    return found


def _moved(day: date, before: date, after: date, worked: list[date]) -> date:
    """Return a day, moved by the working days between two others; by plain days where none lies between."""
    plain = day + (after - before)
    if after > before:
        count, way = sum(before < one <= after for one in worked), [one for one in worked if one > day]
    else:
        count, way = sum(after <= one < before for one in worked), [one for one in worked if one < day][::-1]
    return way[count - 1] if 0 < count <= len(way) else plain
