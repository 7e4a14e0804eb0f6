"""Times, durations, lengths and money as text for a screen."""

from datetime import date, datetime, timedelta
from decimal import Decimal

from django.utils import timezone
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from calcs.asking.figure_wording import US_UNITS, in_both
from calcs.kit.amounts import format_temperature
from calcs.kit.units import format_length
from jobs.models import Person
from jobs.web.kit.stored_translations import translate_stored

DAY_WORDS = {0: gettext_lazy("today"), -1: gettext_lazy("yesterday"), 1: gettext_lazy("tomorrow")}
WEEK = 6


def length_words(units: int, person: Person) -> str:
    """Return a length in the person's unit."""
    return format_length(units, person.unit)


def other_length_words(units: int, person: Person) -> str:
    """Return the same length in the other unit."""
    return format_length(units, "mm" if person.unit == "in" else "in")


def temperature_words(celsius: Decimal, person: Person) -> str:
    """Return a temperature in the person's unit."""
    return format_temperature(celsius, person.temperature_unit)


def amount_words(value: Decimal, unit: str, person: Person) -> str:
    """Return a quantity to buy, in both systems where its unit has two: the person's first."""
    if unit not in US_UNITS:
        return f"{number_words(value)} {translate_stored(unit)}"
    return in_both(value, unit, us_first=person.unit == "in")


def moment_words(moment: datetime | None, now: datetime) -> str:
    """Return a moment on the shop's clock: "today 14:05", "Thu 08:40", "3 Nov 08:40"."""
    if moment is None:
        return ""
    local = timezone.localtime(moment)
    return f"{day_words(local.date(), timezone.localtime(now).date())} {local:%H:%M}"


def day_words(day: date, today: date) -> str:
    """Return a day: "today", "Thu" within six days, else "3 Nov", with the year where it differs."""
    apart = (day - today).days
    if apart in DAY_WORDS:
        return str(DAY_WORDS[apart])
    if abs(apart) <= WEEK:
        return date_format(day, "D")
    return date_format(day, "j M" if day.year == today.year else "j M Y")


def clock_words(moment: datetime) -> str:
    """Return the time of day of a moment on the shop's clock: "8:05"."""
    local = timezone.localtime(moment)
    return f"{local.hour}:{local:%M}"


def near_words(moment: datetime | None, now: datetime) -> str:
    """Return a moment as one says it: "13:20" today, "Tue 8:05" within six days, else "Fri 11 Dec"."""
    if moment is None:
        return ""
    local, today = timezone.localtime(moment), timezone.localtime(now).date()
    clock, apart = clock_words(moment), (local.date() - today).days
    if abs(apart) > WEEK:
        return plain_day_words(local.date(), today)
    return f"{date_format(local, 'D')} {clock}" if apart else clock


def range_words(first: datetime, last: datetime, now: datetime) -> str:
    """Return the time between two moments: "12:55 to 15:00", "Tue 9:00 to 11:30", "9 to 14 Dec"."""
    begin, end = timezone.localtime(first), timezone.localtime(last)
    today = timezone.localtime(now).date()
    if begin.date() == end.date() and abs((begin.date() - today).days) <= WEEK:
        return _("%(first)s to %(last)s") % {
            "first": near_words(first, now),
            "last": clock_words(last),
        }
    if max(abs((day.date() - today).days) for day in (begin, end)) > WEEK:
        if begin.date() == end.date():
            return plain_day_words(end.date(), today)
        day = "j" if (begin.year, begin.month) == (end.year, end.month) else "j M"
        return _("%(first)s to %(last)s") % {
            "first": date_format(begin, day),
            "last": date_format(end, "j M"),
        }
    return _("%(first)s to %(last)s") % {"first": near_words(first, now), "last": near_words(last, now)}


def stopwatch_words(seconds: int) -> str:
    """Return a span as a stopwatch shows it.

    Examples
    --------
    >>> stopwatch_words(504)
    '8:24'
    """
    return f"{seconds // 60}:{seconds % 60:02}"


def full_day_words(day: date, today: date) -> str:
    """Return a promised day with its weekday and how far off it is."""
    return f"{plain_day_words(day, today)}, {days_off_words(day, today)}"


def plain_day_words(day: date, today: date) -> str:
    """Return a day with its weekday and without its distance from today."""
    return date_format(day, "D j M" if day.year == today.year else "D j M Y")


def days_off_words(day: date, today: date) -> str:
    """Return how far off a day is: "tomorrow", "in 13 days", "3 days ago"."""
    apart = (day - today).days
    if apart in DAY_WORDS:
        return str(DAY_WORDS[apart])
    says = _("in %(days)s days") if apart > 0 else _("%(days)s days ago")
    return says % {"days": abs(apart)}


def span_words(span: timedelta) -> str:
    """Return a duration, rounded: "40 s", "12 min", "3 h 12 min", "2 d 4 h", "12 days"."""
    seconds = max(0, round(span.total_seconds()))
    if seconds < 60:
        return _("%(seconds)s s") % {"seconds": seconds}
    minutes = seconds // 60
    if minutes < 60:
        return _("%(minutes)s min") % {"minutes": minutes}
    hours, minutes = divmod(minutes, 60)
    if hours < 24:
        return (_("%(hours)s h %(minutes)s min") if minutes else _("%(hours)s h")) % {
            "hours": hours,
            "minutes": minutes,
        }
    days, hours = divmod(hours, 24)
    if days < 4:
        return (_("%(days)s d %(hours)s h") if hours else _("%(days)s d")) % {"days": days, "hours": hours}
    return _("%(days)s days") % {"days": days}


def hour_words(minutes: float | None) -> str:
    """Return minutes at work: "45 min", "3 h 20 min", "31 h"; working hours do not add up to days."""
    if minutes is None:
        return ""
    hours, left = divmod(minutes, 60)
    parts = [_("%(hours)s h") % {"hours": f"{hours:.0f}"}] if hours else []
    return " ".join([*parts, _("%(minutes)s min") % {"minutes": f"{left:g}"}] if left or not parts else parts)


def money_words(amount: Decimal | str | None, currency: str) -> str:
    """Return an amount with its currency's code and a true minus: "1,234.50 USD", "−100.00 USD"."""
    return "" if amount is None else f"{Decimal(amount):,.2f} {currency}".strip().replace("-", "−")


def each_words(price: Decimal | str) -> str:
    """Return a unit price with two decimals, or more where it has them."""
    whole, _point, part = number_words(price).partition(".")
    return f"{whole}.{part:0<2}"


def number_words(value: Decimal | str | int | None) -> str:
    """Return a number without trailing zeros."""
    if value is None:
        return ""
    text = f"{Decimal(value):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
