"""Forms of working time: the week of a person, days off, a client's days, how firm a promise is."""

from collections.abc import Iterable, Iterator
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.domain.working_time.abilities import NEVER, NOT_ALONE, WORK
from jobs.domain.working_time.clocks import DAYS
from jobs.domain.working_time.promises import WEIGHTS
from jobs.models import Person
from jobs.web.kit.forms import OpenChoice, PageForm, choice_field, date_field, number_field, text_field
from jobs.web.kit.stored_translations import Text, capital, translate_stored
from jobs.web.working_time.week_words import day_name, short_clock, typed_clock

SPANS = (("a", "b"), ("c", "d"))
"""The fields of a day for its two spans."""
EXTRA = ("e", "f")
"""The fields of a day for what is worked only where it must be."""
WEEKDAYS = 5
FIRM: dict[str, Text] = {
    "usual": gettext_lazy("Usual"),
    "important": gettext_lazy("Important: a late day counts twice"),
    "must": gettext_lazy("Must be kept: a late day counts four times"),
}
SAME = "same"
"""The button that gives every weekday the hours of Monday."""
MAY: dict[str, Text] = {
    "": gettext_lazy("does it"),
    NOT_ALONE: gettext_lazy("not alone"),
    NEVER: gettext_lazy("leaves it to others"),
}


class ClockField(forms.CharField):
    """A time of day as people type it: 8, 8:30, 830."""

    def __init__(self, label: Text, *, help_text: Text = "") -> None:
        entry = {"inputmode": "numeric", "maxlength": "5", "autocomplete": "off"}
        widget = forms.TextInput(attrs={**entry, "aria-label": label})
        super().__init__(label=label, required=False, help_text=help_text, widget=widget)

    def clean(self, value: Any) -> str:
        return typed_clock(super().clean(value))

    def prepare_value(self, value: Any) -> Any:
        return short_clock(value) if isinstance(value, str) else value


class HoursForm(PageForm):
    """The week of one person: two spans a day, and what they do only where it must be."""

    def __init__(self, data: Any = None, *, view: dict[str, Any], usual: list[Any], **more: Any) -> None:
        super().__init__(data, initial=_typed(view), seen=view["version"], **more)
        self.usual = usual
        for n in range(len(DAYS)):
            for name, says in _labels(day_name(n)):
                self.fields[f"d{n}{name}"] = ClockField(says)
        self.fields["back_until"] = ClockField(_("Comes back after work to scrape glue, until"))
        for n, work in enumerate(WORK):
            label = capital(translate_stored(work))
            self.fields[f"w{n}"] = choice_field(label, MAY.items())

    @property
    def days(self) -> Iterator[dict[str, Any]]:
        """Yield each day with its fields."""
        for n in range(len(DAYS)):
            names = [f"d{n}{name}" for pair in SPANS for name in pair]
            yield {"name": day_name(n), "fields": [self[name] for name in names], "errors": self._of(names)}

    @property
    def extra_days(self) -> Iterator[dict[str, Any]]:
        """Yield each day with the fields of what is worked only where it must be."""
        for n in range(len(DAYS)):
            names = [f"d{n}{name}" for name in EXTRA]
            yield {"name": day_name(n), "fields": [self[name] for name in names], "errors": self._of(names)}

    @property
    def work(self) -> list[Any]:
        return [self[f"w{n}"] for n in range(len(WORK))]

    @property
    def extra_is_open(self) -> bool:
        return any(day["errors"] or any(f.value() for f in day["fields"]) for day in self.extra_days)

    @property
    def work_is_open(self) -> bool:
        return any(field.value() or field.errors for field in self.work)

    def _of(self, names: Iterable[str]) -> list[str]:
        return [str(error) for name in names for error in self.errors.get(name, [])]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for n in range(len(DAYS)):
            for a, b in (*SPANS, EXTRA):
                typed = [cleaned.get(f"d{n}{name}", "") for name in (a, b)]
                if any(typed) and not all(typed):
                    missing = a if typed[1] else b
                    self.add_error(f"d{n}{missing}", _("Enter both times, or none."))
        return cleaned

    def asked(self) -> dict[str, Any]:
        typed = super().asked()
        week = [self._day(typed, n) for n in range(len(DAYS))]
        if self.data.get("do") == SAME:
            week[:WEEKDAYS] = [week[0]] * WEEKDAYS
        may = {work: typed[f"w{n}"] for n, work in enumerate(WORK)}
        return {
            "week": None if week == self.usual else week,
            "unwanted": [_span(typed, n, EXTRA) for n in range(len(DAYS))],
            "back_until": typed["back_until"],
            "limits": {work: limit for work, limit in may.items() if limit},
        }

    def _day(self, typed: dict[str, Any], n: int) -> list[list[str]]:
        return [span for pair in SPANS for span in _span(typed, n, pair)]

    def field_of(self, name: str) -> str:
        """Return the form's field for a refusal: ``week[0]`` is a Monday."""
        part, _bracket, rest = name.partition("[")
        if rest:
            return f"d{rest.rstrip(']')}{EXTRA[0] if part == 'unwanted' else SPANS[0][0]}"
        work = name.removeprefix("limits.")
        return f"w{WORK.index(work)}" if work in WORK else name


