"""One stage: its card; start, finish, both at once, put back, reopen."""

from collections.abc import Callable
from functools import partial
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from jobs.domain import lookups
from jobs.domain.stages.commands import do_stage, finish_stage, put_back_stage, reopen_stage, start_stage
from jobs.domain.stages.left_open import still_asked
from jobs.domain.stages.pauses import time_stage
from jobs.log.commands import CommandResult
from jobs.web.kit import queued_forms
from jobs.web.kit.access import View, worker
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.formatting import hour_words
from jobs.web.kit.forms import PageForm
from jobs.web.kit.responses import redirect_with_message
from jobs.web.kit.stored_translations import Text
from jobs.web.kit.undo import undo_offer
from jobs.web.stages.left_open import say_forms, without_unreadable
from jobs.web.stages.side_forms import (
    ClockForm,
    CorrectForm,
    RedoForm,
    ReopenForm,
    SkipForm,
    TimeForm,
)
from jobs.web.stages.stage_context import AHEAD, BEGUN, OPEN_TO_START, OVER, Context, goes_on_with, read_stage
from jobs.web.stages.stage_form import StageForm

USUAL_MINUTES = (15, 30, 60, 120)
"""Answers to the question how long a stage took; any other is typed."""


@worker
@require_safe
def stage(request: SignedIn, piece: str, key: str) -> HttpResponse:
    return _page(request, read_stage(request.user, piece, key))


@worker
@require_POST
def start(request: SignedIn, piece: str, key: str) -> HttpResponse:
    return _worked(request, piece, key, moment="start", verb=start_stage, says=_("started."), stay=True)


@worker
@require_POST
def finish(request: SignedIn, piece: str, key: str) -> HttpResponse:
    return _worked(request, piece, key, moment="finish", verb=finish_stage, says=_("finished."))


@worker
@require_POST
def do(request: SignedIn, piece: str, key: str) -> HttpResponse:
    """Record that a stage was started and finished, in one tap."""
    return _worked(request, piece, key, moment="do", verb=do_stage, says=_("done."))


def _worked(
    request: SignedIn,
    piece: str,
    key: str,
    *,
    moment: str,
    verb: Callable[..., CommandResult],
    says: str,
    stay: bool = False,
) -> HttpResponse:
    """Start or finish a stage, with what its gates ask."""
    context = read_stage(request.user, piece, key)
    form = _form(request, context, moment)

    def act(asked: dict[str, Any]) -> CommandResult:
        call = form.call(request, at=asked.pop("when"))
        do = partial(verb, call, piece=piece, stage=key, units=units_of(request.user))
        if moment == "finish" and context["says_later"]:
            return without_unreadable(do, asked, form.titles)
        return do(**asked)

    where = "web:glue-up-now" if moment == "start" and context["at_the_bench"] else "web:stage"
    return after(request, context, form, act, f"{context['stage']['title']}: {says}", stay=stay, where=where)


def stage_verb(
    kind: type[PageForm], verb: Callable[..., CommandResult], says: Text, *, stay: bool = True
) -> View:
    """Return the view of a command on a stage that takes nothing but its form."""

    @worker
    @require_POST
    def view(request: SignedIn, piece: str, key: str) -> HttpResponse:
        context, form = read_stage(request.user, piece, key), kind(request.POST)

        def act(asked: dict[str, Any]) -> CommandResult:
            return verb(form.call(request), piece=piece, stage=key, **asked)

        return after(request, context, form, act, f"{context['stage']['title']}: {says}", stay=stay)

    return view


put_back = stage_verb(PageForm, put_back_stage, gettext_lazy("put back."), stay=False)
reopen = stage_verb(ReopenForm, reopen_stage, gettext_lazy("reopened."))
time = stage_verb(TimeForm, time_stage, gettext_lazy("its time is kept."), stay=False)


def after(
    request: SignedIn,
    context: Context,
    form: PageForm,
    act: Callable[[dict[str, Any]], CommandResult],
    says: str,
    *,
    stay: bool = False,
    where: str = "web:stage",
) -> HttpResponse:
    done = form.carry_out(act)
    if done is None:
        return (
            queued_forms.refused_form(form)
            if queued_forms.is_queued(request)
            else _page(request, context, form)
        )
    piece, commission = context["piece"]["number"], context["commission"].number
    key = context["stage"]["key"]
    if stay and (instead := _started_instead(done, key)):
        return redirect_with_message(
            request,
            done,
            _("%(title)s: not yet.") % {"title": context["stage"]["title"]},
            "web:stage",
            piece,
            instead,
        )
    is_said = _offer_undo(request, context, done, says)
    if stay or still_asked(lookups.stage(piece, key)):
        return redirect_with_message(request, done, says, where, piece, key, is_said=is_said)
    if not LED_ON.isdisjoint(e.kind for e in done.events) and (later := goes_on_with(request.user, piece)):
        return redirect_with_message(request, done, says, "web:stage", piece, later, is_said=is_said)
    return redirect_with_message(request, done, says, "web:commission", commission, is_said=is_said)


LED_ON = {"stage_finished", "measurement_added"}
"""Events after which the next page is that of the stage to go on with."""
UNDONE_BY = {
    "stage_started": "put-back",
    "stage_skipped": "put-back",
    "stage_paused": "resume",
    "stage_resumed": "pause",
    "stage_finished": "reopen",
}
"""The address that undoes what a tap did, by the event of its stage."""


