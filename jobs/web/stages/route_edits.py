"""The route of one piece, edited by hand: added stages, removed ones, another order."""

from functools import partial
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST

from jobs.domain import lookups
from jobs.domain.overviews.piece import piece_view
from jobs.domain.stages.route_edits import PLACES, add_stage, move_stage, remove_stage
from jobs.domain.waits.queries import read_routes
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import carried_out, command_page
from jobs.web.kit.forms import PageForm, choice_field, text_field
from jobs.web.kit.stored_translations import translate_stored

Context = dict[str, Any]
Stages = list[dict[str, Any]]


class Ticked(forms.MultipleChoiceField):
    """Several of a list; the command refuses those that may not be chosen."""

    widget = forms.CheckboxSelectMultiple

    def valid_value(self, value: str) -> bool:
        return True


class AddForm(PageForm):
    """A stage of the maker's own and where it goes."""

    title = text_field(gettext_lazy("What is done"), autocomplete="off")

    def __init__(self, data: Any = None, *, stages: Stages, **more: Any) -> None:
        super().__init__(data, **more)
        choices = _choices(stages)
        self.fields["place"] = choice_field(
            _("Where"), [(p, translate_stored(p).capitalize()) for p in PLACES]
        )
        self.fields["after"] = Ticked(label=_("Comes after"), choices=choices, required=False)
        self.fields["before"] = Ticked(label=_("Comes before"), choices=choices, required=False)


class MoveForm(PageForm):
    """The stages that a stage comes after."""

    def __init__(self, data: Any = None, *, stages: Stages, **more: Any) -> None:
        super().__init__(data, **more)
        self.fields["after"] = Ticked(label=_("Comes after"), choices=_choices(stages), required=False)


@worker
@require_http_methods(["GET", "POST"])
def route(request: SignedIn, number: str) -> HttpResponse:
    """Show the stages in their order, each with its predecessors; and a form to add one."""
    context = _read(request, number)
    form = AddForm(request.POST or None, stages=context["stages"], seen=context["piece"]["version"])
    return carried_out(
        request, form, partial(add_stage, piece=number),
        (_("The stage is on the route."), "web:piece-route", number), lambda: _page(request, context, form),
    )  # fmt: skip


@worker
@require_http_methods(["GET", "POST"])
def move(request: SignedIn, number: str, key: str) -> HttpResponse:
    """Change what a stage comes after."""
    context, found = _read(request, number), lookups.stage(number, key)
    form = MoveForm(
        request.POST or None, stages=[s for s in context["stages"] if s["key"] != key],
        seen=context["piece"]["version"], initial={"after": found.spec["after"]},
    )  # fmt: skip
    return command_page(
        request, form, partial(move_stage, piece=number, stage=key),
        (_("The route is changed."), "web:piece-route", number),
        "web/stages/route_move.html",
        lambda: {**context, "stage": next(s for s in context["piece"]["stages"] if s["key"] == key)},
    )  # fmt: skip


@worker
@require_POST
def remove(request: SignedIn, number: str, key: str) -> HttpResponse:
    """Remove a stage; a refusal appears on the page of the route."""
    form = PageForm(request.POST)

    def show() -> HttpResponse:
        context = _read(request, number)
        blank = AddForm(stages=context["stages"], seen=context["piece"]["version"])
        return _page(request, context, blank, refused=form)

    return carried_out(
        request, form, partial(remove_stage, piece=number, stage=key),
        (_("The stage is off the route."), "web:piece-route", number), show,
    )  # fmt: skip


def _choices(stages: Stages) -> list[tuple[str, str]]:
    return [(s["key"], s["title"]) for s in stages]


def _read(request: SignedIn, number: str) -> Context:
    """Return the piece with its stages; mark those that may be moved or removed."""
    piece = lookups.piece(number)
    read = read_routes([piece])
    view = piece_view(read.routes[0], read.texts, now=timezone.now(), with_money=request.user.is_owner)
    titles = {s.key: s.spec["title"] for s in read.routes[0].stages}
    titles |= {s["key"]: s["title"] for s in view["stages"]}
    stages = [
        {
            **s,
            "comes_after": [titles[k] for k in s["after"]],
            "movable": s["step"] == "planned" and bool(s["after"]),
            "removable": s["step"] == "planned"
            and s["attempt"] == 1
            and not s["owner_only"]
            and not s["marks"],
            "remove": PageForm(seen=view["version"]),
        }
        for s in view["stages"]
    ]
    return {"piece": view, "commission": piece.commission.number, "stages": stages}


def _page(
    request: SignedIn, context: Context, form: AddForm, refused: PageForm | None = None
) -> HttpResponse:
    status = refused.status if refused is not None else form.status
    return render(
        request, "web/stages/route.html", {**context, "form": form, "refused": refused or form}, status=status
    )
