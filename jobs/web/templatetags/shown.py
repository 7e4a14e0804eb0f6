"""Template filters; ``formatting`` and ``stored_translations`` of ``jobs.web.kit`` hold their words."""

import re
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django import template
from django.template import Context
from django.templatetags.static import static
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from calcs.kit.units import UNITS_PER_INCH
from jobs.domain.lookups import short_number
from jobs.models import Commission, Person
from jobs.web.kit import formatting, stored_translations, unset
from jobs.web.kit.own_units import own_units
from jobs.web.kit.undo import take_offer

FRACTION = re.compile(r"(\d+/\d+)")
register = template.Library()


PLACES = {
    "bench": ("/bench/",),
    "plan": ("/plan/", "/day/"),
    "rack": ("/stock/",),
    "commissions": (
        "/commissions/",
        "/pieces/",
        "/offers/",
        "/papers/",
        "/payments/",
        "/waits/",
        "/pictures/",
    ),
}
"""The addresses that lie in each place of the head; every other one lies in the office."""


@register.simple_tag
def icon(name: str, *classes: str) -> SafeString:
    """Return a drawing of ``icons.svg``; the words beside it say what it means."""
    drawing = f"{static('web/icons.svg')}#{name}"
    says = '<svg class="{}" aria-hidden="true"><use href="{}"/></svg>'
    return format_html(says, " ".join(("ic", *classes)), drawing)


@register.simple_tag
def tax_name() -> str:
    """Return what the shop calls its tax."""
    return stored_translations.told_tax()


@register.simple_tag(takes_context=True)
def here(context: Context, place: str) -> str:
    """Return the mark of the link to the place that the page lies in."""
    path = str(context["request"].path)
    lies_in = (
        "bench" if path == "/" else next((p for p, at in PLACES.items() if path.startswith(at)), "office")
    )
    return mark_safe(' aria-current="true"') if lies_in == place else ""


@register.inclusion_tag("web/parts/still_to_set.html", takes_context=True)
def still_to_set(context: Context, purpose: str) -> dict[str, Any]:
    """Show the owner what papers or mails still lack."""
    return {"missing": list(unset.still_to_set(purpose, context["request"].user))}


@register.inclusion_tag("web/parts/demo_line.html", takes_context=True)
def demo_line(context: Context) -> dict[str, Any]:
    """Show the owner that this is the demo, and the way out of it."""
    request = context.get("request")
    person = getattr(request, "user", None)
    session = getattr(request, "session", {})
    return {"in_demo": bool(person and person.is_authenticated and person.is_owner and session.get("demo"))}


@register.filter
def initials(person: Person) -> str:
    """Return the first letters of the first and the last word of a person's name."""
    words = str(person).split()
    return "".join(word[0] for word in (words[:1] + words[1:][-1:])).upper()


@register.filter
def length_for(units: int | None, person: Person) -> str:
    return "" if units is None else formatting.length_words(units, person)


@register.filter
def other_length_for(units: int | None, person: Person) -> str:
    return "" if units is None else formatting.other_length_words(units, person)


@register.filter
def amount_for(need: dict[str, Any], person: Person) -> str:
    return formatting.amount_words(need["amount"], need["unit"], person)


@register.filter
def warmth_for(celsius: Decimal | float | None, person: Person) -> str:
    """Return a temperature in the person's unit; empty for None."""
    return "" if celsius is None else formatting.temperature_words(Decimal(str(celsius)), person)


@register.filter
def own_units_for(text: str, person: Person) -> str:
    """Return the text with each figure in the person's own unit alone."""
    return own_units(str(text), person)


@register.filter
def fractions(text: str) -> SafeString:
    """Return the text with its fractions in markup."""
    parts = FRACTION.split(str(text))
    spans = (
        (p if n % 2 == 0 else format_html('<span class="frac">{}</span>', p),) for n, p in enumerate(parts)
    )
    return format_html_join("", "{}", spans)


@register.filter
def moment(at: datetime | None) -> SafeString | str:
    """Return a moment as a ``time`` element, in words on the shop's clock."""
    if at is None:
        return ""
    return format_html(
        '<time datetime="{}">{}</time>', at.isoformat(), formatting.moment_words(at, timezone.now())
    )


@register.filter
def near(at: datetime | None) -> str:
    """Return a moment as one says it, without the word "today"."""
    return formatting.near_words(at, timezone.now())


@register.filter
def short(number: str) -> str:
    """Return the short number of a commission or a piece."""
    return short_number(number)


