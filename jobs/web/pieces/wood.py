"""The drawn wood of a piece, as a picture."""

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from jobs.domain import lookups
from jobs.domain.pieces.wood import thumb_of, wood_drawing
from jobs.models import Piece
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.responses import unless_it_has_it

FOR_GOOD = f"private, max-age={365 * 24 * 3600}, immutable"


@worker
@require_safe
def wood(request: SignedIn, number: str) -> HttpResponse:
    """Return the top of a piece as SVG: whole, or with ``small`` as a thumbnail."""
    return wood_picture(request, lookups.piece(number))


def wood_picture(request: HttpRequest, piece: Piece) -> HttpResponse:
    """Return the drawn wood of a piece, which a browser keeps for good where the address has its version."""
    thumb, small = thumb_of(piece), "small" in request.GET
    if thumb is None:
        raise Http404
    etag = f'"{thumb["version"]}-{"small" if small else "whole"}"'
    answer = HttpResponse(content_type="image/svg+xml", headers={"ETag": etag})
    is_newest = request.GET.get("v") == thumb["version"]
    answer["Cache-Control"] = FOR_GOOD if is_newest else "private, no-cache"
    if request.headers.get("If-None-Match") != etag:
        answer.content = wood_drawing(piece, small=small) or ""
    return unless_it_has_it(request, answer)
