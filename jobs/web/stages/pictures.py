"""Pictures of a stage from the camera: add, show, remove."""

from typing import Any

from django import forms
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import get_conditional_response
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.core import blobs
from jobs.domain import lookups
from jobs.domain.checks import title_of
from jobs.domain.notes.images import thumbnail
from jobs.domain.notes.picture_queries import file_of, picture_views, the_picture
from jobs.domain.notes.pictures import remove_picture, take_picture
from jobs.web.commissions.history import names_of_people
from jobs.web.kit.access import worker
from jobs.web.kit.forms import PageForm, reason_field, text_field
from jobs.web.kit.responses import redirect_with_message


class PictureForm(PageForm):
    """A picture and a line of text."""

    picture = forms.FileField(
        label=gettext_lazy("Picture"),
        required=False,
        help_text=gettext_lazy("It is made small; place, time and camera are taken out of it."),
        widget=forms.FileInput(
            {"accept": "image/jpeg,image/png,image/webp", "capture": "environment", "data-shrink": ""}
        ),
    )
    words = text_field(
        gettext_lazy("What it shows"), help_text=gettext_lazy("May stay empty"), maxlength="500"
    )

    def __init__(self, data: Any = None, sent: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.files = sent or {}
        self.auto_id = "id_picture_%s"


class RemoveForm(PageForm):
    reason = reason_field(gettext_lazy("Why it is removed"), help_text=gettext_lazy("May stay empty"))


@worker
@require_POST
def take(request: HttpRequest, piece: str, key: str) -> HttpResponse:
    """Attach a picture to a stage."""
    stage = lookups.stage(piece, key)
    if stage.spec["owner_only"] and not request.user.is_owner:
        raise PermissionDenied(_("This stage is for the owner of the shop."))
    form = PictureForm(request.POST, request.FILES)

    def act(asked: dict[str, Any]) -> Any:
        sent = asked.pop("picture")
        content = sent.read() if sent else None
        return take_picture(form.call(request), piece=piece, stage=key, picture=content, **asked)

    done = form.carry_out(act)
    if done:
        return redirect_with_message(request, done, _("The picture is kept."), "web:stage", piece, key)
    context = {"form": form, "stage": stage, "piece": piece, "title": title_of(stage)}
    return render(request, "web/stages/picture_new.html", context, status=form.status)


@worker
@require_http_methods(["GET", "POST"])
def show(request: HttpRequest, picture: int) -> HttpResponse:
    """Show one picture, large, and the form that removes it."""
    found = the_picture(picture, request.user)
    form = RemoveForm(request.POST or None)
    if request.method == "POST":
        done = form.carry_out(lambda asked: remove_picture(form.call(request), picture=picture, **asked))
        if done:
            return redirect_with_message(
                request, done, _("The picture is removed."), "web:stage", found.piece, found.stage
            )
    names = names_of_people()
    context = {
        "form": form,
        "picture": picture_views([found])[0],
        "by": names.get(found.taken_by, found.taken_by),
        "title": title_of(lookups.stage(found.piece, found.stage)),
        "commission": found.piece.rpartition("-")[0],
    }
    return render(request, "web/stages/picture.html", context, status=form.status)


@worker
@require_safe
def image(request: HttpRequest, picture: int, size: str) -> HttpResponse:
    """Return the picture or its thumbnail; its bytes never change."""
    name = file_of(the_picture(picture, request.user))
    etag = f'"{name}-{size}"'
    content = thumbnail(name) if size == "small" else blobs.load(name)
    answer = HttpResponse(content, content_type="image/jpeg", headers={"ETag": etag})
    answer["Cache-Control"] = "private, no-cache"
    return get_conditional_response(request, etag=etag, response=answer)
