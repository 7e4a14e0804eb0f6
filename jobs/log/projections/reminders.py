"""Events of replies to reminders, and of safety tasks."""

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from jobs.core.typed_json import PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.kinds import OfStage, Payload, Wording, event_kind
from jobs.models import SAFETY_TASK, Event, ReminderReply, SafetyTask
from jobs.models.bases import row_key


@dataclass(frozen=True, kw_only=True)
class Reply(Payload):
    """A person's reply to a reminder of a wait, or of a subject on the occasion of a day."""

    wait: int | None
    subject: str
    occasion: str
    kind: str
    person: str

    def keep(self, event: Event, snoozed_until: datetime | None) -> None:
        """Write the reply."""
        rows.add(
            ReminderReply(
                id=row_key(event.seq),
                wait_id=self.wait,
                subject=self.subject,
                occasion=self.occasion,
                kind=self.kind,
                person=self.person,
                at=event.occurred_at,
                snoozed_until=snoozed_until,
            )
        )


@event_kind("reminder_acknowledged", version=2)
class ReminderAcknowledged(Reply):
    """A person acknowledges a reminder; it is not sent or shown to them again."""

    def project(self, event: Event) -> None:
        self.keep(event, None)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Reminder answered: %(kind)s") % {"kind": tell.translated(self.kind)}]


@event_kind("reminder_snoozed", version=2)
class ReminderSnoozed(Reply):
    """A person snoozes a reminder."""

    until: datetime

    def project(self, event: Event) -> None:
        self.keep(event, self.until)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Reminder put off: %(kind)s") % {"kind": tell.translated(self.kind)}]


@event_kind("reminder_asked_again")
class ReminderAskedAgain(Payload):
    """A person takes back a reply; the reminder stands as it did before."""

    wait: int | None
    subject: str
    kind: str
    person: str
    replies: list[int]

    def project(self, event: Event) -> None:
        ReminderReply.objects.filter(id__in=self.replies).delete()

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Answer to a reminder taken back: %(kind)s") % {"kind": tell.translated(self.kind)}]


def task_words(kind: str, tell: Wording) -> str:
    """Return the question of a safety task."""
    return tell.translated(SafetyTask.Kind(kind).label)


@event_kind("task_opened", keeps_routes=True)
class TaskOpened(OfStage):
    """A finished stage opens a safety task."""

    kind: str
    title: str
    due_at: datetime
    closing_at: datetime

    def project(self, event: Event) -> None:
        rows.add(
            SafetyTask(
                id=row_key(event.seq),
                piece_id=rows.piece_id(self.piece),
                stage=self.stage,
                stage_title=self.title,
                kind=self.kind,
                opened_at=event.occurred_at,
                due_at=self.due_at,
                closing_at=self.closing_at,
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [
            _("%(label)s Asked after %(stage)s")
            % {"label": task_words(self.kind, tell), "stage": self.stage_title(tell)}
        ]


@event_kind("task_moved", keeps_routes=True)
class TaskMoved(OfStage):
    """An open safety task moves to a later stage of its coat."""

    task: int
    kind: str
    title: str
    due_at: datetime
    closing_at: datetime

    def project(self, event: Event) -> None:
        rows.update(
            SafetyTask,
            self.task,
            stage=self.stage,
            stage_title=self.title,
            due_at=self.due_at,
            closing_at=self.closing_at,
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [
            _("%(label)s Asked after %(stage)s now")
            % {"label": task_words(self.kind, tell), "stage": self.stage_title(tell)}
        ]


@event_kind("task_settled")
class TaskSettled(Payload):
    """A safety task is settled by saying what was done."""

    task: int
    kind: str
    how: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.update(SafetyTask, self.task, done_at=event.occurred_at, done_by=event.actor, how_ref=self.how)

    def sentence(self, tell: Wording) -> list[str]:
        return [task_words(self.kind, tell), tell.text(self.how)]


@event_kind("task_snoozed")
class TaskSnoozed(Payload):
    """A person snoozes the first reminder of a safety task."""

    task: int
    person: str
    until: datetime

    def project(self, event: Event) -> None:
        rows.add(
            ReminderReply(
                id=row_key(event.seq),
                task_id=self.task,
                kind=SAFETY_TASK,
                person=self.person,
                at=event.occurred_at,
                snoozed_until=self.until,
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Safety task put off")]
