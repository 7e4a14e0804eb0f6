"""Plans of past days: what was planned when, for what moved since, and for planned against done."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils import timezone

from jobs.core.canonical_json import plain, read_time
from jobs.domain.planning.published import Published
from jobs.models import PlanOfDay

KEPT = timedelta(days=400)


@dataclass(frozen=True, kw_only=True)
class DayPlan:
    """What a plan said: when each stage begins and ends, and when each commission is ready."""

    made_at: datetime
    work: dict[tuple[str, str], tuple[datetime, datetime]]
    ready: dict[str, date]


def keep(said: Published) -> None:
    """Keep a plan as that of its day; a later one of the same day takes its place."""
    day = timezone.localdate(said.made_at)
    body = {
        "made_at": said.made_at,
        "work": [[piece, stage, *span] for (piece, stage), span in spans(said).items()],
        "ready": {one.commission: one.ready_on for one in said.finishes},
    }
    PlanOfDay.objects.update_or_create(day=day, defaults={"body": plain(body)})
    PlanOfDay.objects.filter(day__lt=day - KEPT).delete()


def spans(said: Published) -> dict[tuple[str, str], tuple[datetime, datetime]]:
    """Return the begin of the first and the end of the last stretch of each stage."""
    found: dict[tuple[str, str], tuple[datetime, datetime]] = {}
    for one in said.work:
        begins, ends = found.get((one.piece, one.stage), (one.begins, one.ends))
        found[one.piece, one.stage] = (min(begins, one.begins), max(ends, one.ends))
    return found


def plan_of(day: date) -> DayPlan | None:
    """Return the last plan of a day, or of the last day before it that had one; None without any."""
    row = PlanOfDay.objects.filter(day__lte=day).order_by("-day").first()
    if row is None:
        return None
    work = {(piece, stage): (read_time(a), read_time(b)) for piece, stage, a, b in row.body["work"]}
    ready = {number: date.fromisoformat(day) for number, day in row.body["ready"].items()}
    return DayPlan(made_at=read_time(row.body["made_at"]), work=work, ready=ready)
