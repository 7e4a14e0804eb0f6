"""Times, spans, lengths and money in the words of a screen."""

from datetime import date, datetime, timedelta
from decimal import Decimal

from django.utils import timezone

from calcs.amounts import format_temperature
from calcs.units import format_length
from jobs.models import Person

DAY_WORDS = {0: "today", -1: "yesterday", 1: "tomorrow"}
WEEK = 6


def length_words(units: int, person: Person) -> str:
    """A length in the person's unit."""
    return format_length(units, person.unit)


def other_length_words(units: int, person: Person) -> str:
    """The same length in the other unit."""
    return format_length(units, "mm" if person.unit == "in" else "in")


def temperature_words(celsius: Decimal, person: Person) -> str:
    """A temperature in the person's unit."""
    return format_temperature(celsius, person.temperature_unit)


def moment_words(moment: datetime | None, now: datetime) -> str:
    """A moment on the shop's clock: "today 14:05", "Thu 08:40", "3 Nov 08:40"."""
    if moment is None:
        return ""
    local = timezone.localtime(moment)
    return f"{day_words(local.date(), timezone.localtime(now).date())} {local:%H:%M}"


def day_words(day: date, today: date) -> str:
    """A day: "today", "Thu" within six days, else "3 Nov", with the year where it is another."""
    apart = (day - today).days
    if apart in DAY_WORDS:
        return DAY_WORDS[apart]
    if abs(apart) <= WEEK:
        return f"{day:%a}"
    return f"{day.day} {day:%b}" if day.year == today.year else f"{day.day} {day:%b %Y}"


def full_day_words(day: date, today: date) -> str:
    """A promised day, with its weekday and how far off it is."""
    year = "" if day.year == today.year else f" {day.year}"
    return f"{day:%a} {day.day} {day:%b}{year}, {_days_off((day - today).days)}"


def _days_off(apart: int) -> str:
    if apart in DAY_WORDS:
        return DAY_WORDS[apart]
    return f"in {apart} days" if apart > 0 else f"{-apart} days ago"


def span_words(span: timedelta) -> str:
    """A span, roughly: "40 s", "12 min", "3 h 12 min", "2 d 4 h", "12 days"."""
    seconds = max(0, round(span.total_seconds()))
    if seconds < 60:
        return f"{seconds} s"
    minutes = seconds // 60
    if minutes < 60:
        return f"{minutes} min"
    hours, minutes = divmod(minutes, 60)
    if hours < 24:
        return f"{hours} h {minutes} min" if minutes else f"{hours} h"
    days, hours = divmod(hours, 24)
    if days < 4:
        return f"{days} d {hours} h" if hours else f"{days} d"
    return f"{days} days"


def hour_words(minutes: float | None) -> str:
    """Minutes at work: "45 min", "3 h 20 min", "31 h"; working hours do not add up to days."""
    if minutes is None:
        return ""
    hours, left = divmod(minutes, 60)
    parts = [f"{hours:.0f} h"] if hours else []
    return " ".join([*parts, f"{left:g} min"] if left or not parts else parts)


def money_words(amount: Decimal | None, currency: str) -> str:
    """An amount with its currency's code: "1,234.50 USD"."""
    return "" if amount is None else f"{amount:,.2f} {currency}"


def number_words(value: Decimal | str | int | None) -> str:
    """A number without needless zeros behind its point."""
    if value is None:
        return ""
    text = f"{Decimal(value):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
