"""All waits on one time axis: a ruled scale with now on it and a row for each wait, as numbers."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.domain.overviews.jobs import OPENS, SHUTS
from jobs.web.kit.formatting import clock_words, near_words, range_words
from jobs.web.kit.stored_translations import capital
from jobs.web.stages.wait_progress import cold_standing, has_moved

SPAN_H = 48
"""Hours that the axis shows; a phone shows ``PHONE_H`` of them."""
PHONE_H, BEFORE_H = 32, 6
"""Hours on a phone, and how many of them lie before now."""
EARLIEST, LATEST = -20.0, 80.0
"""A row's drawing ends here; it is cut at the edges of the axis anyway."""
CROWDED_H, COVERS_H = 2.5, 6.5
"""An hour's figure this near to now gives way to the clock."""
LOOKS = {
    **dict.fromkeys(("scrape", "unclamp", "machine", "surface", "inserts"), "joint"),
    **dict.fromkeys(("recoat", "full", "wipe", "grain", "steel"), "coat"),
    **dict.fromkeys(("settle", "rest"), "stock"),
}
"""What a wait's drawing shows: glue between two boards, a coat on one, boards on stickers."""
TITLES = {
    "scrape": gettext_lazy("Squeeze-out"), "unclamp": gettext_lazy("Glue, clamps on"),
    "machine": gettext_lazy("Glue curing"), "surface": gettext_lazy("Joint moisture leaving"),
    "recoat": gettext_lazy("Coat drying"), "full": gettext_lazy("Finish curing"),
    "settle": gettext_lazy("Boards settling"), "rest": gettext_lazy("Boards resting"),
}  # fmt: skip
"""Short words for the kinds of wait of the shop's own routes; another has its title."""
SCRAPE, UNCLAMP = "scrape", "unclamp"
Card = Mapping[str, Any]


@dataclass(frozen=True)
class Axis:
    """The axis from a moment on; positions are hours."""

    start: datetime

    @classmethod
    def around(cls, now: datetime) -> "Axis":
        """Return the axis that begins as the shop shut on the day before."""
        day_before = timezone.localtime(now) - timedelta(days=1)
        return cls(day_before.replace(hour=SHUTS, minute=0, second=0, microsecond=0).astimezone(UTC))

    def at(self, moment: datetime) -> float:
        """Return where a moment lies [h], within what can be drawn."""
        return max(EARLIEST, min(LATEST, (moment - self.start) / timedelta(hours=1)))


def wait_axis(cards: Iterable[Card], now: datetime) -> dict[str, Any]:
    """Return what ``web/parts/waits.html`` draws: the ruler and a row for each wait, the next end first.

    A card has ``wait`` (a wait view), ``piece``, ``label`` and, where known, ``wood``. A wait for squeeze-out
    is drawn under the clamps of the same glue-up, as a thin window. What lies with a client has no wait:
    ``wait`` is None, ``says``, ``url``, ``since`` and ``until`` stand on the card.
    """
    axis = Axis.around(now)
    rows = [_row(axis, card, thin, now) for card, thin in _paired(cards)]
    at = axis.at(now)
    return {
        "span": SPAN_H,
        "dusk": 0,
        "dark": OPENS + 24 - SHUTS,
        "from": max(0, min(SPAN_H - PHONE_H, int(at) - BEFORE_H)),
        "start": axis.start,
        "now": _number(at),
        "clock": clock_words(now),
        "days": [_day(axis.at(day.astimezone(UTC)), at, day) for day in _days(axis)],
        "hours": [(_number(h), words) for h, words in _hours(axis) if abs(h - at) > CROWDED_H],
        "rows": sorted(rows, key=lambda row: row["next_at"]),
    }


def _days(axis: Axis) -> list[datetime]:
    """Return the midnights on the axis."""
    first = timezone.localtime(axis.start).replace(hour=0)
    return [first + timedelta(days=n) for n in (1, 2)]


def _day(midnight: float, now: float, day: datetime) -> tuple[str, str, bool]:
    """Return where a day begins, its words where the clock leaves room, and whether they have to clear it."""
    covered = 0 <= now - midnight < COVERS_H
    return _number(midnight), "" if covered else date_format(day, "D j"), 0 < midnight - now < CROWDED_H


def _hours(axis: Axis) -> list[tuple[float, str]]:
    """Return the figures of the hours between the days."""
    marks = [day + timedelta(hours=h) for day in _days(axis) for h in (6, 12, 18)]
    found = [(axis.at(moment.astimezone(UTC)), str(moment.hour)) for moment in marks]
    return [(at, hour) for at, hour in found if at < SPAN_H]


def _paired(cards: Iterable[Card]) -> list[tuple[Card, Card | None]]:
    """Return each card with the wait for the squeeze-out of the same glue-up, which then has no row."""
    cards = list(cards)
    thin = {_made(card): card for card in cards if card["wait"] and card["wait"]["kind"] == SCRAPE}
    clamps = {_made(card) for card in cards if card["wait"] and card["wait"]["kind"] == UNCLAMP}
    alone = [c for c in cards if not (c["wait"] and c["wait"]["kind"] == SCRAPE and _made(c) in clamps)]
    return [
        (card, thin.get(_made(card)) if card["wait"] and card["wait"]["kind"] == UNCLAMP else None)
        for card in alone
    ]


def _made(card: Card) -> tuple[str, str]:
    return card["piece"], card["wait"]["made_by"]


