"""Pages for a full disk and a damaged database."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

from jobs.core import disk_space
from jobs.log import database_damage


class Faults:
    """Middleware that shows these pages without the database or a session."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, raised: Exception) -> HttpResponse | None:
        if database_damage.is_damage(raised):
            database_damage.note(str(raised))
            return _page(request, "damaged", 503)
        return _page(request, "full", 507) if disk_space.is_full(raised) else None


def _page(request: HttpRequest, fault: str, status: int) -> HttpResponse:
    page = "client/shut.html" if request.path.startswith("/c/") else "web/fault.html"
    return HttpResponse(
        render_to_string(page, {"fault": fault, "code": "file-damaged", "status": status}), status=status
    )
