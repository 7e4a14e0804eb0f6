"""Files of a client's page: pictures, the drawn wood, papers."""

from django.http import Http404, HttpRequest, HttpResponse

from jobs.core import blobs
from jobs.domain import lookups
from jobs.domain.notes.images import thumbnail
from jobs.domain.notes.picture_queries import file_of
from jobs.domain.overviews.client_portal import the_shown_picture
from jobs.domain.overviews.client_portal_papers import the_shown_paper
from jobs.models import ClientLink
from jobs.web.clients.portal import by_link
from jobs.web.kit.access import shows_pdf
from jobs.web.pieces.wood import wood_picture


@by_link("GET", "HEAD")
def wood(request: HttpRequest, link: ClientLink, token: str, *, piece: str) -> HttpResponse:
    """Return the drawn wood of a piece of this commission."""
    found = lookups.piece(piece)
    if found.commission.number != link.commission:
        raise Http404
    return wood_picture(request, found)


@by_link("GET", "HEAD")
def image(request: HttpRequest, link: ClientLink, token: str, *, picture: int, size: str) -> HttpResponse:
    """Return a picture that the shop chose for the client."""
    name = file_of(the_shown_picture(link.commission, picture))
    content = thumbnail(name) if size == "small" else blobs.load(name)
    return HttpResponse(content, content_type="image/jpeg")


@shows_pdf
@by_link("GET", "HEAD")
def pdf(request: HttpRequest, link: ClientLink, token: str, *, paper: str) -> HttpResponse:
    """Return the file of a paper that the client may see."""
    found = the_shown_paper(link.commission, paper)
    answer = HttpResponse(blobs.load(found.file_sha256, of=found.number), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{found.number}.pdf"'
    return answer
