"""What changes would do to every promised day, beside the present plan. Nothing is saved."""

from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone

from jobs.domain.planning.problem.changes import Changes
from jobs.domain.planning.published import NotPlanned
from jobs.domain.promising.trying import Tried, tried
from jobs.domain.promising.what_if import WhatIf


@dataclass(frozen=True, kw_only=True)
class Effect:
    """When a commission is ready by the present plan and by the changed one; None where it is not planned."""

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
    return compared(what.changes(timezone.localtime(now).date()), now)


def compared(changes: Changes, now: datetime, present: Tried | None = None) -> Comparison:
    """Return what some changes of the shop would do; ``present`` is the present plan where it is at hand."""
    before = present or tried(now)
    after = tried(now, changes, start=before.plan)
    numbers = {part.commission for part in [*before.shop.parts.values(), *after.shop.parts.values()]}
    promised = {**before.shop.promises, **after.shop.promises}
    effects = [
        Effect(
            commission=number, promised=promised.get(number),
            before=before.ready_on(number), after=after.ready_on(number),
        )
        for number in numbers
    ]  # fmt: skip
    planned = [one for one in effects if one.before or one.after]
    known = {(one.piece, one.stage) for one in before.shop.not_planned}
    return Comparison(
        effects=tuple(sorted(planned, key=lambda one: (one.promised or date.max, one.commission))),
        not_planned=tuple(
            one for one in after.shop.not_planned if (one.piece, one.stage) not in known
        ),
    )  # fmt: skip
