"""Pauses and mistakes at a stage: pause, resume, skip, redo, correct a measurement."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.core.errors import NotFound
from jobs.domain.stages.commands import skip_stage
from jobs.domain.stages.left_open import add_measurement
from jobs.domain.stages.pauses import pause_stage, resume_stage
from jobs.domain.stages.rework import correct_measurement, redo_stage
from jobs.log.commands import CommandResult
from jobs.web.kit.access import worker
from jobs.web.kit.calls import units_of
from jobs.web.stages.left_open import SayForm
from jobs.web.stages.side_forms import ClockForm, CorrectForm, RedoForm, SkipForm
from jobs.web.stages.stage_context import read_stage
from jobs.web.stages.stages import after, done_with


@worker
@require_POST
def pause(request: HttpRequest, piece: str, key: str) -> HttpResponse:
    says = _("paused. What was worked so far is kept.")
    return done_with(request, piece, key, kind=ClockForm, verb=pause_stage, says=says)


@worker
@require_POST
def resume(request: HttpRequest, piece: str, key: str) -> HttpResponse:
    return done_with(request, piece, key, kind=ClockForm, verb=resume_stage, says=_("goes on."))


@worker
@require_POST
def skip(request: HttpRequest, piece: str, key: str) -> HttpResponse:
    says = _("skipped on this piece.")
    return done_with(request, piece, key, kind=SkipForm, verb=skip_stage, says=says, stay=False)


@worker
@require_POST
def redo(request: HttpRequest, piece: str, key: str) -> HttpResponse:
    says = _("to be done again, with what followed. What went before stays on record.")
    return done_with(request, piece, key, kind=RedoForm, verb=redo_stage, says=says)


@worker
@require_POST
def say(request: HttpRequest, piece: str, key: str, gate: str) -> HttpResponse:
    """Record a measurement that was left open at the clamps."""
    context, units = read_stage(request.user, piece, key), units_of(request.user)
    asked_for = {g["key"]: g for g in context["stage"]["gates"] if "unit" in g}
    if gate not in asked_for:
        raise NotFound(
            _("this stage does not measure that"), field="gate", value=gate, allowed=", ".join(asked_for)
        )
    form = SayForm(request.POST, gate=asked_for[gate], units=units)

    def act(asked: dict[str, Any]) -> CommandResult:
        return add_measurement(form.call(request), piece=piece, stage=key, gate=gate, units=units, **asked)

    says = _("%(title)s: taken down.") % {"title": asked_for[gate]["title"]}
    return after(request, context, form, act, says, stay=True)


@worker
@require_POST
def correct(request: HttpRequest, piece: str, key: str, gate: str) -> HttpResponse:
    context, units = read_stage(request.user, piece, key), units_of(request.user)
    asked_for = {g["key"]: g for g in context["stage"]["gates"] if "unit" in g}
    if gate not in asked_for:
        raise NotFound(
            _("this stage does not measure that"), field="gate", value=gate, allowed=", ".join(asked_for)
        )
    form = CorrectForm(request.POST, gate=asked_for[gate], units=units)

    def act(asked: dict[str, Any]) -> CommandResult:
        return correct_measurement(
            form.call(request), piece=piece, stage=key, gate=gate, units=units, **asked
        )

    return after(
        request,
        context,
        form,
        act,
        _("%(title)s: corrected.") % {"title": asked_for[gate]["title"]},
        stay=True,
    )
