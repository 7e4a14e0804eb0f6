"""Reminders of a safety task: after a while, and as the shop closes."""

from datetime import datetime

from django.utils.translation import gettext_noop

from jobs.domain.reminders.kinds.base import TaskKind, reminder_kind
from jobs.models import SAFETY_TASK, SafetyTask


@reminder_kind
class AfterAWhile(TaskKind):
    key, title, place = SAFETY_TASK, gettext_noop("Safety task"), 70

    def moment(self, task: SafetyTask) -> datetime:
        return task.due_at


@reminder_kind
class AtClosing(TaskKind):
    key, place = gettext_noop("safety task at closing"), 80
    title = gettext_noop("Safety task at closing time")

    def moment(self, task: SafetyTask) -> datetime:
        return task.closing_at
