"""A long list by the page, the newest first."""

from typing import Any

from django.core.paginator import Page, Paginator
from django.http import HttpRequest

PER_PAGE = 40


def page_of(request: HttpRequest, rows: Any, per_page: int = PER_PAGE) -> Page[Any]:
    """The page that the address asks for; the first or the last where there is no such page."""
    return Paginator(rows, per_page).get_page(request.GET.get("page"))