@register.filter
def full_day(day: date | None) -> str:
    return "" if day is None else formatting.full_day_words(day, timezone.localdate())


@register.filter
def plain_day(day: date | None) -> str:
    return "" if day is None else formatting.plain_day_words(day, timezone.localdate())


@register.filter
def is_promised(row: dict[str, Any]) -> bool:
    """Return whether the promise is still open: the commission is neither delivered nor ended."""
    return row["promise_on"] is not None and row["step"] in Commission.UNDELIVERED


@register.filter
def short_day(day: date) -> str:
    return formatting.day_words(day, timezone.localdate())


@register.filter
def near_day(at: datetime | None) -> str:
    """Return the day of a moment: "today", "Thu", else "3 Nov"."""
    return "" if at is None else short_day(timezone.localtime(at).date())


@register.filter
def late(day: date | None) -> bool:
    return day is not None and day < timezone.localdate()


@register.filter
def ago(at: datetime) -> str:
    return formatting.span_words(timezone.now() - at)


@register.filter
def money(amount: Decimal | str | None, currency: str) -> str:
    return formatting.money_words(amount, currency)


@register.filter
def hours(minutes: float | None) -> str:
    return formatting.hour_words(minutes)


@register.filter
def more_or_less(minutes: float) -> str:
    """Return a difference of minutes with its sign: "+ 45 min", "− 3 h"."""
    return f"{'−' if minutes < 0 else '+'} {formatting.hour_words(abs(minutes))}" if minutes else "0 min"


@register.filter
def number(value: Any) -> str:
    return formatting.number_words(value)


@register.filter
def each(price: Decimal | str) -> str:
    return formatting.each_words(price)


@register.filter
def not_counted(basis: dict[str, Any]) -> int:
    """Return how many of the pieces' materials a proposed price leaves out."""
    return sum(len(piece.get("not_counted", [])) for piece in basis.get("pieces", []))


@register.filter
def named(names: dict[str, str], key: str) -> str:
    return names.get(key, key)


@register.filter
def told(word: str) -> str:
    """Return a stored word in the language of the page."""
    return stored_translations.translate_stored(word)


@register.filter
def first_line(text: str) -> str:
    return text.partition("\n")[0]


@register.filter
def capital(text: str) -> str:
    """Return the text with a capital first letter and the rest unchanged."""
    return stored_translations.capital(text)


@register.filter
def dashed(letters: str) -> str:
    """Return the letters of two strips as they are written: *A–B*."""
    return letters.replace("-", "–")


@register.filter
def stopwatch(seconds: int) -> str:
    """Return a span as a stopwatch shows it."""
    return formatting.stopwatch_words(seconds)


@register.simple_tag
def countdown(at: datetime, before: str = "in", after: str = "since") -> SafeString:
    """Return the time until or since a moment; the page's script updates it."""
    left = at - timezone.now()
    word, span = (before, left) if left.total_seconds() > 0 else (after, -left)
    return format_html(
        '<span class="count" data-until="{}" data-before="{}" data-after="{}">{} {}</span>',
        at.isoformat(),
        before,
        after,
        word,
        formatting.span_words(span),
    )


@register.inclusion_tag("web/parts/undo.html", takes_context=True)
def undo(context: Context) -> dict[str, Any]:
    """Show once what was done last, with its undo; nothing on a page that a phone fetches to keep."""
    request = context.get("request")  # the page of a fault has none
    shows = request is not None and "For-Later" not in request.headers
    return {
        "offer": take_offer(request) if request and shows else None,
        "csrf_token": context.get("csrf_token"),
    }


@register.filter
def thumb_size(wood: dict[str, Any]) -> tuple[int, int]:
    """Return width and height of a thumbnail [px]: 12 ft is 80 px, and all fit into 84 by 46."""
    long, wide = (wood[name] / UNITS_PER_INCH for name in ("length_len", "width_len"))
    scale = min(80 / 144, 84 / long, 46 / wide)
    return max(4, round(long * scale)), max(3, round(wide * scale))


@register.filter
def hero_size(wood: dict[str, Any]) -> tuple[int, int]:
    """Return width and height of the large picture [px]: at most 560 by 240."""
    scale = min(560 / wood["length_len"], 240 / wood["width_len"])
    return round(wood["length_len"] * scale), round(wood["width_len"] * scale)


@register.filter
def days_off(day: date) -> str:
    """Return how far off a day is: "in 13 days"."""
    return formatting.days_off_words(day, timezone.localdate())
