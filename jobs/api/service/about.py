"""The API about itself: kinds of problems, its description, and addresses that lead nowhere."""

from urllib.parse import urljoin

from django.conf import settings
from django.http import Http404, HttpResponse
from django.urls import Resolver404, path, re_path, resolve
from django.utils.cache import get_conditional_response
from drf_spectacular.utils import extend_schema
from drf_spectacular.views import SpectacularJSONAPIView, SpectacularSwaggerSplitView
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.description import description
from jobs.api.kit.errors import kinds
from jobs.api.kit.permissions import Anyone
from jobs.api.kit.routes import view_route
from jobs.api.kit.view_bases import View
from jobs.api.service.history_serializers import KindOut
from jobs.core.errors import NotFound
from jobs.core.rate_limit import address_of, count_key, refuse_if_many

MOST_SCHEMAS, WINDOW_S = 60, 60
"""Times that one address may have the description within so many seconds."""


class SchemaView(SpectacularJSONAPIView):
    """The description of the API."""

    permission_classes = (Anyone,)
    authentication_classes = ()

    @extend_schema(exclude=True)
    def get(self, request: Request, *args: object, **kwargs: object) -> HttpResponse:
        """The description as OpenAPI 3.1."""
        key = count_key("schema", address_of(request._request))
        refuse_if_many(key, most=MOST_SCHEMAS, window_s=WINDOW_S, words="")
        made = description()
        is_packed = "gzip" in request.META.get("HTTP_ACCEPT_ENCODING", "")
        answer = HttpResponse(
            made.packed if is_packed else made.plain,
            content_type="application/vnd.oai.openapi+json",
            headers={"ETag": made.etag, "Cache-Control": "no-cache", "Vary": "Accept, Accept-Encoding"},
        )
        if is_packed:
            answer["Content-Encoding"] = "gzip"
        return get_conditional_response(request._request, etag=made.etag, response=answer)  # type: ignore[return-value]


class ProblemView(View):
    """The meaning of a kind of problem."""

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


DOCS = SpectacularSwaggerSplitView.as_view(url_name="api:schema", permission_classes=(Anyone,))
ROUTES = [
    view_route("problems/<str:code>/", "problem", ProblemView),
    view_route("schema/", "schema", SchemaView),
    path("docs/", DOCS, name="docs"),
]
NOWHERE = re_path("", UnknownView.as_view(), name="unknown")
"""The last route: it takes every address."""
