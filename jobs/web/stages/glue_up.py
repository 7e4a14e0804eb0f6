"""The glue-up screen: readable from afar, one target for a knuckle, nothing to type, works without signal."""

import json
from dataclasses import replace
from datetime import timedelta
from functools import partial
from typing import Any

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from jobs.core.clock_skew import moment, skew_of
from jobs.core.errors import Invalid
from jobs.domain.stages.commands import finish_stage
from jobs.domain.stages.glue_today import GlueToday
from jobs.log.commands import CommandResult
from jobs.web.kit import queued_forms
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.formatting import near_words, stopwatch_words
from jobs.web.kit.forms import PageForm
from jobs.web.kit.responses import redirect_with_message
from jobs.web.pieces.figure_formatting import value_words
from jobs.web.stages.glue_drawings import Part, clamps_drawn, joints_of, parts_of, strips_drawn
from jobs.web.stages.stage_context import OPEN_TO_START, Context, read_stage
from jobs.web.stages.stage_form import StageForm

DRY_FIT, GLUING = "dry_fit_time", "gluing"
UNDER_WAY = "under way"
OVER = ("done", "waiting")
CLOSINGS = ("glue_on", "joints")
PLAIN = "any-wood"
SET_S = 20
"""Setting and closing a joint [s] where its calculation does not say. Common practice, no source."""


class ClampedForm(PageForm):
    """The tap *Clamped*: its moment, the first glue, and each joint with its moment, by the phone's clock."""

    when = forms.CharField(widget=forms.HiddenInput, required=False)
    glue_on = forms.CharField(widget=forms.HiddenInput, required=False)
    joints = forms.CharField(widget=forms.HiddenInput, required=False)


@worker
@require_safe
def now(request: SignedIn, piece: str, key: str) -> HttpResponse:
    """Show the clock of a dry fit or of a glue-up; 404 for other stages."""
    return _page(request, read_stage(request.user, piece, key), None)


@worker
@require_POST
def clamped(request: SignedIn, piece: str, key: str) -> HttpResponse:
    """Finish a glue-up at the time of the tap. Nothing is asked here; its stage asks what is missing."""
    context, form = read_stage(request.user, piece, key), ClampedForm(request.POST)
    done = form.carry_out(lambda asked: _clamp(request, form, piece, key, asked))
    if done is None:
        if queued_forms.is_queued(request):
            return queued_forms.refused_form(form)
        return _page(request, context, form)
    says = _("%(title)s: clamped.") % {"title": context["stage"]["title"]}
    return redirect_with_message(request, done, says, "web:stage", piece, key)


def _clamp(
    request: SignedIn, form: ClampedForm, piece: str, key: str, asked: dict[str, Any]
) -> CommandResult:
    """Finish the glue-up; closings that cannot be read or do not fit hold nothing up, and are told."""
    skew = skew_of(request.headers.get(queued_forms.CLOCK), timezone.now())
    at = moment(asked["when"], field="when") - skew if asked["when"] else None
    call, units = form.call(request, at=at), units_of(request.user)
    do = partial(finish_stage, call, piece=piece, stage=key, units=units, long_ago=True)
    try:
        done = do(**_closings(asked, skew))
    except Invalid as wrong:
        if wrong.field not in CLOSINGS:
            raise
        done = do()
        told = _("The times of the joints are not kept: they do not fit this glue-up.")
        done = replace(done, notices=[told, *done.notices])
    if skew:
        told = _("The times of this glue-up were set by the shop's clock.")
        done = replace(done, notices=[*done.notices, told])
    return done


def _closings(asked: dict[str, Any], skew: timedelta) -> dict[str, Any]:
    """Return the first glue and the joints by the shop's clock; refuse what is no list of joints."""
    if not asked["glue_on"]:
        return {}
    try:
        told = [(str(name), str(at)) for name, at in json.loads(asked["joints"] or "[]")]
    except (ValueError, TypeError) as broken:
        raise Invalid(
            "no list of joints", field="joints", value=asked["joints"][:40], allowed="joints with their times"
        ) from broken
    joints = [{"joint": name, "at": moment(at, field="joints") - skew} for name, at in told]
    return {"glue_on": moment(asked["glue_on"], field="glue_on") - skew, "joints": joints}


