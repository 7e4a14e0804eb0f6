"""Notes for next time: write, read, dismiss, retire, and their pictures."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.errors import BodyTooLarge
from jobs.api.kit.output import present
from jobs.api.kit.pagination import page_of
from jobs.api.kit.permissions import Worker
from jobs.api.kit.resources import Resource, row_made
from jobs.api.kit.routes import PIECE, STAGE, route, view_route
from jobs.api.kit.view_bases import FileView, View
from jobs.api.notes.serializers import (
    LONGEST_PICTURE,
    NoteDismissIn,
    NoteDone,
    NoteIn,
    NoteOut,
    NotePage,
    NoteRetireIn,
    NotesIn,
    ShownNoteOut,
)
from jobs.core import blobs
from jobs.core.errors import Forbidden
from jobs.domain import lookups
from jobs.domain.notes.commands import dismiss_note, retire_note, write_note
from jobs.domain.notes.queries import note_views, notes_for, notes_of_piece, picture_of, the_note

MOST_BODY = LONGEST_PICTURE + 100_000
"""A picture as base64 and the words beside it."""


def show(view: View, key: int) -> Any:
    return present(note_views([the_note(key, view.request.user)])[0])


NOTE = Resource(name="note", done=NoteDone, show=show, address="note", key_of=row_made)


class TakesPicture(View):
    """An address that takes a picture: its body may be longer than others."""

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        if request.method == "POST":
            _read_long_body(request._request)


def _read_long_body(raw: HttpRequest) -> None:
    """Read the body of somebody who is let in; refuse one that is too long."""
    length = raw.META.get("CONTENT_LENGTH") or "0"
    if not length.isdecimal() or int(length) > MOST_BODY:
        raise BodyTooLarge(MOST_BODY)
    raw._body = raw.read()


class NotesView(View):
    """All notes for next time."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[NotesIn], responses=NotePage)
    def get(self, request: Request) -> Response:
        """Every note with how often and where it came back, the newest first."""
        asked = self.query(NotesIn)
        found = notes_for(request.user)
        if "retired" in asked:
            found = found.filter(retired_at__isnull=not asked["retired"])
        return Response(page_of(found, request, lambda rows: present(note_views(rows))))


class NoteView(View):
    """One note."""

    permission_classes = (Worker,)

    @extend_schema(responses=NoteOut)
    def get(self, request: Request, note: int) -> Response:
        """One note."""
        return Response(show(self, note))


class NotePictureView(FileView):
    """The picture of a note."""

    permission_classes = (Worker,)

    @extend_schema(
        responses={
            (200, "image/jpeg"): OpenApiTypes.BINARY,
            304: OpenApiResponse(description="The picture you have is the picture."),
        }
    )
    def get(self, request: Request, note: int) -> HttpResponse:
        """The picture, as a JPEG."""
        name = picture_of(the_note(note, request.user))
        return self.kept_file(blobs.load(name), "image/jpeg", version=name)


class PieceNotesView(View):
    """The notes of a piece."""

    permission_classes = (Worker,)

    @extend_schema(responses=ShownNoteOut(many=True))
    def get(self, request: Request, piece: str) -> Response:
        """The notes shown on a piece now, each with its stages."""
        return Response(present(on_piece(self, piece)))


class StageNotesView(TakesPicture):
    """The notes of a stage."""

    permission_classes = (Worker,)

    @extend_schema(responses=ShownNoteOut(many=True))
    def get(self, request: Request, piece: str, stage: str) -> Response:
        """The notes shown on this stage now."""
        if lookups.stage(piece, stage).spec["owner_only"] and not self.with_money:
            raise Forbidden("this stage is the owner's", field="stage", value=stage)
        return Response(present([n for n in on_piece(self, piece) if stage in n["shown_at"]]))

    post = NOTE.makes(write_note, NoteIn, "Write a note for next time, with a picture if there is one.")


def on_piece(view: View, number: str) -> list[dict[str, Any]]:
    piece = lookups.piece(number)
    return notes_of_piece(piece, list(piece.stages.order_by("position")), view.request.user)


RETIRE = NOTE.changes(
    retire_note, NoteRetireIn, "Retire a note: it comes back no more, and its rule holds no more."
)
DISMISS = NOTE.changes(
    dismiss_note, NoteDismissIn, "Dismiss a note for this piece; on others it is still shown."
)
ROUTES = [
    view_route("notes/", "notes", NotesView),
    view_route("notes/<key:note>/", "note", NoteView),
    view_route("notes/<key:note>/picture/", "note-picture", NotePictureView),
    route("notes/<key:note>/retire/", "note-retire", Worker, post=RETIRE),
    view_route(f"{PIECE}notes/", "piece-notes", PieceNotesView),
    route(f"{PIECE}notes/<key:note>/dismiss/", "note-dismiss", Worker, post=DISMISS),
    view_route(f"{STAGE}notes/", "stage-notes", StageNotesView),
]
