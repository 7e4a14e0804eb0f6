"""What would help a promise: small changes are tried, and the smallest that keeps it is found."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils import timezone

from calcs.planning.problem import Resource
from jobs.domain.planning.problem.changes import Changes, Span
from jobs.domain.promising.trying import Tried, tried
from jobs.domain.settings import settings

EVENINGS, SATURDAY, CLAMPS, FIRST = "evenings", "saturday", "clamps", "first"
SATURDAYS = 4
"""Saturdays from now on that are tried, each of them and all before."""
OVERTIME = timedelta(hours=4)
RENTED = 10
"""Clamps of a set that can be rented: common practice, no source."""
PLANS = 12
"""Plans that each try is searched with: a try needs to be cheap."""
SATURDAY_N = 5
CLAMPS_OF = "clamps:"
"""Begin of the key of clamps of some reach."""


@dataclass(frozen=True, kw_only=True)
class Help:
    """A change that helps: its kind, what it is about, and when the commission is ready then.

    ``about`` is a number of Saturdays or of clamps, as text; empty for the others. ``moves`` are promises
    that would no longer be kept.
    """

    kind: str
    about: str
    ready_on: date
    moves: tuple[str, ...] = ()


def what_helps(plan: Tried, commission: str, day: date, *, base: Changes | None = None) -> Help | None:
    """Return the smallest change by which a commission is ready by a day; None where none of them does.

    Evenings that may be worked come first, then Saturdays, a rented set of clamps, and this one first. A
    change that breaks another promise counts only where no other helps.
    """
    breaking: Help | None = None
    for kind, about, changes in _tries(plan, commission, base or Changes()):
        then = tried(plan.shop.now, changes, start=plan.plan, plans=PLANS)
        ready = then.ready_on(commission)
        if ready is None or ready > day:
            continue
        moves = tuple(sorted(_broken(plan, then, commission)))
        found = Help(kind=kind, about=about, ready_on=ready, moves=moves)
        if not moves:
            return found
        breaking = breaking or found
    return breaking


def _broken(before: Tried, after: Tried, commission: str) -> Iterator[str]:
    """Yield the commissions whose promise is kept before and not after."""
    for number, promised in before.shop.promises.items():
        was, then = before.ready_on(number), after.ready_on(number)
        if number != commission and was and then and was <= promised < then:
            yield number


def _tries(plan: Tried, commission: str, base: Changes) -> Iterator[tuple[str, str, Changes]]:
    if plan.problem.unwanted:
        yield EVENINGS, "", _also(base, evenings=True)
    for count in range(1, SATURDAYS + 1, 3):
        spans = _saturdays(plan.shop.now, count)
        people = plan.shop.people.hours
        yield SATURDAY, str(count), _also(base, also={key: spans for key in people})
    if any(hold.resource.startswith(CLAMPS_OF) for hold in plan.problem.holds):
        reaches = [int(one.key.removeprefix(CLAMPS_OF)) for one in plan.problem.resources if _is_clamps(one)]
        yield CLAMPS, str(RENTED), _also(base, clamps={max(reaches): RENTED})
    if base.first != commission:
        yield FIRST, "", _also(base, first=commission)


def _is_clamps(one: Resource) -> bool:
    return one.key.startswith(CLAMPS_OF)


def _also(base: Changes, **more: object) -> Changes:
    return Changes(**{**vars(base), **more})


def _saturdays(now: datetime, count: int) -> tuple[Span, ...]:
    """Return the mornings of the next Saturdays."""
    today = timezone.localtime(now).date()
    first = today + timedelta(days=(SATURDAY_N - today.weekday()) % 7 or 7)
    clock = time.fromisoformat(str(settings()["morning"]))
    begins = [timezone.make_aware(datetime.combine(first + timedelta(weeks=n), clock)) for n in range(count)]
    return tuple((each, each + OVERTIME) for each in begins)
