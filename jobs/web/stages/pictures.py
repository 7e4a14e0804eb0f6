"""Pictures of a stage, or of what a commission asks for: add, show, remove."""

from functools import partial
from typing import Any

from django import forms
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from jobs.core import blobs
from jobs.domain import lookups
from jobs.domain.checks import title_of
from jobs.domain.notes.images import thumbnail
from jobs.domain.notes.picture_queries import file_of, picture_views, the_picture
from jobs.domain.notes.pictures import picture_commission, remove_picture, take_picture
from jobs.log.private_texts import read
from jobs.models import Picture
from jobs.web.commissions.history import names_of_people
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import PageForm, reason_field, text_field
from jobs.web.kit.responses import kept_file


class PictureForm(PageForm):
    """A picture and a line of text."""

    picture = forms.FileField(
        label=gettext_lazy("Picture"),
        required=False,
        help_text=gettext_lazy("Stored small, without place, time and camera."),
        widget=forms.FileInput(
            {"accept": "image/jpeg,image/png,image/webp", "capture": "environment", "data-shrink": ""}
        ),
    )
    words = text_field(
        gettext_lazy("What it shows"), help_text=gettext_lazy("May stay empty"), maxlength="500"
    )

    def __init__(self, data: Any = None, sent: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.files = sent or MultiValueDict()
        self.auto_id = "id_picture_%s"


class RemoveForm(PageForm):
    reason = reason_field(gettext_lazy("Why it is removed"), help_text=gettext_lazy("May stay empty"))


@worker
@require_http_methods(["GET", "POST"])
def take(request: SignedIn, piece: str, key: str) -> HttpResponse:
    """Attach a picture to a stage."""
    stage = lookups.stage(piece, key)
    if stage.spec["owner_only"] and not request.user.is_owner:
        raise PermissionDenied(_("This stage is for the owner of the shop."))
    return command_page(
        request, PictureForm(request.POST or None, request.FILES),
        lambda call, *, picture, **asked: take_picture(
            call, piece=piece, stage=key, picture=picture.read() if picture else None, **asked
        ),
        (_("The picture is kept."), "web:stage", piece, key),
        "web/stages/picture_new.html", lambda: {"stage": stage, "piece": piece, "title": title_of(stage)},
    )  # fmt: skip


@worker
@require_http_methods(["GET", "POST"])
def pin(request: SignedIn, number: str) -> HttpResponse:
    """Attach a picture of what is asked for to a commission."""
    found = lookups.commission(number)
    return command_page(
        request, PictureForm(request.POST or None, request.FILES),
        lambda call, *, picture, **asked: picture_commission(
            call, commission=number, picture=picture.read() if picture else None, **asked
        ),
        (_("The picture is kept."), "web:commission", number),
        "web/commissions/picture_new.html",
        lambda: {"number": number, "title": read(found.title_ref)},
    )  # fmt: skip


@worker
@require_http_methods(["GET", "POST"])
def show(request: SignedIn, picture: int) -> HttpResponse:
    """Show one picture, large, and the form that removes it."""
    found = the_picture(picture, request.user)
    return command_page(
        request, RemoveForm(request.POST or None), partial(remove_picture, picture=picture),
        (_("The picture is removed."), *_place(found)), "web/stages/picture.html",
        lambda: {
            "picture": picture_views([found])[0],
            "by": names_of_people().get(found.taken_by, found.taken_by),
            "title": title_of(lookups.stage(found.piece, found.stage)) if found.piece else "",
            "commission": found.commission,
        },
    )  # fmt: skip


def _place(picture: Picture) -> tuple[str, ...]:
    """Return the page that a picture stands on: its stage, or its commission."""
    if picture.piece:
        return "web:stage", picture.piece, picture.stage
    return "web:commission", picture.commission


@worker
@require_safe
def image(request: SignedIn, picture: int, size: str) -> HttpResponse:
    """Return the picture or its thumbnail; its bytes never change."""
    name = file_of(the_picture(picture, request.user))
    content = thumbnail(name) if size == "small" else blobs.load(name)
    return kept_file(request, content, "image/jpeg", version=f"{name}-{size}")
