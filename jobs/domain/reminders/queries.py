"""Views of reminders: those due on a person's screen, and those that could not be delivered."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Model, Q

from jobs.domain import lookups
from jobs.domain.checks import person_name
from jobs.domain.reminders.kinds import KINDS, SUPERSEDES, TASK_KINDS
from jobs.domain.reminders.kinds.base import News
from jobs.domain.reminders.subject_wording import SubjectNews
from jobs.domain.reminders.wording import stage_to_open
from jobs.domain.waits.queries import what_to_do
from jobs.log.private_texts import Texts
from jobs.models import Channel, Delivery, ReminderDue, SafetyTask, Stage, Wait

MOST_LISTED = 100


@dataclass(frozen=True, kw_only=True)
class Due:
    """A person's due reminders on screen, oldest first, and the words of their subjects."""

    reminders: list[ReminderDue]
    news: SubjectNews

    @property
    def rows(self) -> list[Model]:
        """Return the rows whose private texts the words need."""
        return self.news.rows


def reminders_due(*, now: datetime, person: str) -> list[dict[str, Any]]:
    """Return this person's due reminders on screen, oldest first, with their subjects."""
    return due_views(due_now(now=now, person=person))


def due_now(*, now: datetime, person: str) -> Due:
    """Return this person's due reminders on screen; their texts are read when they are shown.

    Each subject appears once, by its newest occasion. A closing window replaces the reminder that it opened.
    """
    found = list(
        ReminderDue.objects.filter(
            person=person, channel=Channel.SCREEN, due_at__lte=now, task=None, kind__in=KINDS
        )
        .select_related("wait__stage__piece__commission", "wait__estimate")
        .order_by("due_at", "id")
    )
    due = _newest(found)
    return Due(reminders=due, news=SubjectNews([r for r in due if r.subject], now=now))


def due_views(due: Due, *, to_do: Mapping[int, list[str]] | None = None) -> list[dict[str, Any]]:
    """Return due reminders with their subjects.

    ``to_do`` holds what is to be done after the waits that were read before.
    """
    known = dict(to_do or {})
    unknown = [r.wait for r in due.reminders if r.wait is not None and r.wait.id not in known]
    held = known | _titles_held(unknown)
    return [
        _of_subject(r, due.news[r]) if r.wait is None else _of_wait(r, r.wait, held[r.wait.id])
        for r in due.reminders
    ]


def _newest(due: list[ReminderDue]) -> list[ReminderDue]:
    """Return the reminders without those that a later one supersedes; its answer covers them too."""
    occasions: dict[tuple[str, str], str] = {}
    for one in due:
        about = (one.subject, one.kind)
        occasions[about] = max(one.occasion, occasions.get(about, ""))
    said = {(one.wait_id, SUPERSEDES[one.kind]) for one in due if one.kind in SUPERSEDES}
    return [
        one
        for one in due
        if one.occasion == occasions[one.subject, one.kind] and (one.wait_id, one.kind) not in said
    ]


def _of_wait(due: ReminderDue, wait: Wait, to_do: list[str]) -> dict[str, Any]:
    stage, estimate = wait.stage, wait.estimate
    return {
        "wait": wait.id,
        "subject": "",
        "occasion": "",
        "kind": due.kind,
        "due_at": due.due_at,
        "title": wait.title,
        "to_do": to_do,
        "about": lookups.short_number(stage.piece.number),
        "line": "",
        "does": str(KINDS[due.kind].does),
        "late": False,
        "piece": stage.piece.number,
        "commission": stage.piece.commission.number,
        "stage": stage.key,
        "version": stage.piece.version,
        "holds": wait.holds,
        "ready_at": estimate.ready_at,
        "closes_at": estimate.closes_at,
        "page": f"/pieces/{stage.piece.number}/stages/{stage_to_open(wait)}/",
    }


def _of_subject(due: ReminderDue, news: News) -> dict[str, Any]:
    return {
        "wait": None,
        "subject": due.subject,
        "occasion": due.occasion,
        "kind": due.kind,
        "due_at": due.due_at,
        "title": news.headline,
        "to_do": [],
        "about": news.about,
        "line": news.line or news.headline,
        "does": str(KINDS[due.kind].does),
        "late": news.late,
        "piece": "",
        "commission": news.commission,
        "stage": "",
        "version": None,
        "holds": [],
        "ready_at": None,
        "closes_at": None,
        "page": news.path,
    }


def _titles_held(waits: list[Wait]) -> dict[int, list[str]]:
    """Return the titles of the stages that each wait holds, in two queries."""
    pieces = {w.stage.piece_id for w in waits}
    stages = list(Stage.objects.filter(piece__in=pieces).order_by("position")) if pieces else []
    texts = Texts([s.title_ref for s in stages])
    return {
        w.id: [what_to_do(s, texts) for s in stages if s.piece_id == w.stage.piece_id and s.key in w.holds]
        for w in waits
    }


def undelivered() -> list[dict[str, Any]]:
    """Return the failed reminders, to be retried or given up, the newest first."""
    step = Delivery.Step
    failed = Q(step__in=(step.FAILED, step.GIVEN_UP)) | Q(step=step.CLAIMED) & ~Q(error="")
    rows = list(Delivery.objects.filter(failed).order_by("-due_at", "-id")[:MOST_LISTED])
    keys = {row.wait_key for row in rows}
    waits = Wait.objects.select_related("stage__piece").in_bulk(keys)
    tasks = SafetyTask.objects.select_related("piece").in_bulk(keys)
    titles = {key: (w.title, w.stage.piece.number) for key, w in waits.items()}
    titles |= {key: (t.get_kind_display(), t.piece.number) for key, t in tasks.items()}
    return [
        {
            "id": row.id,
            "wait": row.wait_key if not row.subject and row.kind not in TASK_KINDS else None,
            "task": row.wait_key if row.kind in TASK_KINDS else None,
            "subject": row.subject,
            "kind": row.kind,
            "channel": row.channel,
            **_named(row, titles),
            "person": person_name(row.person),
            "due_at": row.due_at,
            "tries": row.tries,
            "next_at": row.next_at,
            "given_up": row.step == step.GIVEN_UP,
            "error": row.error,
        }
        for row in rows
    ]


def _named(row: Delivery, titles: dict[int, tuple[str, str]]) -> dict[str, str]:
    """Return the title and the piece or number of the reminder's subject."""
    if row.subject:
        noun, _, name = row.subject.partition(":")
        return {
            "title": KINDS[row.kind].title if row.kind in KINDS else row.kind,
            "piece": name if noun in ("commission", "invoice") else "",
        }
    title, piece = titles.get(row.wait_key, ("", ""))
    return {"title": title, "piece": piece}
