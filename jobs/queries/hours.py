"""Hours: minutes at work rolled up by commission and by kind of stage, redone work apart."""

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from statistics import median
from typing import Any, TypeVar

from django.db.models import Model, QuerySet
from django.utils import timezone

from jobs.errors import Invalid
from jobs.models import Attempt, Stage
from jobs.notes import kind_of_stage
from jobs.private import Texts

M = TypeVar("M", bound=Model)
WHICH_OF_SEVERAL = re.compile(r", \d+ of \d+$")


@dataclass
class Spent:
    """Minutes of stages that stand, one number for each, and of attempts that were redone."""

    minutes: list[int] = field(default_factory=list)
    redone: list[int] = field(default_factory=list)

    def view(self) -> dict[str, Any]:
        return {
            "count": len(self.minutes),
            "minutes": sum(self.minutes),
            "redone": len(self.redone),
            "redone_minutes": sum(self.redone),
        }

    def spread(self) -> dict[str, Any]:
        """Median and range of the stages that stand; None where there are none."""
        return {
            "median": float(median(self.minutes)) if self.minutes else None,
            "least": min(self.minutes, default=None),
            "most": max(self.minutes, default=None),
        }


def hours(*, since: date | None, until: date | None, with_money: bool) -> dict[str, Any]:
    """What was finished from one day to another, both included, on the shop's calendar.

    An attempt that was redone counts on the day it was finished; one that was never finished has no minutes
    and is left out. Stages that need no hands are left out, and the owner's for who sees no money.
    """
    if since and until and until < since:
        raise Invalid(
            "the period ends before it begins", field="until", value=until, allowed=f"{since} or later"
        )
    stages = list(_finished(Stage.objects.select_related("piece__commission"), since, until))
    attempts = list(_finished(Attempt.objects.select_related("stage__piece__commission"), since, until))
    done = [(s, s.minutes, False) for s in stages] + [(a.stage, a.minutes, True) for a in attempts]
    done = [d for d in done if not d[0].spec["passive"] and (with_money or not d[0].spec["owner_only"])]
    commissions = {s.piece.commission.number: s.piece.commission for s, _, _ in done}
    texts = Texts([*(c.title_ref for c in commissions.values()), *(s.title_ref for s, _, _ in done)])
    by_commission: dict[str, Spent] = defaultdict(Spent)
    by_kind: dict[tuple[str, str], Spent] = defaultdict(Spent)
    titles: dict[tuple[str, str], str] = {}
    for stage, minutes, is_redone in done:
        kind = kind_of_stage(stage, texts)
        titles.setdefault(kind, _title(stage, texts))
        for spent in (by_commission[stage.piece.commission.number], by_kind[kind]):
            (spent.redone if is_redone else spent.minutes).append(minutes)
    return {
        "since": since,
        "until": until,
        "commissions": [
            {"number": number, "title": texts[commissions[number].title_ref], **spent.view()}
            for number, spent in sorted(by_commission.items(), reverse=True)
        ],
        "kinds": _longest_first(
            {"kind": kind[0], "title": titles[kind], **spent.view(), **spent.spread()}
            for kind, spent in by_kind.items()
        ),
        **Spent(
            [m for s in by_kind.values() for m in s.minutes], [m for s in by_kind.values() for m in s.redone]
        ).view(),
    }


def _finished(rows: QuerySet[M], since: date | None, until: date | None) -> QuerySet[M]:
    found = rows.filter(finished_at__isnull=False, minutes__isnull=False).order_by("finished_at", "id")
    if since:
        found = found.filter(finished_at__gte=_midnight(since))
    if until:
        found = found.filter(finished_at__lt=_midnight(until + timedelta(days=1)))
    return found


def _midnight(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))


def _title(stage: Stage, texts: Texts) -> str:
    return texts[stage.title_ref] if stage.title_ref else plain_title(stage)


def plain_title(stage: Stage) -> str:
    """What such a stage is called by its template, whichever of several coats it is."""
    return WHICH_OF_SEVERAL.sub("", stage.spec["title"])


def _longest_first(kinds: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    return sorted(kinds, key=lambda k: (-k["minutes"] - k["redone_minutes"], k["title"]))