def _labels(day: str) -> Iterator[tuple[str, str]]:
    """Yield the fields of a day with the words that tell each apart."""
    yield "a", _("%(day)s from") % {"day": day}
    yield "b", _("%(day)s to") % {"day": day}
    yield "c", _("%(day)s again from") % {"day": day}
    yield "d", _("%(day)s again to") % {"day": day}
    yield "e", _("%(day)s if need be from") % {"day": day}
    yield "f", _("%(day)s if need be to") % {"day": day}


def _span(typed: dict[str, Any], n: int, pair: tuple[str, str]) -> list[list[str]]:
    begins, ends = (typed[f"d{n}{name}"] for name in pair)
    return [[begins, ends]] if begins or ends else []


def _typed(view: dict[str, Any]) -> dict[str, str]:
    """Return what stands, by the fields of the form."""
    found = {"back_until": view["back_until"]}
    for n, day in enumerate(view["week"]):
        for (a, b), span in zip(SPANS, day, strict=False):
            found |= {f"d{n}{a}": span[0], f"d{n}{b}": span[1]}
    for n, day in enumerate(view["unwanted"]):
        for span in day:
            found |= {f"d{n}{EXTRA[0]}": span[0], f"d{n}{EXTRA[1]}": span[1]}
    return found | {f"w{n}": view["limits"].get(work, "") for n, work in enumerate(WORK)}


class DaysForm(PageForm):
    """Days from one to another with a word about them; ``at`` tells the forms of a page apart."""

    at = "days"
    first = date_field(gettext_lazy("From"))
    last = date_field(gettext_lazy("To"))
    reason = text_field(gettext_lazy("Why"), maxlength="400")

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.auto_id = f"id_{self.at}_%s"
        self.fields["last"].help_text = _("Empty: one day")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not cleaned.get("first") and "first" not in self.errors:
            self.add_error("first", _("Enter the day."))
        return cleaned


class HolidayForm(DaysForm):
    """Days on which the shop is closed."""

    at = "holiday"
    reason = text_field(gettext_lazy("Name"), maxlength="400")


class DayOffForm(DaysForm):
    """Days on which somebody is away."""

    at = "off"
    begins = ClockField(gettext_lazy("From this time"), help_text=gettext_lazy("Empty: the whole day"))
    ends = ClockField(gettext_lazy("Until this time"))

    def __init__(self, data: Any = None, *, people: list[Person], **more: Any) -> None:
        super().__init__(data, **more)
        self.fields["who"] = choice_field(_("Who"), [(one.id, str(one)) for one in people])
        self.order_fields(["who", "first", "last", "begins", "ends", "reason"])


class BlackoutForm(DaysForm):
    """Days on which a client takes nothing."""

    at = "client"


class ClientDaysForm(BlackoutForm):
    """The same, with the commission to choose."""

    def __init__(self, data: Any = None, *, commissions: list[tuple[str, str]], **more: Any) -> None:
        super().__init__(data, **more)
        self.fields["commission"] = choice_field(_("Commission"), commissions)
        self.order_fields(["commission", "first", "last", "reason"])


class FirmnessForm(PageForm):
    """How firm a promised day is."""

    firmness = OpenChoice(
        label=gettext_lazy("How firm it is"), choices=[(word, FIRM[word]) for word in WEIGHTS],
        required=False, widget=forms.RadioSelect,
    )  # fmt: skip


class InterruptionsForm(PageForm):
    """The share of the week that goes to other things."""

    interruptions_pct = number_field(gettext_lazy("Share of the week for other things"), suffix="%")

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.auto_id = "id_free_%s"
