"""The API about itself: kinds of problems, its description, and addresses that lead nowhere."""

from urllib.parse import urljoin

from django.conf import settings
from django.http import Http404
from django.urls import Resolver404, resolve
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.errors import kinds
from jobs.api.permissions import Anyone
from jobs.api.serializers.events import KindOut
from jobs.api.views.base import View
from jobs.errors import NotFound


class ProblemView(View):
    """What a kind of problem means."""

    permission_classes = (Anyone,)

    @extend_schema(responses=KindOut)
    def get(self, request: Request, code: str) -> Response:
        """The kind of problem that a ``type`` names."""
        kind = kinds().get(code)
        if kind is None:
            raise NotFound("there is no such kind of problem", field="code", value=code[:40])
        return Response({**vars(kind), "type": urljoin(settings.PUBLIC_URL, request.path)})


@extend_schema(exclude=True)
class UnknownView(View):
    """An address that is none, whatever the method."""

    permission_classes = (Anyone,)
    authentication_classes = ()

    def initial(self, request: Request, *args: object, **kwargs: object) -> None:
        path = f"{request.path_info}/"
        try:
            match = resolve(path)
        except Resolver404:
            match = None
        if match is None or getattr(match.func, "cls", None) is UnknownView:
            raise Http404
        raise NotFound("there is nothing at this address", field="address", value=request.path, allowed=path)
