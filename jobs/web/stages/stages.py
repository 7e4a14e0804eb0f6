"""One stage: its gates, cautions and notes; start, finish, put back, reopen; and ending a wait."""

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.climate.settling import gate_figures
from jobs.domain.notes.picture_queries import picture_views, pictures_of
from jobs.domain.overviews.climate import usual_air
from jobs.domain.overviews.piece import piece_view
from jobs.domain.routes import cautions
from jobs.domain.settings import settings
from jobs.domain.stages.clampings import GLUING, several
from jobs.domain.stages.commands import finish_stage, put_back_stage, reopen_stage, start_stage
from jobs.domain.stages.equipment_queries import clamps_for, clamps_held
from jobs.domain.stages.left_open import at_the_clamps, still_asked
from jobs.domain.stages.queries import read_routes, wait_view
from jobs.domain.stages.route import RouteState, is_suspect
from jobs.domain.stages.wait_commands import correct_start, finish_wait
from jobs.domain.stock.queries import glue_notes
from jobs.log.commands import CommandResult
from jobs.models import Person, Wait
from jobs.web.commissions.history import measure_words, names_of_people
from jobs.web.kit import queued_forms
from jobs.web.kit.access import worker
from jobs.web.kit.calls import units_of
from jobs.web.kit.forms import PageForm, moment_field, reason_field
from jobs.web.kit.responses import redirect_with_message
from jobs.web.pieces.figures import calculations, drawn_on_page
from jobs.web.stages.left_open import say_forms, without_unreadable
from jobs.web.stages.notes import notes_here
from jobs.web.stages.pictures import PictureForm
from jobs.web.stages.stage_form import ClockForm, CorrectForm, RedoForm, ReopenForm, SkipForm, StageForm
from jobs.web.stages.wait_progress import drawn

DRAWN = {"layout", "joinery", "clamping", "stiffening"}
"""Calculations that the drawing shows."""
OPEN_TO_START = ("ready", "held")
OVER = ("done", "waiting")
BEGUN = ("under way", *OVER)
AHEAD = ("planned", *OPEN_TO_START, "under way")
"""Standings whose page carries the forms that come next, for when there is no signal to fetch them."""
Context = dict[str, Any]


class WaitStartForm(PageForm):
    since = moment_field(gettext_lazy("It began at"))
    reason = reason_field(gettext_lazy("Why it is put right"))


class EndWaitForm(PageForm):
    reason = reason_field(
        gettext_lazy("Why it ends now"),
        help_text=gettext_lazy("Needed before its ready time, or where it is suspect."),
    )


@worker
@require_safe
def stage(request: HttpRequest, piece: str, key: str) -> HttpResponse:
    return _page(request, read_stage(request.user, piece, key))


@worker
@require_POST
def start(request: HttpRequest, piece: str, key: str) -> HttpResponse:
    return _worked(request, piece, key, moment="start", verb=start_stage, says=_("started."), stay=True)


@worker
@require_POST
def finish(request: HttpRequest, piece: str, key: str) -> HttpResponse:
    return _worked(request, piece, key, moment="finish", verb=finish_stage, says=_("finished."))


