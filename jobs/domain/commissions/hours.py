"""Hours: minutes at work by commission and by kind of stage, with redone work apart."""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from statistics import median
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone

from jobs.core.canonical_json import Parsed, text_of_column
from jobs.domain.checks import not_before
from jobs.domain.routes.note_rules import Kind, kind_of_stage
from jobs.log.private_texts import Texts
from jobs.models import Attempt, Stage

WHICH_OF_SEVERAL = re.compile(r", \d+ of \d+( \(.+\))?$")


class Done(NamedTuple):
    """A finished stage or a redone attempt, with its minutes."""

    spec: dict[str, Any]
    title_ref: UUID | None
    commission: str
    commission_title_ref: UUID
    minutes: int
    is_redone: bool


@dataclass
class Spent:
    """Minutes of finished stages, one number for each, and of redone attempts."""

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
        """Return median and range of the finished stages; None where there are none."""
        return {
            "median": float(median(self.minutes)) if self.minutes else None,
            "least": min(self.minutes, default=None),
            "most": max(self.minutes, default=None),
        }


def hours(*, since: date | None, until: date | None, with_money: bool) -> dict[str, Any]:
    """Return the hours finished between two days, both included, on the shop's calendar.

    A redone attempt counts on the day it was finished. An attempt that was never finished has no minutes and
    is left out. Passive stages are left out, and the owner's stages for readers without money.
    """
    if since and until:
        not_before(until, since, "the period ends before it begins", field="until")
    done = [d for d in _done(since, until) if with_money or not d.spec["owner_only"]]
    texts = Texts([*(d.commission_title_ref for d in done), *(d.title_ref for d in done)])
    by_commission: dict[str, Spent] = defaultdict(Spent)
    by_kind: dict[Kind, Spent] = defaultdict(Spent)
    names: dict[str, str] = {}
    titles: dict[Kind, str] = {}
    for one in done:
        kind = kind_of_stage(one, texts)
        names[one.commission] = texts[one.commission_title_ref]
        titles.setdefault(kind, texts[one.title_ref] if one.title_ref else plain_title(one.spec))
        for spent in (by_commission[one.commission], by_kind[kind]):
            (spent.redone if one.is_redone else spent.minutes).append(one.minutes)
    return {
        "since": since,
        "until": until,
        "commissions": [
            {"number": number, "title": names[number], **spent.view()}
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


def _done(since: date | None, until: date | None) -> list[Done]:
    """Return the finished work by hand: stages, then redone attempts, each in order of finishing."""
    specs = Parsed()
    told = [(row, False) for row in _finished(Stage, "", since, until)]
    told += [(row, True) for row in _finished(Attempt, "stage__", since, until)]
    done = [
        Done(specs[spec], title, commission, commission_title, minutes, is_redone)
        for (spec, title, commission, commission_title, minutes), is_redone in told
    ]
    return [one for one in done if not one.spec["passive"]]


def _finished(
    model: type[Stage | Attempt], stage: str, since: date | None, until: date | None
) -> QuerySet[Any, Any]:
    """Return columns instead of models: this reads years of work at once."""
    found = model.objects.filter(finished_at__isnull=False, minutes__isnull=False)
    if since:
        found = found.filter(finished_at__gte=_midnight(since))
    if until:
        found = found.filter(finished_at__lt=_midnight(until + timedelta(days=1)))
    commission = f"{stage}piece__commission__"
    return found.order_by("finished_at", "id").values_list(
        text_of_column(f"{stage}spec"),
        f"{stage}title_ref",
        f"{commission}number",
        f"{commission}title_ref",
        "minutes",
    )


def _midnight(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))


def plain_title(spec: Mapping[str, Any]) -> str:
    """Return the template's title of a stage without the number of its coat or clamping."""
    return WHICH_OF_SEVERAL.sub("", spec["title"])


def _longest_first(kinds: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    return sorted(kinds, key=lambda k: (-k["minutes"] - k["redone_minutes"], k["title"]))