def _offer_undo(request: SignedIn, context: Context, done: CommandResult, says: str) -> bool:
    """Offer on the next page to undo what the tap did, and ask how long it took what nobody timed.

    Return whether the offer says what was done.
    """
    number, key = context["piece"]["number"], context["stage"]["key"]
    own = [e for e in done.events if e.data.get("piece") == number and e.data.get("stage") == key]
    kinds = [e.kind for e in own]
    kind = next((kind for kind in kinds if kind in UNDONE_BY), "")
    if not kind:
        return False
    untimed = "stage_finished" in kinds and any(
        e.kind == "stage_finished" and e.data["minutes"] is None for e in own
    )
    undo_offer(
        request,
        says,
        reverse(f"web:{UNDONE_BY[kind]}", args=[number, key]),
        {"reason": _("Tapped by mistake")} if UNDONE_BY[kind] == "reopen" else {},
        done=done,
        ask=_how_long(number, key) if untimed else None,
    )
    return True


def _how_long(number: str, key: str) -> dict[str, Any]:
    """Return the question how long a stage took, with its answers."""
    return {
        "says": _("How long did it take?"),
        "url": reverse("web:time-stage", args=[number, key]),
        "name": "minutes",
        "choices": [(str(minutes), hour_words(minutes)) for minutes in USUAL_MINUTES],
    }


def _started_instead(done: CommandResult, key: str) -> str:
    """Return the stage that was started in place of the one asked for, or an empty string."""
    begun = [e.data["stage"] for e in done.events if e.kind == "stage_started" and not e.data["auto"]]
    return begun[0] if begun and begun[0] != key else ""


def _page(request: SignedIn, context: Context, refused: PageForm | None = None) -> HttpResponse:
    """Show the stage with the forms of its standing; a refused form keeps what was typed."""
    stage, seen = context["stage"], context["piece"]["version"]
    standing = stage["standing"]
    forms: Context = {}
    at_once = _at_once(context)
    if standing in OPEN_TO_START:
        forms["start"] = _form(request, context, "start", blank=True)
        if at_once and standing == "ready":
            forms["do"] = _form(request, context, "do", blank=True)
        if stage["can_be_skipped"]:
            forms["skip"] = SkipForm(seen=seen)
    elif standing == "under way":
        forms["finish"] = _form(request, context, "finish", blank=True)
        forms["put_back"] = PageForm(seen=seen)
        forms["clock"] = ClockForm(seen=seen)
    elif standing == "skipped":
        forms["put_back"] = PageForm(seen=seen)
    elif standing in OVER and not stage["passive"]:
        forms["reopen"] = ReopenForm(seen=seen)
        forms["time"] = TimeForm(seen=seen)
        forms["how_long"] = _how_long(context["piece"]["number"], stage["key"])
    if standing in AHEAD and not stage["passive"]:
        moments = ("start", "finish", "do") if at_once else ("start", "finish")
        forms["ahead"] = {m: _form(request, context, m, blank=True, ahead=True) for m in moments}
        forms["ahead"] |= {m: ClockForm(seen=seen) for m in ("pause", "resume")}
    if standing in BEGUN and not stage["passive"]:
        forms["redo"] = RedoForm(seen=seen)
    for measure in context["measured"]:
        if measure["gate"]:
            measure["correct"] = CorrectForm(gate=measure["gate"], units=units_of(request.user), seen=seen)
    forms["say"] = say_forms(stage, units=units_of(request.user), seen=seen, refused=refused)
    if refused is not None and refused not in forms["say"] and not _put_beside(refused, context["measured"]):
        fits = _name_of(refused, standing)
        forms[fits or "lost"] = refused
    status = refused.status if refused is not None else 200
    shown = {**context, **forms, "refused": refused, "at_once": at_once}
    return render(request, "web/stages/stage.html", shown, status=status)


def _name_of(form: PageForm, standing: str) -> str:
    """Return the place on the page of a refused form, where it still fits the standing."""
    if isinstance(form, StageForm):
        open_to: tuple[str, ...] = ("under way",) if form.moment == "finish" else OPEN_TO_START
        return form.moment if standing in open_to else ""
    named: tuple[tuple[type[PageForm], str, tuple[str, ...]], ...] = (
        (ReopenForm, "reopen", OVER),
        (TimeForm, "time", OVER),
        (SkipForm, "skip", OPEN_TO_START),
        (RedoForm, "redo", BEGUN),
        (ClockForm, "clock", ("under way",)),
        (PageForm, "put_back", ("under way", "skipped")),
    )
    name, wanted = next((n, w) for kind, n, w in named if isinstance(form, kind))
    return name if standing in wanted else ""


def _put_beside(form: PageForm, measured: list[dict[str, Any]]) -> bool:
    """Show a refused correction beside its measurement; return whether it is one."""
    for measure in measured:
        if type(form) is CorrectForm and measure["gate"] == form.gate:
            measure["correct"] = form
            return True
    return False


def _at_once(context: Context) -> bool:
    """Return whether one tap may do a stage: nothing is measured, counted or decided when it starts."""
    gates = context["stage"]["gates"]
    missed = any(wait["is_missed"] for wait in context["held_by"])
    measured = any(gate["at"] == "start" and "unit" in gate for gate in gates)
    return not (measured or missed or context["clamps"] or context["several"] or context["at_the_bench"])


def _form(
    request: SignedIn, context: Context, moment: str, *, blank: bool = False, ahead: bool = False
) -> StageForm:
    """Return the form of a moment; one for later takes no readings of now."""
    return StageForm(
        None if blank else request.POST,
        gates=context["stage"]["gates"],
        moment=moment,
        units=units_of(request.user),
        held=context["held_by"] if moment != "finish" else (),
        clamps=context["clamps"] if moment == "start" else (),
        several=context["several"] if moment == "start" else None,
        known=None if ahead else context["card"]["known"],
        seen=context["piece"]["version"],
    )