def _worked(
    request: HttpRequest,
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


@worker
@require_POST
def put_back(request: HttpRequest, piece: str, key: str) -> HttpResponse:
    return done_with(request, piece, key, kind=PageForm, verb=put_back_stage, says="put back.", stay=False)


@worker
@require_POST
def reopen(request: HttpRequest, piece: str, key: str) -> HttpResponse:
    return done_with(request, piece, key, kind=ReopenForm, verb=reopen_stage, says=_("reopened."))


def done_with(
    request: HttpRequest,
    piece: str,
    key: str,
    *,
    kind: type[PageForm],
    verb: Callable[..., CommandResult],
    says: str,
    stay: bool = True,
) -> HttpResponse:
    """A verb on a stage that asks nothing but what its form holds."""
    context, form = read_stage(request.user, piece, key), kind(request.POST)

    def act(asked: dict[str, Any]) -> CommandResult:
        return verb(form.call(request), piece=piece, stage=key, **asked)

    return after(request, context, form, act, f"{context['stage']['title']}: {says}", stay=stay)


@worker
@require_http_methods(["GET", "POST"])
def end_wait(request: HttpRequest, wait: int) -> HttpResponse:
    """End a wait by hand: as it is once it is over, with a reason before."""
    found = lookups.wait(wait)
    piece = found.stage.piece
    form = EndWaitForm(request.POST or None, seen=piece.version)
    if is_suspect(found):
        form.fields["reason"].label, form.fields["reason"].help_text = _("What the test showed"), ""
    if request.method == "POST":
        done = form.carry_out(lambda asked: finish_wait(form.call(request), wait=wait, **asked))
        if done:
            return redirect_with_message(
                request,
                done,
                _("%(title)s: ended.") % {"title": found.title},
                "web:commission",
                piece.commission.number,
            )
        if queued_forms.is_queued(request):
            return queued_forms.refused_form(form)
    return _wait_page(request, found, form=form)


def _wait_page(request: HttpRequest, wait: Wait, **forms: PageForm) -> HttpResponse:
    """A wait with its two forms; a refused one stays as it was typed."""
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
    return render(request, "web/wait_end.html", context, status=status)


@worker
@require_POST
def wait_start(request: HttpRequest, wait: int) -> HttpResponse:
    """Put right when a wait began."""
    found, form = lookups.wait(wait), WaitStartForm(request.POST)
    done = form.carry_out(lambda asked: correct_start(form.call(request), wait=wait, **asked))
    if done is None and queued_forms.is_queued(request):
        return queued_forms.refused_form(form)
    if done is None:
        return _wait_page(request, found, start=form)
    return redirect_with_message(
        request, done, _("%(title)s: figured anew.") % {"title": found.title}, "web:end-wait", wait
    )


def after(
    request: HttpRequest,
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
    """The stage that was started by hand, where it is another than the one that was asked for."""
    begun = [e.data["stage"] for e in done.events if e.kind == "stage_started" and not e.data["auto"]]
    return begun[0] if begun and begun[0] != key else ""


def _page(request: HttpRequest, context: Context, refused: PageForm | None = None) -> HttpResponse:
    """The stage with the forms that fit its standing; a refused form stays as it was typed."""
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
    return render(request, "web/stage.html", {**context, **forms, "refused": refused}, status=status)


def _name_of(form: PageForm, standing: str) -> str:
    """The place on the page for a refused form, where what it asked still fits."""
    if isinstance(form, StageForm):
        wanted = ("under way",) if form.moment == "finish" else OPEN_TO_START
        return form.moment if standing in wanted else ""
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
    """Put a refused correction beside its measurement; whether it is one."""
    for measure in measured:
        if type(form) is CorrectForm and measure["gate"] == form.gate:
            measure["correct"] = form
            return True
    return False


def _form(request: HttpRequest, context: Context, moment: str, *, blank: bool = False) -> StageForm:
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


def read_stage(person: Person, number: str, key: str) -> Context:
    """A stage with its piece, waits and figures, for who may see it."""
    now = timezone.now()
    if lookups.stage(number, key).spec["owner_only"] and not person.is_owner:
        raise PermissionDenied(_("This stage is for the owner of the shop."))
    piece = lookups.piece(number)
    commission = lookups.commission(piece.commission.number)
    read = read_routes([piece], more_rows=[commission, commission.client])
    units = units_of(person)
    view = piece_view(read.routes[0], read.texts, now=now, units=units, with_money=person.is_owner)
    stages = {s["key"]: s for s in view["stages"]}
    found = stages[key]
    names = names_of_people()
    waits = [drawn(w, now) for w in view["waits"]]
    return {
        "piece": view,
        "stage": found,
        "commission": commission,
        "title": read.texts[commission.title_ref],
        "clamps": clamps_for(read.routes[0], read.routes[0].by_key[key]),
        "clamps_held": clamps_held(read.routes[0].by_key[key]),
        "glue_notes": glue_notes(piece, found, today=timezone.localdate(now)),
        "metered": _metered(number, found["gates"], now),
        "held_by": [w for w in waits if key in w["holds"]],
        "left_running": [w for w in waits if w["stage"] == key],
        "missing": [stages[k] for k in found["missing"]],
        "started_by": names.get(found["started_by"], ""),
        "finished_by": names.get(found["finished_by"], ""),
        "measured": _measured(found, found["measured"], units),
        "attempts": [
            {
                **a,
                "started_by": names.get(a["started_by"], ""),
                "measured": _measured(found, a["measured"], units),
            }
            for a in found["attempts"]
        ],
        "pictures": picture_views(pictures_of([number], person, stage=key)),
        "picture_form": PictureForm(),
        "taught_notes": notes_here(person, piece, read.routes[0].stages, key),
        "first_caution": cautions()["first"],
        "at_the_bench": at_the_bench(found),
        "several": _several(read.routes[0], key),
        "says_later": at_the_clamps(read.routes[0].by_key[key]),
        "rules": [g for g in found["gates"] if "rule" in g],
        "drawing": drawn_on_page(view) if DRAWN & set(found["calcs"]) else None,
        "calculations": [c for c in calculations(view, units=units) if c["key"] in found["calcs"]],
    }


def _several(route: RouteState, key: str) -> list[str] | None:
    """Why a decision is asked before a glue-up starts; None for other stages."""
    stage = route.by_key[key]
    return [one.words for one in several(route, stage)] if GLUING in stage.spec["calcs"] else None


def at_the_bench(found: dict[str, Any]) -> str:
    """What the full screen of this stage is called; empty where it has none."""
    if any(gate["key"] == "dry_fit_time" for gate in found["gates"]):
        return _("Time the dry fit")
    return _("Open time and clamps") if "gluing" in found["calcs"] else ""


def _metered(piece: str, gates: list[dict[str, Any]], now: datetime) -> dict[str, str]:
    """What the meter readings of the boards say of what is asked here."""
    asked = {g["key"] for g in gates if g.get("unit") == "percent" and g["key"].startswith("moisture_")}
    if not asked:
        return {}
    figures = gate_figures(piece, now=now, air=usual_air(settings()))
    return {key: value for key, value in figures.items() if key in asked}


def _measured(found: dict[str, Any], values: dict[str, Any], units: Units) -> list[dict[str, Any]]:
    """What was measured, each with the gate that asked for it."""
    gates = {g["key"]: g for g in found["gates"] if "unit" in g}
    return [
        {
            "title": gates[key]["title"] if key in gates else key,
            "value": measure_words(value, gates.get(key, {}).get("unit", ""), units),
            "gate": gates.get(key),
        }
        for key, value in values.items()
    ]