def _row(axis: Axis, card: Card, thin: Card | None, now: datetime) -> dict[str, Any]:
    wait = card["wait"]
    if wait is None:
        return _of_client(axis, card, now)
    ready, closes = wait["ready_at"], wait["closes_at"]
    soonest, latest = wait["earliest_at"] or ready, wait["latest_at"] or ready
    open_now = bool(closes and wait["is_over"])
    under = thin["wait"] if thin else None
    return {
        "says": _title(wait),
        "about": card["label"],
        "piece": card["piece"],
        "url": _url(card["piece"], wait),
        "hot": wait["suspect"] or wait["is_missed"],
        "note": _note(wait, now),
        "cold": bool(cold_standing(wait, now)),
        **dict(zip(("at", "under"), _words(wait, soonest, latest, now), strict=True)),
        "bar": None if open_now else _bar(axis, wait, card, soonest, latest, now),
        "window": _window(axis, ready, closes, now) if closes and not wait["suspect"] else None,
        "thin": _window(axis, under["ready_at"], under["closes_at"], now) if under else None,
        "next_at": (closes if open_now else ready) or now + timedelta(days=3650),
    }


def _title(wait: Mapping[str, Any]) -> str:
    if wait.get("panel"):
        return _("Glue, panel %(panel)s") % {"panel": wait["panel"].replace("-", "–")}
    return str(TITLES.get(wait["kind"], wait["title"]))


def _url(piece: str, wait: Mapping[str, Any]) -> str:
    """Return the page where something can be done about a wait."""
    if wait["suspect"] or not wait["holds"]:
        return reverse("web:end-wait", args=[wait["id"]])
    return reverse("web:stage", args=[piece, wait["holds"][0]])


def _words(
    wait: Mapping[str, Any], soonest: datetime | None, latest: datetime | None, now: datetime
) -> tuple[str, str]:
    """Return the moment that counts and a few words under it."""
    ready, closes = wait["ready_at"], wait["closes_at"]
    if wait["suspect"]:
        return _("test it"), _("it may not have set")
    if ready is None:
        return _("when it is done"), _("nobody can say when")
    if wait["is_missed"]:
        return near_words(closes, now), _("window closed")
    if wait["is_over"]:
        return (
            (near_words(closes, now), _("window closes")) if closes else (_("ready"), near_words(ready, now))
        )
    if wait["paused"]:
        return near_words(wait["likely_at"] or ready, now), _("too cold, stands still")
    said = range_words(soonest, latest, now) if soonest and latest and soonest < latest else ""
    return near_words(wait["likely_at"] or ready, now), said


def _note(wait: Mapping[str, Any], now: datetime) -> str:
    """Return what the air does to a wait: too cold for it, or its time moved and why; else nothing."""
    cold = cold_standing(dict(wait), now)
    if cold == "paused":
        return _("Too cold: it stands still until it is warmer around it.")
    if cold == "ahead":
        at = near_words(wait["cold_at"], now)
        return _("Too cold from %(at)s on: heat the shop, or move it where it stays warm.") % {"at": at}
    if has_moved(dict(wait)):
        moved = {
            "why": capital(wait["reason"] or _("by the air measured")),
            "first": near_words(wait["first_told_at"], now),
            "now": near_words(wait["ready_at"], now),
        }
        return _("%(why)s: %(first)s → %(now)s") % moved
    return ""


def _bar(
    axis: Axis,
    wait: Mapping[str, Any],
    card: Card,
    soonest: datetime | None,
    latest: datetime | None,
    now: datetime,
) -> dict[str, Any]:
    """Return the cross-section from the start of a wait to its latest end."""
    a, b = axis.at(wait["since"]), axis.at(latest) if latest else LATEST
    b = max(b, a + 0.25)
    look = LOOKS.get(wait["kind"], "stock")
    share = 100.0 if look == "stock" else _share(axis.at(now), a, b)
    maybe = _share(axis.at(soonest), a, b) if soonest and not wait["suspect"] and b < LATEST else None
    return {
        "a": _number(a),
        "b": _number(b),
        "look": look,
        "wood": (card.get("wood") or {}).get("look", ""),
        "set": _number(share),
        "maybe": None if maybe is None else _number(maybe),
    }


def _window(
    axis: Axis, opens: datetime | None, closes: datetime | None, now: datetime
) -> dict[str, Any] | None:
    """Return the wedge of a window that narrows until it shuts."""
    if opens is None or closes is None:
        return None
    a, b = axis.at(min(opens, closes)), axis.at(closes)
    return {"a": _number(a), "b": _number(b), "gone": _number(_share(axis.at(now), a, b))}


def _of_client(axis: Axis, card: Card, now: datetime) -> dict[str, Any]:
    """Return the row of what lies with a client, as a sheet of paper."""
    since, until = card["since"], card["until"]
    a, b = axis.at(since), axis.at(until) if until else LATEST
    return {
        "says": card["says"],
        "about": card["label"],
        "piece": card["piece"],
        "url": card["url"],
        "hot": bool(until and until < now),
        "at": near_words(until, now) if until else "",
        "under": _("sent %(day)s") % {"day": near_words(since, now)},
        "bar": {
            "a": _number(a),
            "b": _number(max(b, a + 0.25)),
            "look": "paper",
            "wood": "",
            "set": _number(_share(axis.at(now), a, b)),
            "maybe": None,
        },
        "window": None,
        "thin": None,
        "next_at": until or now + timedelta(days=3650),
    }


def _share(at: float, a: float, b: float) -> float:
    """Return how far a position lies between two others [%]."""
    return max(0.0, min(100.0, 100 * (at - a) / (b - a))) if b > a else 100.0


def _number(value: float) -> str:
    """Return a number for a style: with a point in every language."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
