"""The first opening of a client's page by the link of a mail."""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from jobs.domain.clients.portal_links import note_opening
from jobs.models import ClientLink
from jobs.web.clients.portal import by_link, check_mark


@by_link("POST")
def opened(request: HttpRequest, link: ClientLink, token: str) -> HttpResponse:
    """Keep that a person opened the page; its script says so once somebody scrolls, touches or types.

    Programs that only follow the links of a mail do none of it.
    """
    check_mark(request.POST.get("mark", ""), link)
    note_opening(link, now=timezone.now())
    return HttpResponse(status=204)
