"""What changes would do to the promised days, in words."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.domain.lookups import short_number
from jobs.domain.promising.comparing import Comparison, Effect
from jobs.web.kit.formatting import plain_day_words

Words = dict[str, Any]


def shown_comparison(found: Comparison, titles: Mapping[str, str], today: date) -> Words:
    """Return the effects as rows, the most important sentence on top."""
    broken = [one for one in found.effects if one.is_broken]
    moved = [one for one in found.effects if one.days]
    return {
        "title": _title(found, broken, moved),
        "notes": [_not_planned(one.commission, one.why) for one in found.not_planned],
        "rows": [_row(one, titles, today) for one in found.effects],
    }


def _title(found: Comparison, broken: list[Effect], moved: list[Effect]) -> str:
    if broken:
        count = len(broken)
        says = ngettext(
            "%(count)s promise would no longer be kept", "%(count)s promises would no longer be kept", count
        )
        return says % {"count": count}
    late = next((one for one in found.effects if one.before is None and one.days_late), None)
    if not moved and late:
        says = ngettext(
            "%(number)s would be %(days)s day late, no other day moves",
            "%(number)s would be %(days)s days late, no other day moves",
            late.days_late,
        )
        return says % {"number": short_number(late.commission), "days": late.days_late}
    if not moved:
        return _("No day moves")
    count = len(moved)
    says = ngettext(
        "%(count)s commission moves, no other promise is broken",
        "%(count)s commissions move, no other promise is broken",
        count,
    )
    return says % {"count": count}


def _not_planned(commission: str, why: str) -> str:
    return _("%(number)s cannot be planned then: %(why)s.") % {"number": short_number(commission), "why": why}


def _row(one: Effect, titles: Mapping[str, str], today: date) -> Words:
    title = titles.get(one.commission, "")
    short = short_number(one.commission)
    return {
        "short": short,
        "title": title.removeprefix(f"{short} "),
        "before": one.before,
        "after": one.after or one.before,
        "moved": bool(one.days) and one.before is not None,
        "late": bool(one.days_late),
        "promise": _promise(one, today),
        "says": _moves(one),
    }


def _promise(one: Effect, today: date) -> str:
    if one.promised is None:
        return _("nothing promised")
    day = plain_day_words(one.promised, today)
    if not one.days_late:
        return _("promised %(day)s") % {"day": day}
    says = ngettext(
        "promised %(day)s, %(days)s day late", "promised %(day)s, %(days)s days late", one.days_late
    )
    return says % {"day": day, "days": one.days_late}


def _moves(one: Effect) -> str:
    if one.after is None:
        return _("not planned then")
    if one.before is None:
        return _("new in the plan")
    if not one.days:
        return _("as planned")
    days = abs(one.days)
    if one.days < 0:
        return ngettext("%(days)s day earlier", "%(days)s days earlier", days) % {"days": days}
    return ngettext("%(days)s day later", "%(days)s days later", days) % {"days": days}
