"""Reminders: replies, schedule, deliveries; estimates, the outbox and leases."""

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_noop

from jobs.models.bases import Derived, Kept, State
from jobs.models.commissions import Wait
from jobs.models.stages import SafetyTask

SAFETY_TASK = gettext_noop("safety task")
"""The kind of reminder that the event of a snoozed safety task is about."""


class Channel(models.TextChoices):
    SCREEN = "screen", "Screen"
    MAIL = "mail", "E-mail"
    PUSH = "push", "Push"


class ReminderReply(State):
    """A person's reply to a reminder: acknowledged, or snoozed.

    The reminder is of a wait, a safety task or another subject.
    """

    wait = models.ForeignKey(Wait, null=True, on_delete=models.PROTECT, related_name="replies")
    task = models.ForeignKey(SafetyTask, null=True, on_delete=models.PROTECT, related_name="replies")
    subject = models.CharField(max_length=40, blank=True, db_index=True)
    occasion = models.CharField(max_length=10, blank=True)
    kind = models.CharField(max_length=24)
    person = models.CharField(max_length=60)
    at = models.DateTimeField()
    snoozed_until = models.DateTimeField(null=True)


class WaitEstimate(Derived):
    """The estimated times of a running wait: ready, window, range."""

    wait = models.OneToOneField(Wait, on_delete=models.CASCADE, primary_key=True, related_name="estimate")
    ready_at = models.DateTimeField(null=True, db_index=True)
    closes_at = models.DateTimeField(null=True)
    earliest_at = models.DateTimeField(null=True)
    likely_at = models.DateTimeField(null=True)
    latest_at = models.DateTimeField(null=True)
    suspect = models.BooleanField(default=False)
    paused = models.BooleanField(default=False)
    reason = models.TextField(blank=True)
    cold_at = models.DateTimeField(null=True)
    known_until = models.DateTimeField(null=True)


class ReminderDue(Derived):
    """The schedule: one row for each subject, kind, person, channel and attempt.

    ``attempt`` starts again after a snooze or a time that moved. Its thousands count the repeats since.
    """

    wait = models.ForeignKey(Wait, null=True, on_delete=models.CASCADE, related_name="reminders_due")
    task = models.ForeignKey(SafetyTask, null=True, on_delete=models.CASCADE, related_name="reminders_due")
    subject = models.CharField(max_length=40, blank=True, db_index=True)
    occasion = models.CharField(max_length=10, blank=True)
    kind = models.CharField(max_length=24)
    person = models.CharField(max_length=60)
    channel = models.CharField(max_length=10, choices=Channel.choices)
    attempt = models.PositiveSmallIntegerField()
    due_at = models.DateTimeField(db_index=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["wait", "kind", "person", "channel", "attempt"], name="one_due_per_reminder"
            ),
            models.UniqueConstraint(
                fields=["task", "kind", "person", "channel", "attempt"], name="one_due_per_task_reminder"
            ),
            models.UniqueConstraint(
                fields=["subject", "occasion", "kind", "person", "channel", "attempt"],
                condition=~models.Q(subject=""),
                name="one_due_per_subject_reminder",
            ),
            models.CheckConstraint(
                condition=models.Q(wait__isnull=False, task=None, subject="")
                | models.Q(wait=None, task__isnull=False, subject="")
                | models.Q(wait=None, task=None) & ~models.Q(subject=""),
                name="due_of_one_thing",
            ),
        ]

    @property
    def about_key(self) -> int:
        """Return the key of the wait or the task, 0 for another subject; no two events share a key."""
        return self.wait_id or self.task_id or 0

    @property
    def about(self) -> tuple[int, str, str]:
        """Return the subject as a key; several reminders of one thing share it."""
        return self.about_key, self.subject, self.occasion


class Delivery(Kept):
    """The ledger of deliveries. A row is claimed first, then sent, then recorded.

    ``told_at`` is the ready time that the reminder told. ``wait_key`` is the key of the wait or of the safety
    task, 0 for another subject.
    """

    class Step(models.TextChoices):
        CLAIMED = "claimed", "Claimed: sent or about to be"
        FAILED = "failed", "Failed: nothing went out"
        SENT = "sent", "Sent"
        SKIPPED = "skipped", "Not to be sent"
        GIVEN_UP = "given up", "Given up"

    why_kept: ClassVar[str] = "sending happens in the world; a rebuild must not forget or repeat it"

    wait_key = models.BigIntegerField()
    subject = models.CharField(max_length=40, blank=True)
    occasion = models.CharField(max_length=10, blank=True)
    kind = models.CharField(max_length=24)
    person = models.CharField(max_length=60)
    channel = models.CharField(max_length=10)
    attempt = models.PositiveSmallIntegerField()
    due_at = models.DateTimeField()
    told_at = models.DateTimeField(null=True)
    step = models.CharField(max_length=10, choices=Step.choices, default=Step.CLAIMED)
    claimed_at = models.DateTimeField()
    next_at = models.DateTimeField(null=True, db_index=True)
    sent_at = models.DateTimeField(null=True)
    late = models.BooleanField(default=False)
    message_id = models.CharField(max_length=120)
    tries = models.PositiveSmallIntegerField(default=1)
    error = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["wait_key", "subject", "occasion", "kind", "person", "channel", "attempt"],
                name="one_delivery_per_reminder",
            )
        ]


class OutboxMessage(Kept):
    """A message of the outbox: work after a command, written in the command's transaction."""

    why_kept: ClassVar[str] = "whether an effect has been done is not a change to a commission"

    kind = models.CharField(max_length=40)
    subject = models.CharField(max_length=80)
    created_at = models.DateTimeField()
    next_at = models.DateTimeField(db_index=True)
    done_at = models.DateTimeField(null=True, db_index=True)
    tries = models.PositiveSmallIntegerField(default=0)
    error = models.TextField(blank=True)

    class Meta:
        db_table = "jobs_effect"
        constraints = [models.UniqueConstraint(fields=["kind", "subject"], name="one_effect_per_subject")]


class Lease(Kept):
    """The holder of a lease, and its end."""

    why_kept: ClassVar[str] = "a lock of the running processes"

    name = models.CharField(max_length=40, primary_key=True)
    holder = models.CharField(max_length=80, blank=True)
    until = models.DateTimeField()