def _page(request: SignedIn, context: Context, refused: ClampedForm | None) -> HttpResponse:
    stage, units = context["stage"], units_of(request.user)
    dry = is_dry(stage)
    if not dry and GLUING not in stage["calcs"]:
        raise Http404
    gluing, wood = _result(context, GLUING), context["piece"]["wood"]
    ahead = stage["standing"] in (*OPEN_TO_START, UNDER_WAY)  # the start may wait in the phone's queue
    today: GlueToday = context["glue_now"]() if ahead else GlueToday(result=gluing)
    parts, look = parts_of(_result(context, "layout"), stage["clamping"]), wood["look"] if wood else PLAIN
    seen = None if context["says_later"] else context["piece"]["version"]  # no version for later values
    form: PageForm | None = None
    if ahead and dry:
        form = StageForm(gates=stage["gates"], moment="finish", units=units, seen=seen)
    elif ahead:
        form = ClampedForm(seen=seen)
    clamps = _result(context, "clamping")
    shown = {
        "piece": context["piece"],
        "stage": stage,
        "cautions": stage["cautions"],
        "first_caution": context["first_caution"],
        "dry": dry,
        "form": form,
        "refused": refused,
        "strip": f"web/wood/strip-{look}.svg",
        "today": today.result,
        "limit": stopwatch_words(today.result.get("allowed_s") or 0),
        "set_s": _stored(context, GLUING).get("inputs", {}).get("per_joint_s", SET_S),
        "air": today.air,
        "amount": value_words("glue_ml", _amount(gluing, stage["clamping"]), units),
        "sessions": _sessions(context, dry=dry),
        "joints": _joints(parts, dry=dry),
        "strips": strips_drawn(parts, look),
        "order_sources": [_("Middle first, outward by turns: common practice, no source")],
        "clamp_count": len(clamps.get("places") or []),
        "clamps": clamps_drawn(clamps, _result(context, "layout"), parts, look),
    }
    return render(request, "web/stages/glue_up.html", shown, status=refused.status if refused else 200)


def is_dry(stage: dict[str, Any]) -> bool:
    """Return whether a stage is a dry fit, which is timed as a glue-up is."""
    return any(gate["key"] == DRY_FIT for gate in stage["gates"])


def _stored(context: Context, name: str) -> dict[str, Any]:
    found: dict[str, Any] = context["piece"]["computed"].get(name, {})
    return found


def _result(context: Context, name: str) -> dict[str, Any]:
    return _stored(context, name).get("result") or {}


def _joints(parts: list[Part], *, dry: bool) -> list[dict[str, str]]:
    """Return the joints in the order of spreading: key, and what to do."""
    do = _("Close %(joint)s") if dry else _("Spread and close %(joint)s")
    return [{"key": key, "do": do % {"joint": key.replace("-", "–")}} for key in joints_of(parts)]


def _amount(gluing: dict[str, Any], clamping: dict[str, Any] | None) -> str | None:
    """Return the glue of this clamping, else of all [mL]; None where it is not computed."""
    makes = clamping["makes"] if clamping else ""
    of_it = [str(go["glue_ml"]) for go in gluing.get("stages", []) if go["makes"] == makes]
    return of_it[0] if of_it else gluing.get("glue_ml")


def _sessions(context: Context, *, dry: bool) -> list[dict[str, Any]]:
    """Return the glue-ups of the piece, or its dry fits, where it takes several: parts, and when done."""
    found = [s for s in context["piece"]["stages"] if s["clamping"] and _is_such(s, dry=dry)]
    return [
        {
            "number": stage["clamping"]["number"],
            "parts": stage["clamping"]["joins"],
            "says": _session_words(stage, here=stage["key"] == context["stage"]["key"], dry=dry),
            "done": stage["step"] in OVER,
            "here": stage["key"] == context["stage"]["key"],
        }
        for stage in found
        if len(found) > 1
    ]


def _is_such(stage: dict[str, Any], *, dry: bool) -> bool:
    return is_dry(stage) if dry else GLUING in stage["calcs"] and not is_dry(stage)


def _session_words(stage: dict[str, Any], *, here: bool, dry: bool) -> str:
    if stage["step"] not in OVER:
        return _("now") if here else _("later")
    says = _("done %(at)s") if dry else _("clamped %(at)s")
    return says % {"at": near_words(stage["finished_at"], timezone.now())}
