"""Pages of a list, by cursor: a row that is added or changed meanwhile neither repeats nor hides another."""

from collections.abc import Callable
from typing import Any

from django.db.models import QuerySet
from rest_framework.exceptions import NotFound
from rest_framework.pagination import CursorPagination
from rest_framework.request import Request

from jobs.api.kit.serializer_bases import USUAL_PAGE
from jobs.core.errors import Invalid


class NewestFirst(CursorPagination):
    """Pages by row key, newest first: keys follow the log. The view has checked ``limit``."""

    ordering = "-id"

    def get_page_size(self, request: Request) -> int:
        return int(request.query_params.get("limit", USUAL_PAGE))

    def decode_cursor(self, request: Request) -> Any:
        try:
            cursor = super().decode_cursor(request)
        except NotFound:
            raise self._unknown(request) from None
        if cursor and cursor.position is not None and not cursor.position.isdecimal():
            raise self._unknown(request)
        return cursor

    def _unknown(self, request: Request) -> Invalid:
        return Invalid(
            "not a cursor of this list",
            field="cursor",
            value=request.query_params["cursor"][:40],
            allowed="what next or previous gave",
        )


def page_of(rows: QuerySet[Any], request: Request, make: Callable[[list[Any]], list[Any]]) -> dict[str, Any]:
    """Return one page of rows as ``make`` shows them, with the addresses of its neighbours."""
    pages = NewestFirst()
    found = pages.paginate_queryset(rows, request)
    return {"next": pages.get_next_link(), "previous": pages.get_previous_link(), "results": make(found)}
