"""The words of the bench: why a job stands where it stands, by when, how long, and the way to it."""

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.dateformat import format as date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from jobs.domain.lookups import short_number
from jobs.domain.reminders.kinds import WAIT_KINDS
from jobs.web.commissions.next_action import office_url
from jobs.web.kit.formatting import (
    clock_words,
    day_words,
    hour_words,
    near_words,
    plain_day_words,
    range_words,
    span_words,
)
from jobs.web.kit.stored_translations import capital, translate_stored
from jobs.web.plan_why import why_words

Card = Mapping[str, Any]
MISSED = {
    "recoat": gettext_lazy("Missed, the coat has to be sanded back before the next."),
    "scrape": gettext_lazy("Missed, it sets hard and has to be planed off."),
    "wipe": gettext_lazy("Missed, the oil turns sticky."),
}
"""What it costs to miss the window of a kind of wait. Common practice, no source."""
WHY = {
    "closes": gettext_lazy("<b>First</b> because its window shuts soonest."),
    "safety": gettext_lazy("<b>First</b> because it can start a fire or do harm while nobody looks."),
    "suspect": gettext_lazy("<b>First</b> because nobody can say that it has set."),
    "asked": gettext_lazy("<b>First</b> because a figure is still missing and is soon forgotten."),
    "missed": gettext_lazy("<b>First</b> because its window has shut."),
    "planned": gettext_lazy("<b>First</b> because the plan has it now."),
    "frees clamps": gettext_lazy("<b>First</b> because it frees the clamps."),
    "promised": gettext_lazy("<b>First</b> because it is promised soonest."),
    "free": gettext_lazy("Nothing presses. This can be done any time."),
    "office": gettext_lazy("Nothing at the bench needs hands now."),
    "later": gettext_lazy("Hands are needed next then. Until then nothing waits for you."),
}
ICONS = {
    "client asked": "mail", "client approved": "ok", "client said yes": "ok", "client said no": "stop",
    "promise at risk": "flag",
    "promise off plan": "flag",
    "client not told": "mail", "deliver tomorrow": "truck", "payment due": "money", "supply low": "drop",
    "quote unanswered": "mail",
    "too cold": "air", "window opens": "half", "window closes soon": "wedge",
}  # fmt: skip
FAR_DAYS, WEEK_DAYS = 14, 5
LONG_H = 48


def shown_job(job: Card, now: datetime) -> dict[str, Any]:
    """Return a job with its headline, chip, reason, action and address."""
    return {
        **job,
        "says": _headline(job),
        "number": short_number(job["piece"] or job["commission"]),
        "name": job["label"] or job["commission_title"],
        "chip": _chip(job, now),
        "reason": _reason(job),
        "why_first": _why_first(job),
        "takes": hour_words(job["minutes"]),
        "by_plan": clock_words(job["planned_at"]) if job["planned_at"] else "",
        "action": _action(job),
        "url": _url(job),
        "worked": _worked(job),
    }


def _headline(job: Card) -> str:
    if job["kind"] == "wait":
        return _("Test what may not have set: %(title)s") % {"title": job["title"].lower()}
    if job["kind"] == "measure":
        return _("Fill in: %(what)s") % {"what": ", ".join(job["asks"]).lower()}
    if job["kind"] in ("office", "safety", "appointment"):
        return translate_stored(job["do"])
    return str(job["do"] or job["title"])


def _url(job: Card) -> str:
    if job["kind"] == "office":
        return office_url(dict(job), job["commission"])
    if job["kind"] == "safety":
        return f"#task-{job['task']}"
    if job["kind"] == "appointment":
        return reverse("web:date", args=[job["appointment"]])
    if job["kind"] == "wait":
        return reverse("web:end-wait", args=[job["wait"]])
    return reverse("web:stage", args=[job["piece"], job["stage"]])


def _action(job: Card) -> str:
    if job["kind"] == "office":
        return translate_stored(job["do"])
    if job["kind"] == "safety":
        return _("Answer")
    if job["kind"] == "appointment":
        return _("Open")
    if job["kind"] == "wait":
        return _("Test it")
    if job["kind"] == "measure":
        return _("Fill it in")
    if job["started_at"]:
        return _("Resume") if job["paused"] else _("Finish")
    return _("Open") if job["why"] == "later" else _("Start")


def _chip(job: Card, now: datetime) -> dict[str, Any]:
    """Return by when a job has to be done, or from when it can be: shape, words, and a moment to count to."""
    why, opens, closes = job["why"], job["opens_at"], job["closes_at"]
    if job["kind"] == "appointment":
        return _due("", "truck", _when(job, now))
    if why == "closes" and opens:
        return _due("opens", "half", range_words(opens, closes, now))
    if why == "closes":
        at = near_words(closes, now)
        return {**_due("closing", "wedge", _("closes %(at)s") % {"at": at}), "until": closes}
    if why == "later":
        if closes:
            return _due("opens", "half", range_words(opens, closes, now))
        return _due("", "clock", _("from about %(at)s") % {"at": near_words(opens, now)})
    if why == "under way":
        at = near_words(job["started_at"], now)
        return _due("", "clock", _("paused") if job["paused"] else _("since %(at)s") % {"at": at})
    fixed = {
        "safety": ("closing", "stop", _("now")),
        "suspect": ("closing", "stop", _("before you go on")),
        "asked": ("opens", "pen", _("still asked")),
        "missed": ("closing", "wedge", _("window closed")),
    }
    if why in fixed:
        return _due(*fixed[why])
    if why == "planned":
        return _due("", "plan", _("planned %(at)s") % {"at": near_words(job["planned_at"], now)})
    promise = job["promise_on"]
    if promise is None:
        return {}
    today = timezone.localtime(now).date()
    far = (promise - today).days > FAR_DAYS
    day = date_format(promise, "j M") if far else plain_day_words(promise, today)
    return _due("closing" if promise < today else "", "flag", _("promised %(day)s") % {"day": day})


