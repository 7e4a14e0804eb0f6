"""Projection of the reminders about subjects: each kind says which events touch it, and when it is due.

Each reminder has a subject, such as ``commission:2026-014``, and an occasion, its day. The same subject may
need another reminder on another day.
"""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import reduce
from operator import or_
from typing import Any

from django.db.models import Q

from jobs.domain.reminders.kinds import SUBJECT_KINDS
from jobs.domain.reminders.kinds.base import Load, SubjectKind
from jobs.domain.reminders.preferences import audience
from jobs.domain.reminders.schedule import build_schedule, replace_schedule
from jobs.domain.reminders.times import Mornings, local_day
from jobs.log.projectors import Turn, projects, refills
from jobs.models import Event, ReminderDue, ReminderReply

REPLIES = ("reminder_acknowledged", "reminder_snoozed", "reminder_asked_again")
SETTINGS = {name for kind in SUBJECT_KINDS.values() for name in kind.settings}
EVENTS = {event for kind in SUBJECT_KINDS.values() for event in kind.after}
Touched = Mapping[SubjectKind, Collection[str] | None]
"""The names to compute again, by kind; None for all."""


@dataclass(frozen=True, kw_only=True)
class ReminderTrigger:
    """The subject, kind and time of a reminder."""

    subject: str
    kind: SubjectKind
    at: datetime

    @property
    def occasion(self) -> str:
        return local_day(self.at).isoformat()


@projects(Turn.REMINDERS, "shop_set", *REPLIES, *EVENTS)
def project(events: list[Event]) -> None:
    """Recompute the reminders of the subjects that these events touch."""
    if any(event.kind == "shop_set" and event.data["settings"].keys() & SETTINGS for event in events):
        refill()
        return
    touched: dict[SubjectKind, set[str]] = defaultdict(set)
    for event in events:
        for kind in SUBJECT_KINDS.values():
            if event.kind in kind.after:
                touched[kind].update(kind.touched(event))
        if event.kind in REPLIES and (answered := SUBJECT_KINDS.get(event.data["kind"])):
            name = event.data["subject"].partition(":")[2]
            touched[answered].update(answered.touched_by_reply(name))
    recompute({kind: names for kind, names in touched.items() if names})


@refills(Turn.REMINDERS)
def refill() -> None:
    """Drop and refill the reminders of every subject."""
    ReminderDue.objects.exclude(subject="").delete()
    recompute(dict.fromkeys(SUBJECT_KINDS.values()))


def recompute(touched: Touched) -> None:
    """Replace the scheduled rows of the touched names; a kind without names has no rows yet."""
    if not touched:
        return
    mornings, found = Mornings(), _found(touched)
    triggers: list[ReminderTrigger] = []
    standing: dict[tuple[str, ...], list[str]] = defaultdict(list)
    for kind, names in touched.items():
        # where the touched names are those of subjects, one of them may be gone
        gone = {} if kind.rests_on else dict.fromkeys(names or (), ())
        at = {**gone, **kind.schedule(found[kind.rests_on or kind.load], mornings)}
        for name, moments in at.items():
            subject = f"{kind.noun}:{name}"
            triggers += [ReminderTrigger(subject=subject, kind=kind, at=moment) for moment in moments]
        if names is not None:
            standing[tuple(f"{kind.noun}:{name}" for name in sorted(at))].append(kind.key)
    _put([Q(subject__in=some, kind__in=keys) for some, keys in standing.items() if some], triggers)


def _found(touched: Touched) -> dict[Load, Mapping[str, Any]]:
    """Return what the schedules rest on, read once for the kinds that share it."""
    names: dict[Load, set[str] | None] = {}
    for kind, mine in touched.items():
        load = kind.rests_on or kind.load
        others = names.get(load, set())
        names[load] = None if mine is None or others is None else others | set(mine)
    return {load: load(some) for load, some in names.items()}


def _put(standing: list[Q], triggers: list[ReminderTrigger]) -> None:
    """Replace the scheduled rows that stand."""
    replies: dict[tuple[str, ...], list[ReminderReply]] = defaultdict(list)
    subjects = {trigger.subject for trigger in triggers}
    for reply in ReminderReply.objects.filter(subject__in=subjects).order_by("id"):
        replies[reply.subject, reply.occasion, reply.kind, reply.person].append(reply)
    due: list[ReminderDue] = []
    hearers = audience()
    for trigger in triggers:
        kind, about = trigger.kind, {"subject": trigger.subject, "occasion": trigger.occasion}
        for person in hearers.people:
            if person.is_owner or not kind.owners_only:
                mine = replies[trigger.subject, trigger.occasion, kind.key, person.id]
                due += build_schedule(
                    about, kind, trigger.at, person, mine, since=trigger.at, audience=hearers
                )
    rows = ReminderDue.objects.filter(reduce(or_, standing)) if standing else ReminderDue.objects.none()
    replace_schedule(rows, due)
