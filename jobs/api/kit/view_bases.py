"""The base of every view: strict bodies, queries checked by shape, units, the caller."""

from collections.abc import Callable, Sequence
from typing import Any

from django.http import Http404, HttpResponse
from django.utils.cache import get_conditional_response
from rest_framework.permissions import SAFE_METHODS
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.views import APIView

from jobs.api.kit.call import call_of, clock_notices, units_of
from jobs.api.kit.errors import LengthRequired
from jobs.api.kit.parsers import StrictJSON
from jobs.api.kit.schema import Described
from jobs.api.kit.serializer_bases import CommandIn, UnitsIn
from jobs.api.kit.shapes import Shape, checked
from jobs.core.units import Units
from jobs.log.commands import CommandContext


class Nothing(Shape):
    """A body or a query without any member."""


class DeletesIn(CommandIn, UnitsIn):
    """The query of a request that deletes."""


class View(APIView):
    """A door: reads JSON, calls one command or query, answers JSON."""

    without_body: tuple[str, ...] = ("DELETE",)
    """Methods that take no body."""
    any_query = False
    """True where unknown members of the query are ignored."""
    asked_query = False
    operation_suffix = ""
    """The end of an operation's id where two addresses would have the same id."""
    units = Units()
    clock_notices: Sequence[str] = ()

    parser_classes = (StrictJSON,)
    http_method_names = ["get", "head", "post", "put", "patch", "delete"]
    schema = Described()

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        if any("\x00" in value for value in kwargs.values() if isinstance(value, str)):
            raise Http404
        if "HTTP_TRANSFER_ENCODING" in request.META and not request.META.get("CONTENT_LENGTH"):
            raise LengthRequired
        super().initial(request, *args, **kwargs)
        if request.method in self.without_body:
            self.body(Nothing)
        if self.any_query:
            return
        if request.method in SAFE_METHODS:
            self._then_check_query(request.method.lower())
        else:
            self.query(DeletesIn if request.method == "DELETE" else UnitsIn)

    def _then_check_query(self, method: str) -> None:
        """Refuse a query that the handler of a read did not ask for, so that a mistyped filter is noticed."""
        none: Callable[..., Any] = self.http_method_not_allowed
        act = getattr(self, method, none)

        def run(request: Request, *args: Any, **kwargs: Any) -> Any:
            answer = act(request, *args, **kwargs)
            if not self.asked_query:
                self.query(Nothing)
            return answer

        setattr(self, method, run)

    def finalize_response(self, request: Request, response: Any, *args: Any, **kwargs: Any) -> Any:
        response.headers.setdefault("Cache-Control", "no-store")
        return super().finalize_response(request, response, *args, **kwargs)

    def body(self, shape: type[Shape]) -> dict[str, Any]:
        """Return the body, checked by its shape."""
        return checked(shape, self.request.data, in_body=True)

    def query(self, shape: type[Shape]) -> dict[str, Any]:
        """Return the query of the address, checked by its shape."""
        self.asked_query = True
        return checked(shape, self.request.query_params.dict(), in_body=False)

    def call(self, asked: dict[str, Any]) -> CommandContext:
        """Return the circumstances of this command; take them and the units out of what was asked."""
        self.clock_notices = clock_notices(self.request)
        if self.request.method != "DELETE":
            self.use_units(asked)
        return call_of(self.request, asked)

    def use_units(self, asked: dict[str, Any]) -> Units:
        """Set the units of this request, from body or address; take them out of what was asked."""
        told = {} if self.request.method == "GET" else self.query(UnitsIn)
        names = [name for name in ("unit", "temperature_unit") if name in asked]
        self.units = units_of(self.request.user, {**told, **{name: asked.pop(name) for name in names}})
        return self.units

    @property
    def with_money(self) -> bool:
        return bool(self.request.user.is_owner)


class FileView(View):
    """Gives a file, also to a client that takes nothing else; refusals are JSON whatever it asked for."""

    def perform_content_negotiation(self, request: Request, force: bool = False) -> tuple[BaseRenderer, str]:
        return JSONRenderer(), "application/json"

    def kept_file(self, content: bytes, content_type: str, *, version: str, **headers: str) -> HttpResponse:
        """Return a file that a client may keep, or 304 where its ``version`` is the one the client has."""
        etag = f'"{version}"'
        headers = {"ETag": etag, "Cache-Control": "private, no-cache", **headers}
        answer = HttpResponse(content, content_type=content_type, headers=headers)
        return get_conditional_response(self.request._request, etag=etag, response=answer)  # type: ignore[return-value]
