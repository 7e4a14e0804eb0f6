"""The ready date of a commission: the promised day, and the soonest day that drying and resting allow."""

from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.utils import timezone

from jobs.domain.waits.cut_short import CutShort
from jobs.domain.waits.queries import Read
from jobs.domain.waits.route import OVER, RouteState, estimate_of
from jobs.domain.waits.wait_lengths import lasts
from jobs.models import Commission, Stage


@dataclass(frozen=True, kw_only=True)
class ReadyDate:
    """The promised day and the soonest day. ``soonest`` is no promise: work at the bench adds to it.

    ``held_by`` is the title of the longest wait on the way to the soonest day, empty where there is none.
    """

    promised: date | None
    soonest: date | None
    steps_left: int
    held_by: str = ""

    @property
    def late(self) -> bool:
        """Return whether drying and resting alone end after the promised day."""
        return self.promised is not None and self.soonest is not None and self.soonest > self.promised

    @property
    def days_in_hand(self) -> int | None:
        """Return the days from the soonest to the promised day; negative where it is late."""
        if self.promised is None or self.soonest is None:
            return None
        return (self.promised - self.soonest).days

    def view(self) -> dict[str, Any]:
        in_hand = self.days_in_hand
        late = max(0, -in_hand) if in_hand is not None else 0
        return {**asdict(self), "days_in_hand": in_hand, "days_late": late, "is_late": self.late}


@dataclass(frozen=True, kw_only=True)
class _Path:
    """A way through the stages left: when it ends, and the longest wait on it."""

    end: datetime
    lasts: timedelta = timedelta(0)
    held_by: str = ""

    def then(self, wait: str, begin: datetime, end: datetime) -> "_Path":
        """Return this path with a wait after it."""
        lasts = end - begin
        longest = lasts > self.lasts
        return _Path(
            end=end,
            lasts=lasts if longest else self.lasts,
            held_by=wait if longest else self.held_by,
        )


def ready_date(
    commission: Commission,
    read: Read,
    *,
    now: datetime,
    early: list[CutShort],
) -> ReadyDate:
    """Return the ready date by the stages left, the running waits and the product sheets.

    ``early`` are waits that were ended early: the commission is not ready before their computed end.
    """
    left = [s for r in read.routes for s in r.stages if _is_ahead(s)]
    if commission.step not in (Commission.Step.ACCEPTED, Commission.Step.IN_SHOP) or not left:
        return ReadyDate(promised=commission.promise_on, soonest=None, steps_left=len(left))
    cures = [_Path(end=now).then(one.wait.title, now, one.until) for one in early]
    last = max([*(_longest(route, now) for route in read.routes), *cures], key=lambda path: path.end)
    return ReadyDate(
        promised=commission.promise_on,
        soonest=timezone.localtime(last.end).date(),
        steps_left=len([s for s in left if not s.spec["passive"]]),
        held_by=last.held_by,
    )


def _is_ahead(stage: Stage) -> bool:
    """Return whether a stage is unfinished work on the piece; delivery and owner's stages come later."""
    spec = stage.spec
    return stage.step not in OVER and not spec["owner_only"] and spec["marks"] not in ("delivered", "closed")


def _longest(route: RouteState, now: datetime) -> _Path:
    """Return the longest path through the stages left, with each wait at its sheet's time."""
    begins: dict[str, datetime] = {}
    ends: dict[str, _Path] = {}
    for stage in route.stages:  # a route holds every stage after its predecessors
        before = [ends[k] for k in stage.spec["after"] if k in ends]
        path = max([_Path(end=now), *before], key=lambda each: each.end)
        begins[stage.key] = (stage.finished_at or now) if stage.step in OVER else path.end
        ends[stage.key] = path if stage.step not in OVER else _Path(end=now)
        for wait in stage.spec["waits"] if _is_ahead(stage) else ():
            since = begins.get(wait["since"], path.end)
            waited = path.then(wait["title"], since, since + lasts(wait, route.piece.inputs))
            ends[stage.key] = max(ends[stage.key], waited, key=lambda each: each.end)
    running = [(w.title, e.earliest_at or e.ready_at) for w in route.waits if (e := estimate_of(w))]
    waiting = [_Path(end=now).then(title, now, at) for title, at in running if at and at > now]
    ahead = [ends[s.key] for s in route.stages if _is_ahead(s)]
    return max([_Path(end=now), *ahead, *waiting], key=lambda each: each.end)
