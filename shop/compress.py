"""Texts go over the line compressed."""

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware

TEXTS = ("text/", "application/json", "application/javascript", "image/svg+xml")


class CompressText(GZipMiddleware):
    """Pages, styles and scripts. Pictures, papers and fonts are compressed already; a part of a file stays.

    Before the one that serves files, so that these need no compressed copy beside them. What a page says in
    secret is safe: Django pads compressed answers with a random length.
    """

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        kind = response.headers.get("Content-Type", "")
        if response.status_code == 206 or not kind.startswith(TEXTS):
            return response
        return super().process_response(request, response)
