"""The calendar feed, open to whoever has its link."""

from datetime import timedelta

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.http import quote_etag
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from jobs.domain.reminders.feeds.calendar import shown_to
from jobs.domain.reminders.feeds.ical import feed
from jobs.domain.settings import profile
from jobs.domain.workshop.accounts import find_token, note_use, token_hash
from jobs.log.private_texts import read
from jobs.models import Event
from jobs.models.people import Scope
from jobs.web.kit.access import anyone
from jobs.web.kit.responses import unless_it_has_it

USE_NOTED_EVERY = timedelta(hours=1)


@anyone
@require_safe
def calendar_feed(request: HttpRequest, token: str) -> HttpResponse:
    """Return the person's feed; 404 for an unknown or revoked link."""
    found = find_token(token)
    if found is None or found.scope != Scope.CALENDAR:
        raise Http404
    now = timezone.now()
    note_use(found, now=now, every=USE_NOTED_EVERY)
    entries = shown_to(owner=found.person.is_owner, now=now, person=found.person_id)
    first = Event.objects.filter(seq=1).values_list("hash", flat=True).first() or "empty"
    shop = profile()
    name = (read(shop.name_ref) if shop else "") or _("Shop")
    zone = timezone.get_default_timezone()
    content = feed(entries, shop=f"{first[:16]}.shop-log", zone=zone, name=name)
    answer = HttpResponse(content, content_type="text/calendar; charset=utf-8")
    answer["ETag"] = quote_etag(token_hash(content.decode("utf-8"))[:32])
    answer["Content-Disposition"] = 'inline; filename="shop.ics"'
    answer["X-Robots-Tag"] = "noindex"
    return unless_it_has_it(request, answer)
