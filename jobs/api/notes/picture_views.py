"""Pictures of a stage's work and of what a commission asks for: take, look, remove."""

from typing import Any

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Worker
from jobs.api.kit.resources import Resource, row_made
from jobs.api.kit.routes import COMMISSION, PIECE, STAGE, route, view_route
from jobs.api.kit.view_bases import FileView, View
from jobs.api.notes.picture_serializers import PictureDone, PictureIn, PictureOut, PictureRemoveIn, SizeIn
from jobs.api.notes.views import TakesPicture
from jobs.core import blobs
from jobs.domain import lookups
from jobs.domain.notes.images import thumbnail
from jobs.domain.notes.picture_queries import (
    file_of,
    picture_views,
    pictures_of,
    pictures_of_commission,
    the_picture,
)
from jobs.domain.notes.pictures import picture_commission, remove_picture, take_picture


def _show(view: View, key: int) -> Any:
    return present(picture_views([the_picture(key, view.request.user)])[0])


PICTURE = Resource(name="picture", done=PictureDone, show=_show, address="picture", key_of=row_made)


class SeesPicture(View):
    """An address of a picture; it refuses a picture that is not for this person."""

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        the_picture(kwargs["picture"], request.user)


class PiecePicturesView(View):
    """The pictures of a piece."""

    permission_classes = (Worker,)

    @extend_schema(responses=PictureOut(many=True))
    def get(self, request: Request, piece: str) -> Response:
        """The pictures of a piece, oldest first."""
        found = pictures_of([lookups.piece(piece).number], request.user)
        return Response(present(picture_views(found)))


class CommissionPicturesView(TakesPicture):
    """The pictures of a commission."""

    permission_classes = (Worker,)

    @extend_schema(responses=PictureOut(many=True))
    def get(self, request: Request, commission: str) -> Response:
        """The pictures of a commission, oldest first: what was asked for, and the work on its pieces."""
        found = pictures_of_commission(lookups.commission(commission).number, request.user)
        return Response(present(picture_views(found)))

    post = PICTURE.makes(picture_commission, PictureIn, "Pin a picture of what is asked for to a commission.")


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
        if small:
            return self.kept_file(thumbnail(name), "image/jpeg", version=f"{name}-small")
        return self.kept_file(blobs.load(name), "image/jpeg", version=name)


TAKE = PICTURE.makes(take_picture, PictureIn, "Pin a picture to a stage.")
REMOVE = PICTURE.changes(
    remove_picture, PictureRemoveIn, "Take a picture off its stage or commission; it is not shown again."
)
ROUTES = [
    view_route(f"{PIECE}pictures/", "piece-pictures", PiecePicturesView),
    view_route(f"{COMMISSION}pictures/", "commission-pictures", CommissionPicturesView),
    view_route("pictures/<key:picture>/", "picture", PictureView),
    route(f"{STAGE}pictures/", "stage-pictures", Worker, TakesPicture, post=TAKE),
    route("pictures/<key:picture>/remove/", "picture-remove", Worker, SeesPicture, post=REMOVE),
]