def _when(job: Card, now: datetime) -> str:
    if job["starts_at"]:
        return near_words(job["starts_at"], now)
    return day_words(job["day"], timezone.localtime(now).date())


def _due(shape: str, icon: str, says: str) -> dict[str, Any]:
    return {"shape": shape, "icon": icon, "says": says}


def _reason(job: Card) -> str:
    """Return in a clause why a job comes before the next, where its chip does not say so."""
    if job["why"] == "planned" and (says := why_words(job["plan_why"], job["plan_about"])):
        return says
    if job["frees_clamps"]:
        return _("frees the clamps")
    if job["unlocks_h"] >= 1:
        return _("starts %(span)s of waiting") % {"span": _hours(job["unlocks_h"])}
    return _("at the desk") if job["kind"] == "office" else ""


def _hours(hours: float) -> str:
    if hours >= LONG_H:
        days = round(hours / 24)
        return ngettext("%(days)s day", "%(days)s days", days) % {"days": days}
    return span_words(timedelta(hours=round(hours)))


def _why_first(job: Card) -> SafeString:
    """Return why a job is the first, in a sentence, and what missing it costs."""
    if job["why"] == "planned" and (clause := why_words(job["plan_why"], job["plan_about"])):
        return format_html(_("<b>First</b> by the plan: {}."), clause)
    if job["why"] == "starts wait":
        says = _("<b>First</b> because %(span)s of waiting begin when it is done.") % {
            "span": _hours(job["unlocks_h"])
        }
    else:
        says = str(WHY.get(job["why"], ""))
    costs = str(MISSED.get(job["wait_kind"], "")) if job["why"] == "closes" else ""
    return mark_safe(f"{says} {costs}".strip())  # the shop's own words; nothing typed is in them


def _worked(job: Card) -> dict[str, Any] | None:
    """Return how long a job has been under way beside its usual time."""
    if not job["started_at"]:
        return None
    gone, usual = job["worked_min"] or 0, job["minutes"]
    share = min(100, round(100 * gone / usual)) if usual else None
    return {"gone": hour_words(gone), "usual": hour_words(usual), "share": share}


def at_work(jobs: Iterable[Card], names: Mapping[str, str]) -> list[dict[str, str]]:
    """Return who is at which job, by first name."""
    found: dict[str, list[str]] = {}
    for job in jobs:
        if job["started_by"] and not job["paused"]:
            name = names.get(job["started_by"], "").split(" ")[0]
            found.setdefault(name, []).append(short_number(job["piece"]))
    return [{"name": name, "at": ", ".join(numbers)} for name, numbers in found.items() if name]


def line_words(reminder: Card, now: datetime) -> dict[str, Any]:
    """Return a reminder on one line: its drawing, what it is about, what there is to say."""
    kind = WAIT_KINDS.get(reminder["kind"])
    if kind is None:
        return {"icon": ICONS.get(reminder["kind"], "bell"), "says": reminder["line"]}
    what = ", ".join(reminder["to_do"]) or reminder["title"]
    if kind.bench_closes and reminder["closes_at"]:
        says = _("%(what)s, until %(at)s") % {"what": what, "at": near_words(reminder["closes_at"], now)}
    else:
        at = near_words(reminder[kind.bench_time], now) if kind.bench_time else ""
        says = f"{what}: {kind.on_bench} {at}".strip()
    return {"icon": ICONS.get(reminder["kind"], "clock"), "says": says}


def week(view: Mapping[str, Any], now: datetime) -> list[dict[str, Any]]:
    """Return what ends on each of the next days: waits, windows, answers, promises."""
    today = timezone.localtime(now).date()
    days = [today + timedelta(days=n) for n in range(WEEK_DAYS)]
    found: dict[Any, list[tuple[str, str]]] = {day: [] for day in days}

    def put(day: Any, at: str, says: str) -> None:
        if day in found:
            found[day].append((at, says))

    for card in view["waiting"]:
        wait, what = card["wait"], ", ".join(card["to_do"]) or card["wait"]["title"]
        moment = wait["closes_at"] if wait["is_over"] else wait["ready_at"]
        if moment and moment > now:
            says = _("%(what)s: window closes") if wait["is_over"] else "%(what)s"
            words = f"{says % {'what': what}}, {short_number(card['piece'])}"
            put(timezone.localtime(moment).date(), clock_words(moment), words)
    for quote in view["with_clients"]:
        put(quote["valid_until"], "", _("Quote lapses: %(title)s") % {"title": quote["commission_title"]})
    for one in view["dates"]:
        what = f"{capital(translate_stored(one['kind']))} {short_number(one['commission'])}".strip()
        put(one["day"], clock_words(one["starts_at"]) if one["starts_at"] else "", what)
    for each in view["promises"]:
        told = {"title": each["commission_title"], "number": short_number(each["commission"])}
        put(each["promise_on"], "", _("Promised: %(title)s, %(number)s") % told)
    return [
        {
            "day": date_format(day, "D"),
            "date": day.day,
            "is_today": day == today,
            "rows": sorted(rows, key=lambda row: row[0].rjust(5)),  # what has no clock stands first
        }
        for day, rows in found.items()
    ]
