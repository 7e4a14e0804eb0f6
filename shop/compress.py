"""Compresses texts on the way to the browser."""

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware

TEXTS = ("text/", "application/json", "application/javascript", "image/svg+xml")


class CompressText(GZipMiddleware):
    """Compresses pages, styles and scripts. Other files are compressed already; a part of a file stays.

    It precedes the middleware that serves files, so that these need no compressed copy. A page's secrets are
    safe: Django pads compressed answers with a random length.
    """

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        kind = response.headers.get("Content-Type", "")
        if response.status_code == 206 or not kind.startswith(TEXTS):
            return response
        return super().process_response(request, response)
