"""Pictures of a stage's work: take, look, remove."""

from typing import Any

from django.http import HttpResponse
from django.utils.cache import get_conditional_response
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Worker
from jobs.api.kit.view_bases import View
from jobs.api.notes.picture_serializers import PictureDone, PictureIn, PictureOut, PictureRemoveIn, SizeIn
from jobs.api.notes.views import take_long_body
from jobs.api.papers.views import FileView
from jobs.core import blobs
from jobs.domain import lookups
from jobs.domain.notes.images import thumbnail
from jobs.domain.notes.picture_queries import file_of, picture_views, pictures_of, the_picture
from jobs.domain.notes.pictures import remove_picture, take_picture
from jobs.models.bases import row_key


class PiecePicturesView(View):
    """The pictures of a piece."""

    permission_classes = (Worker,)

    @extend_schema(responses=PictureOut(many=True))
    def get(self, request: Request, piece: str) -> Response:
        """The pictures of a piece, oldest first."""
        found = pictures_of([lookups.piece(piece).number], request.user)
        return Response(present(picture_views(found)))


class StagePicturesView(View):
    """Pictures of a stage."""

    permission_classes = (Worker,)

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        take_long_body(request)

    @extend_schema(request=PictureIn, responses={200: PictureDone, 201: PictureDone})
    def post(self, request: Request, piece: str, stage: str) -> Response:
        """Pin a picture to a stage."""
        asked = self.body(PictureIn)
        done = take_picture(self.call(asked), piece=piece, stage=stage, **asked)
        key = row_key(done.events[0].seq)
        at = reverse("api:picture", args=[key])
        return self.done(done, "picture", lambda: shown(self, key), location=at)


class PictureView(FileView):
    """One picture."""

    permission_classes = (Worker,)

    @extend_schema(
        parameters=[SizeIn],
        responses={
            (200, "image/jpeg"): OpenApiTypes.BINARY,
            304: OpenApiResponse(description="The picture you have is the picture."),
        },
    )
    def get(self, request: Request, picture: int) -> HttpResponse:
        """The picture as a JPEG, whole or small."""
        small = self.query(SizeIn).get("size") == "small"
        name = file_of(the_picture(picture, request.user))
        etag = f'"{name}{"-small" if small else ""}"'
        content = thumbnail(name) if small else blobs.load(name)
        answer = HttpResponse(
            content, content_type="image/jpeg", headers={"ETag": etag, "Cache-Control": "private, no-cache"}
        )
        return get_conditional_response(request._request, etag=etag, response=answer)  # type: ignore[return-value]


class PictureRemoveView(View):
    """A picture removed."""

    permission_classes = (Worker,)

    @extend_schema(request=PictureRemoveIn, responses=PictureDone)
    def post(self, request: Request, picture: int) -> Response:
        """Take a picture off its stage; it is not shown again."""
        asked = self.body(PictureRemoveIn)
        the_picture(picture, request.user)
        done = remove_picture(self.call(asked), picture=picture, **asked)
        return self.done(done, "picture", lambda: shown(self, picture))


def shown(view: View, key: int) -> Any:
    return present(picture_views([the_picture(key, view.request.user)])[0])
