"""Notes for next time: on their stages, a new one, and all of them."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import BadRequest, PermissionDenied
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.core import blobs
from jobs.domain import lookups
from jobs.domain.checks import title_of
from jobs.domain.notes.commands import dismiss_note, retire_note, write_note
from jobs.domain.notes.queries import note_views, notes_for, notes_of_piece, picture_of, the_note
from jobs.domain.routes.note_rules import tags_of
from jobs.models import Person, Piece, Stage
from jobs.web.commissions.history import names_of_people
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import PageForm, choice_field, reason_field, text_field
from jobs.web.kit.pagination import page_of
from jobs.web.kit.responses import redirect_with_message, unless_it_has_it

BACK_SHOWN = 12
"""Newest pieces shown of those on which a note came back."""
TAG_WORDS = {
    "route": gettext_lazy("Route"),
    "species": gettext_lazy("Wood"),
    "glue": gettext_lazy("Glue"),
    "finish": gettext_lazy("Finish"),
}
SHOWN = {"": gettext_lazy("In use"), "retired": gettext_lazy("Retired")}


class NoteForm(PageForm):
    """Text, a picture from the camera, for which pieces, and an optional order of stages."""

    words = text_field(gettext_lazy("What the next one should know"), lines=4)
    picture = forms.FileField(
        label=gettext_lazy("Picture"),
        required=False,
        help_text=gettext_lazy("Stored small, without place, time and camera."),
        widget=forms.FileInput({"accept": "image/jpeg,image/png,image/webp", "capture": "environment"}),
    )

    def __init__(self, data: Any = None, sent: Any = None, *, stage: Stage, **more: Any) -> None:
        super().__init__(data, **more)
        self.files = sent or MultiValueDict()
        tags = [(t, f"{TAG_WORDS[t]}: {v}") for t, v in tags_of(stage.piece.inputs).items() if v]
        self.fields["only_for"] = forms.MultipleChoiceField(
            label=_("Only where these are the same"),
            choices=tags,
            required=False,
            widget=forms.CheckboxSelectMultiple,
            help_text=_("None ticked: for every piece that has such a stage."),
        )
        if stage.title_ref is None:
            self.fields["order"] = choice_field(
                _("Order it teaches"),
                _orders(stage),
                help_text=_("Routes that go against it say so."),
            )
        self.kind = stage.spec["template_key"]

    def field_of(self, name: str) -> str:
        return "order" if name.startswith("rule.") else name

    def told(self, asked: dict[str, Any]) -> dict[str, Any]:
        """Return what was typed, as the command takes it."""
        order, picture = asked.pop("order", ""), asked.pop("picture")
        side, colon, other = order.partition(":")
        pair = (self.kind, other) if side == "before" else (other, self.kind)
        rule = {"before": pair[0], "than": pair[1]} if order else None
        return {**asked, "picture": picture.read() if picture else None, "rule": rule}


def _orders(stage: Stage) -> list[Any]:
    """Return the choices "before" and "after" for each other kind of stage of the piece's route."""
    kinds: dict[str, str] = {}
    for other in stage.piece.stages.filter(title_ref=None).order_by("position"):
        if not other.spec["owner_only"]:
            kinds.setdefault(other.spec["template_key"], other.spec["title"].partition(", 1 of ")[0])
    kinds.pop(stage.spec["template_key"], None)
    sides = [
        (
            group,
            [(f"{side}:{kind}", says % {"title": title}) for kind, title in kinds.items()],
        )
        for side, group, says in (
            ("before", _("This stage before"), _("before %(title)s")),
            ("after", _("This stage after"), _("after %(title)s")),
        )
    ]
    return [("", _("None")), *sides]


class DismissForm(PageForm):
    """The stage on whose page the note was dismissed."""

    stage = forms.CharField(widget=forms.HiddenInput)


class RetireForm(PageForm):
    reason = reason_field(gettext_lazy("Why it comes back no more"), help_text=gettext_lazy("May stay empty"))


def notes_here(person: Person, piece: Piece, stages: Sequence[Stage], key: str) -> list[dict[str, Any]]:
    """Return the notes shown on one stage, each with its form to dismiss it."""
    views = [v for v in notes_of_piece(piece, stages, person) if key in v["shown_at"]]
    return [
        {**v, "own": v["piece"] == piece.number, "dismiss": DismissForm(initial={"stage": key})}
        for v in _in_words(views)
    ]


def _in_words(views: list[dict[str, Any]]) -> list[dict[str, Any]]:
    names = names_of_people() if views else {}
    return [
        {
            **v,
            "by": names.get(v["written_by"], v["written_by"]),
            "tags": [f"{TAG_WORDS[tag]}: {value}" for tag, value in v["only_for"].items()],
            "back_on": [(number.rpartition("-")[0], number) for number in v["where"][-BACK_SHOWN:]],
            "left_out": max(0, len(v["where"]) - BACK_SHOWN),
            "order": [v["rule"][end].replace("-", " ") for end in ("before", "than")] if v["rule"] else [],
        }
        for v in views
    ]


@worker
@require_safe
def notes(request: SignedIn) -> HttpResponse:
    """Show all notes, with how often and where each came back."""
    show = "retired" if request.GET.get("show") == "retired" else ""
    found = notes_for(request.user).filter(retired_at__isnull=not show).order_by("-id")
    page = page_of(request, found)
    rows = _in_words(note_views(list(page.object_list)))
    for row in rows:
        row["retire"] = RetireForm(seen=row["version"])
    context = {"notes": rows, "page": page, "show": show, "shown": SHOWN.items()}
    return render(request, "web/stages/notes.html", context)


@worker
@require_http_methods(["GET", "POST"])
def write(request: SignedIn, piece: str, key: str) -> HttpResponse:
    """Write a note on a stage, for later pieces."""
    stage = lookups.stage(piece, key)
    if stage.spec["owner_only"] and not request.user.is_owner:
        raise PermissionDenied(_("This stage is for the owner of the shop."))
    form = NoteForm(request.POST or None, request.FILES, stage=stage)
    return command_page(
        request, form,
        lambda call, **asked: write_note(call, piece=piece, stage=key, **form.told(asked)),
        (_("The note is kept for next time."), "web:stage", piece, key),
        "web/stages/note_new.html", lambda: {"stage": stage, "piece": piece, "title": title_of(stage)},
    )  # fmt: skip


@worker
@require_POST
def dismiss(request: SignedIn, piece: str, note: int) -> HttpResponse:
    form = DismissForm(request.POST)
    if not form.is_valid():
        raise BadRequest(_("the form does not say which stage"))
    done = dismiss_note(form.call(request), note=note, piece=piece)
    return redirect_with_message(
        request, done, _("The note is not shown on this piece any more."), "web:stage", piece,
        form.cleaned_data["stage"],
    )  # fmt: skip


@worker
@require_POST
def retire(request: SignedIn, note: int) -> HttpResponse:
    form = RetireForm(request.POST)
    if not form.is_valid():
        raise BadRequest(_("the reason cannot be read"))
    done = retire_note(form.call(request), note=note, reason=form.cleaned_data["reason"])
    return redirect_with_message(request, done, _("The note comes back no more."), "web:notes")


@worker
@require_safe
def picture(request: SignedIn, note: int) -> HttpResponse:
    """Return the picture of a note; its bytes never change."""
    name = picture_of(the_note(note, request.user))
    etag = f'"{name}"'
    answer = HttpResponse(blobs.load(name), content_type="image/jpeg", headers={"ETag": etag})
    return unless_it_has_it(request, answer)
