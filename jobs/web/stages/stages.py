"""One stage: gates, cautions and notes; start, finish, put back, reopen; and ending a wait."""

from collections.abc import Callable
from functools import partial
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.domain import lookups
from jobs.domain.stages.commands import finish_stage, put_back_stage, reopen_stage, start_stage
from jobs.domain.stages.left_open import still_asked
from jobs.domain.stages.wait_commands import correct_start, finish_wait
from jobs.domain.waits.queries import wait_view
from jobs.domain.waits.route import is_suspect
from jobs.log.commands import CommandResult
from jobs.models import Wait
from jobs.web.kit import queued_forms
from jobs.web.kit.access import View, worker
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.command_pages import carried_out
from jobs.web.kit.forms import PageForm, moment_field, reason_field
from jobs.web.kit.responses import redirect_with_message
from jobs.web.kit.stored_translations import Text
from jobs.web.stages.left_open import say_forms, without_unreadable
from jobs.web.stages.side_forms import ClockForm, CorrectForm, RedoForm, ReopenForm, SkipForm
from jobs.web.stages.stage_context import AHEAD, BEGUN, OPEN_TO_START, OVER, Context, read_stage
from jobs.web.stages.stage_form import StageForm
from jobs.web.stages.wait_progress import drawn


class WaitStartForm(PageForm):
    since = moment_field(gettext_lazy("It began at"))
    reason = reason_field(gettext_lazy("Why you correct it"))


class EndWaitForm(PageForm):
    reason = reason_field(
        gettext_lazy("Why it ends now"),
        help_text=gettext_lazy("Needed before its ready time, or where it is suspect."),
    )


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

    return after(request, context, form, act, f"{context['stage']['title']}: {says}", stay=stay)


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


@worker
@require_http_methods(["GET", "POST"])
def end_wait(request: SignedIn, wait: int) -> HttpResponse:
    """End a wait by hand; before its time this takes a reason."""
    found = lookups.wait(wait)
    piece = found.stage.piece
    form = EndWaitForm(request.POST or None, seen=piece.version)
    if is_suspect(found):
        form.fields["reason"].label, form.fields["reason"].help_text = _("What the test showed"), ""
    return carried_out(
        request, form, partial(finish_wait, wait=wait),
        (_("%(title)s: ended.") % {"title": found.title}, "web:commission", piece.commission.number),
        lambda: _wait_page(request, found, form=form),
    )  # fmt: skip


def _wait_page(request: SignedIn, wait: Wait, **forms: PageForm) -> HttpResponse:
    """Show a wait with its two forms; a refused one keeps what was typed."""
    now, piece = timezone.now(), wait.stage.piece
    context = {
        "form": EndWaitForm(seen=piece.version),
        "start": WaitStartForm(seen=piece.version, initial={"since": timezone.localtime(wait.since)}),
        "wait": drawn(wait_view(wait, now), now),
        "piece": piece,
        **forms,
    }
    refused = next((form for form in forms.values() if form.status != 200), None)
    context["wrong"] = refused
    status = refused.status if refused else 200
    return render(request, "web/stages/wait_end.html", context, status=status)


@worker
@require_POST
def wait_start(request: SignedIn, wait: int) -> HttpResponse:
    """Correct when a wait began."""
    found, form = lookups.wait(wait), WaitStartForm(request.POST)
    return carried_out(
        request, form, partial(correct_start, wait=wait),
        (_("%(title)s: recalculated.") % {"title": found.title}, "web:end-wait", wait),
        lambda: _wait_page(request, found, start=form),
    )  # fmt: skip


def after(
    request: SignedIn,
    context: Context,
    form: PageForm,
    act: Callable[[dict[str, Any]], CommandResult],
    says: str,
    *,
    stay: bool = False,
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
    if stay:
        return redirect_with_message(request, done, says, "web:stage", piece, key)
    if still_asked(lookups.stage(piece, key)):
        return redirect_with_message(request, done, says, "web:stage", piece, key)
    return redirect_with_message(request, done, says, "web:commission", commission)


def _started_instead(done: CommandResult, key: str) -> str:
    """Return the stage that was started in place of the one asked for, or an empty string."""
    begun = [e.data["stage"] for e in done.events if e.kind == "stage_started" and not e.data["auto"]]
    return begun[0] if begun and begun[0] != key else ""


def _page(request: SignedIn, context: Context, refused: PageForm | None = None) -> HttpResponse:
    """Show the stage with the forms of its standing; a refused form keeps what was typed."""
    stage, seen = context["stage"], context["piece"]["version"]
    standing = stage["standing"]
    forms: Context = {}
    if standing in OPEN_TO_START:
        forms["start"] = _form(request, context, "start", blank=True)
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
    if standing in AHEAD and not stage["passive"]:
        forms["ahead"] = {m: _form(request, context, m, blank=True) for m in ("start", "finish")}
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
    return render(request, "web/stages/stage.html", {**context, **forms, "refused": refused}, status=status)


def _name_of(form: PageForm, standing: str) -> str:
    """Return the place on the page of a refused form, where it still fits the standing."""
    if isinstance(form, StageForm):
        open_to: tuple[str, ...] = ("under way",) if form.moment == "finish" else OPEN_TO_START
        return form.moment if standing in open_to else ""
    named: tuple[tuple[type[PageForm], str, tuple[str, ...]], ...] = (
        (ReopenForm, "reopen", OVER),
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


def _form(request: SignedIn, context: Context, moment: str, *, blank: bool = False) -> StageForm:
    return StageForm(
        None if blank else request.POST,
        gates=context["stage"]["gates"],
        moment=moment,
        units=units_of(request.user),
        held=context["held_by"] if moment == "start" else (),
        clamps=context["clamps"] if moment == "start" else (),
        several=context["several"] if moment == "start" else None,
        initial={f"measured.{key}": value for key, value in context["metered"].items()} if blank else None,
        seen=context["piece"]["version"],
    )
