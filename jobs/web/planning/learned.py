"""The page of how promises and plans were kept."""

from datetime import date
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from jobs.domain.lookups import short_number
from jobs.domain.promising.learned import (
    LEAST_PROMISES,
    Compared,
    Kept,
    Shares,
    kept_promises,
    shares_of,
    stage_titles,
    work_by_kind,
    work_by_week,
)
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Commission
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.formatting import plain_day_words
from jobs.web.kit.pagination import page_of

Words = dict[str, Any]


@worker
@require_safe
def learned(request: SignedIn) -> HttpResponse:
    """Show how often promises were kept, and planned hours against done ones."""
    kept, today = kept_promises(), timezone.localdate()
    shares, titles = shares_of(kept), stage_titles()
    page = page_of(request, kept)
    page.object_list = _rows(list(page.object_list), today)
    context = {
        "shares": shares,
        "odds": _odds(shares),
        "too_few": _too_few(shares),
        "page": page,
        "kinds": [_compared(one, titles.get(one.about, one.about)) for one in work_by_kind()],
        "weeks": [_compared(one, _week(one.about)) for one in work_by_week()],
    }
    return render(request, "web/planning/learned.html", context)


def _odds(shares: Shares) -> list[Words]:
    return [
        {
            "title": title,
            "says": _("%(count)s of %(all)s") % {"count": count, "all": shares.told},
            "more": _("%(pct)s %% of the time") % {"pct": round(100 * count / max(shares.told, 1))},
        }
        for title, count in (
            (_("Ready by the 1 in 2 day"), shares.by_half),
            (_("Ready by the 8 in 10 day"), shares.by_eight_of_ten),
            (_("Ready by the 19 in 20 day"), shares.by_nineteen_of_twenty),
        )
    ]


def _too_few(shares: Shares) -> str:
    if not shares.told:
        says = _("The plan told its odds for none of these yet. From %(least)s on, they are compared here.")
        return says % {"least": LEAST_PROMISES}
    says = ngettext(
        "The plan told its odds for %(count)s commission here. From %(least)s on, they are compared.",
        "The plan told its odds for %(count)s commissions here. From %(least)s on, they are compared.",
        shares.told,
    )
    return says % {"count": shares.told, "least": LEAST_PROMISES}


def _rows(kept: list[Kept], today: date) -> list[Words]:
    found = {one.number: one for one in Commission.objects.filter(number__in=[k.commission for k in kept])}
    texts = Texts(refs_of(found.values()))
    return [
        {
            "number": one.commission,
            "short": short_number(one.commission),
            "title": texts[found[one.commission].title_ref],
            "ready": one.ready_on,
            "promised": _("promised %(day)s") % {"day": plain_day_words(one.promised, today)},
            "late": not one.is_kept,
            "says": _over(one.days_over),
        }
        for one in kept
    ]


def _over(days: int) -> str:
    if days > 0:
        return ngettext("%(days)s day late", "%(days)s days late", days) % {"days": days}
    if days:
        return ngettext("%(days)s day early", "%(days)s days early", -days) % {"days": -days}
    return _("on the day")


def _compared(one: Compared, title: str) -> Words:
    return {
        "title": title,
        "planned": _hours(one.planned_min),
        "done": _hours(one.done_min),
        "count": one.stages,
    }


def _week(monday: str) -> str:
    return _("week of %(day)s") % {"day": date_format(date.fromisoformat(monday), "j M")}


def _hours(minutes: int) -> str:
    return _("%(hours)s h") % {"hours": f"{minutes / 60:.1f}"}
