"""Pauses and mistakes at a stage: pause, resume, skip, redo, correct a measurement."""

from collections.abc import Callable
from typing import Any

from django.http import HttpResponse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST

from jobs.core.errors import NotFound
from jobs.domain.stages.commands import skip_stage
from jobs.domain.stages.left_open import add_measurement
from jobs.domain.stages.pauses import pause_stage, resume_stage
from jobs.domain.stages.rework import correct_measurement, redo_stage
from jobs.log.commands import CommandResult
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.stages.left_open import SayForm
from jobs.web.stages.side_forms import ClockForm, CorrectForm, RedoForm, SkipForm
from jobs.web.stages.stage_context import read_stage
from jobs.web.stages.stages import after, stage_verb

pause = stage_verb(ClockForm, pause_stage, gettext_lazy("paused. What was worked so far is kept."))
resume = stage_verb(ClockForm, resume_stage, gettext_lazy("goes on."))
skip = stage_verb(SkipForm, skip_stage, gettext_lazy("skipped on this piece."), stay=False)
redo = stage_verb(
    RedoForm,
    redo_stage,
    gettext_lazy("to be done again, with what followed. What went before stays on record."),
)


@worker
@require_POST
def say(request: SignedIn, piece: str, key: str, gate: str) -> HttpResponse:
    """Record a measurement that was left open at the clamps; after the last one the stage is left."""
    return _measured(request, piece, key, gate, SayForm, add_measurement, _("%(title)s: saved."), stay=False)


@worker
@require_POST
def correct(request: SignedIn, piece: str, key: str, gate: str) -> HttpResponse:
    says = _("%(title)s: corrected.")
    return _measured(request, piece, key, gate, CorrectForm, correct_measurement, says, stay=True)


def _measured(
    request: SignedIn,
    piece: str,
    key: str,
    gate: str,
    kind: type[CorrectForm],
    verb: Callable[..., CommandResult],
    says: str,
    *,
    stay: bool,
) -> HttpResponse:
    context, units = read_stage(request.user, piece, key), units_of(request.user)
    stage = context["stage"]
    gates = {gate["key"]: {"unit": "yes", **gate} for gate in stage["gates"]}  # a rule is answered by yes
    measured = {gate["key"] for gate in stage["gates"] if "unit" in gate}
    asked_for = {key: gates[key] for key in gates if key in measured | set(stage["still_asked"])}
    if gate not in asked_for:
        raise NotFound(
            _("this stage does not measure that"), field="gate", value=gate, allowed=", ".join(asked_for)
        )
    form = kind(request.POST, gate=asked_for[gate], units=units)

    def act(asked: dict[str, Any]) -> CommandResult:
        return verb(form.call(request), piece=piece, stage=key, gate=gate, units=units, **asked)

    return after(request, context, form, act, says % {"title": asked_for[gate]["title"]}, stay=stay)
