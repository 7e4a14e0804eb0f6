"""A long list in pages, the newest first."""

from typing import Any

from django.core.paginator import Page, Paginator
from django.http import HttpRequest

PER_PAGE = 40


def page_of(request: HttpRequest, rows: Any, per_page: int = PER_PAGE) -> Page[Any]:
    """Return the requested page; the first or the last where it does not exist."""
    return Paginator(rows, per_page).get_page(request.GET.get("page"))
