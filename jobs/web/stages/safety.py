"""Answers to safety tasks, from the bench."""

from datetime import timedelta

from django.http import HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.core.errors import Invalid
from jobs.domain.stages.safety import settle_task, snooze_task
from jobs.log.commands import CommandResult
from jobs.web.bench import SNOOZES, answered
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, call_of


@worker
@require_POST
def settle(request: SignedIn, task: int) -> HttpResponse:
    """Record what was done about a safety task."""
    how = request.POST.get("how", "")

    def act() -> CommandResult:
        return settle_task(call_of(request, key=request.POST.get("form_key", "")), task=task, how=how)

    return answered(request, act, typed={task: how})


@worker
@require_POST
def put_off(request: SignedIn, task: int) -> HttpResponse:
    """Snooze one's own first reminder, never past closing time."""
    minutes = request.POST.get("minutes", "")

    def act() -> CommandResult:
        if minutes not in SNOOZES:
            raise Invalid(
                _("cannot be put off by that"),
                field="minutes",
                value=minutes[:20],
                allowed=", ".join(SNOOZES),
            )
        call = call_of(request, key=request.POST.get("form_key", ""))
        until = call.at + timedelta(minutes=int(minutes))
        return snooze_task(call, task=task, person=request.user.id, until=until)

    return answered(request, act)
