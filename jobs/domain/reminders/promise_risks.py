"""What follows from a newly published plan: promises at risk, their reminder, what helps them."""

from datetime import datetime

from django.db import transaction

from jobs.core.command_cache import remembering
from jobs.domain.planning.publishing import current
from jobs.domain.promising.risks import find_help, judge, keep_later, without_help
from jobs.domain.reminders.kinds import SUBJECT_KINDS
from jobs.domain.reminders.kinds.promises import RiskByPlan
from jobs.domain.reminders.subject_projection import recompute
from jobs.log.outbox import ask_again

HELP_PROMISE = "help promise"
"""The outbox message that asks what would help a promise."""


def follow_plan(now: datetime) -> None:
    """Judge the promises by the published plan, remind of those at risk, and look for what helps."""
    plan = current()
    if plan is None:
        return
    with remembering(), transaction.atomic():
        keep_later(plan, now)
        changed = judge(plan, now)
        if changed:
            recompute({SUBJECT_KINDS[RiskByPlan.key]: changed})
        for number in without_help():
            ask_again(HELP_PROMISE, number, now=now)


def help_promise(number: str, now: datetime) -> None:
    """Find what would help a promise at risk, and keep it."""
    with remembering():
        find_help(number, now)
