"""The days ahead, each with what lies on it. Days of work are not planned yet."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _

from jobs.domain.lookups import short_number
from jobs.web.kit.formatting import clock_words
from jobs.web.kit.stored_translations import capital, translate_stored

DAYS_AHEAD = 21
Row = dict[str, Any]


def plan_days(view: Mapping[str, Any], now: datetime) -> list[Row]:
    """Return the days ahead that hold something, today always; what is over and open lies on today."""
    today = timezone.localtime(now).date()
    found: dict[date, list[Row]] = {today + timedelta(days=n): [] for n in range(DAYS_AHEAD + 1)}

    def put(day: date | None, row: Row) -> None:
        if day is not None and day <= today + timedelta(days=DAYS_AHEAD):
            found[max(day, today)].append(row)

    for one in view["dates"]:
        put(one["day"], _date_row(one))
    for card in view["waiting"]:
        wait = card["wait"]
        moment = wait["closes_at"] if wait["is_over"] else wait["ready_at"]
        if moment:
            put(timezone.localtime(moment).date(), _wait_row(card, moment))
    for each in view["promises"]:
        put(each["promise_on"], _promise_row(each, today))
    return [
        {"is_today": day == today, "name": _name(day, today), "rows": sorted(rows, key=_clock)}
        for day, rows in found.items()
        if rows or day == today
    ]


def _name(day: date, today: date) -> str:
    near = {today: _("Today"), today + timedelta(days=1): _("Tomorrow")}
    return f"{near[day]}, {date_format(day, 'D j M')}" if day in near else date_format(day, "l j F")


def _clock(row: Row) -> str:
    return str(row["at"]).rjust(5)


def _date_row(one: Mapping[str, Any]) -> Row:
    about = f"{short_number(one['commission'])} {one['commission_title']}" if one["commission"] else ""
    return {
        "at": clock_words(one["starts_at"]) if one["starts_at"] else "",
        "icon": "truck",
        "says": capital(translate_stored(one["kind"])),
        "about": about or one["place"],
        "url": reverse("web:date", args=[one["id"]]),
    }


def _wait_row(card: Mapping[str, Any], moment: datetime) -> Row:
    wait = card["wait"]
    what = ", ".join(card["to_do"]) or wait["title"]
    held = wait["holds"]
    return {
        "at": clock_words(moment),
        "icon": "wedge" if wait["is_over"] else "clock",
        "says": _("%(what)s: window closes") % {"what": what} if wait["is_over"] else what,
        "about": f"{short_number(card['piece'])} {card['label']}",
        "url": reverse("web:stage", args=[card["piece"], held[0]])
        if held
        else reverse("web:end-wait", args=[wait["id"]]),
    }


def _promise_row(each: Mapping[str, Any], today: date) -> Row:
    late = each["promise_on"] < today
    return {
        "at": "",
        "icon": "flag",
        "says": _("Promised, and late") if late else _("Promised"),
        "about": f"{short_number(each['commission'])} {each['commission_title']}",
        "url": reverse("web:commission", args=[each["commission"]]),
        "late": late,
    }
