"""Compresses texts on the way to the browser."""

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware

TEXTS = ("text/", "application/json", "application/javascript", "image/svg+xml")


class _Files(GZipMiddleware):
    """Compresses files that everybody may read: they hold no secret that a length could tell."""

    max_random_bytes = 0


class CompressText(GZipMiddleware):
    """Compresses pages, styles and scripts. Other files are compressed already; a part of a file stays.

    It precedes the middleware that serves files, so that these need no compressed copy. A page's secrets are
    safe: Django pads compressed answers with a random length.
    """

    def __init__(self, get_response: Callable[..., Any]) -> None:
        super().__init__(get_response)
        self.files = _Files(get_response)

    def process_request(self, request: HttpRequest) -> None:
        """Take the mark of a compressed file for that of the file, so that nobody is sent it again."""
        if request.path.startswith(settings.STATIC_URL) and "HTTP_IF_NONE_MATCH" in request.META:
            request.META["HTTP_IF_NONE_MATCH"] = request.META["HTTP_IF_NONE_MATCH"].removeprefix("W/")

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        is_file = request.path.startswith(settings.STATIC_URL)
        if is_file:
            response.headers.pop("Cross-Origin-Opener-Policy", None)  # a file opens no windows
        kind = response.headers.get("Content-Type", "")
        if response.status_code == 206 or not kind.startswith(TEXTS):
            return response
        if is_file:
            return self.files.process_response(request, response)
        return super().process_response(request, response)
