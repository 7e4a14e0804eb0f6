"""Forms of quotes and change orders."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.core.parsing import to_decimal, to_money
from jobs.domain.quoting.draft_content import Alternative
from jobs.web.billing.prices import PARTS, PriceForm, price_line
from jobs.web.kit.formatting import number_words
from jobs.web.kit.forms import OpenNumbers, PageForm, date_field, number_field, reason_field, text_field

NONE = ("", "none")


class OfferForm(PriceForm):
    """The content of a version: lines, alternatives, texts, dates."""

    words = text_field(gettext_lazy("Words to the client"), lines=3)
    promise_on = date_field(gettext_lazy("Promised for"))
    valid_days = number_field(gettext_lazy("Holds for"), suffix="days", autocomplete="off")

    def __init__(
        self, data: Any = None, *, alternatives: int = 0, is_quote: bool = True, **more: Any
    ) -> None:
        super().__init__(data, **more)
        self.is_quote, self.others = is_quote, alternatives
        for n in range(self.count):
            self.fields[f"lines/{n}/description"] = text_field(_("What"), lines=2)
        for n in range(alternatives):
            self.fields[f"alternatives/{n}/description"] = text_field(_("Instead"))
            self.fields[f"alternatives/{n}/difference"] = number_field(
                _("Difference before tax"),
                help_text=_("Empty: this alternative is dropped."),
                autocomplete="off",
            )
        if is_quote:
            self.fields["deposit_pct"] = number_field(_("Deposit"), suffix="%", autocomplete="off")
        self.fields["terms"] = text_field(_("Terms"), lines=3, help_text=_("Empty: the shop's terms."))

    @property
    def alternatives(self) -> list[list[Any]]:
        return [
            [self[f"alternatives/{n}/{part}"] for part in ("description", "difference")]
            for n in range(self.others)
        ]

    @property
    def rest(self) -> list[Any]:
        names = ("words", "promise_on", "valid_days", "deposit_pct", "terms")
        return [self[name] for name in names if name in self.fields]


class Picks(OpenNumbers):
    """Positions of the chosen alternatives; drops the empty value that a browser sends along."""

    def to_python(self, value: Any) -> list[str]:
        return [one for one in super().to_python(value) if one]


class AcceptForm(PageForm):
    chosen = Picks(
        label=gettext_lazy("With"), coerce=int, required=False, widget=forms.CheckboxSelectMultiple
    )
    name = text_field(
        gettext_lazy("Who said yes"),
        help_text=gettext_lazy("As the client signed or said it."),
        autocomplete="off",
    )


class DeclineForm(PageForm):
    reason = reason_field(gettext_lazy("Why"), help_text=gettext_lazy("May stay empty."))


def initial_of(lines: list[dict[str, Any]], others: list[Alternative]) -> dict[str, Any]:
    """Return the lines and alternatives of an offer as they are typed."""
    told: dict[str, Any] = {
        f"lines/{n}/{part}": number_words(line[part]) if isinstance(line[part], Decimal) else line[part]
        for n, line in enumerate(lines)
        for part in PARTS
    }
    for n, one in enumerate(others):
        told[f"alternatives/{n}/description"] = one.description
        told[f"alternatives/{n}/difference"] = number_words(one.difference)
    return told


def said_of(form: OfferForm, asked: dict[str, Any], others: list[Alternative]) -> dict[str, Any]:
    """Return what was typed, as the commands take it."""
    said: dict[str, Any] = {
        "lines": [price_line(position, n, asked) for position, n in enumerate(form.written(asked))],
        "words": asked["words"],
        "terms": asked["terms"],
        "promise_on": asked["promise_on"],
        "valid_days": _days(asked["valid_days"]),
    }
    if form.is_quote:
        said["deposit_pct"] = to_decimal(asked["deposit_pct"] or "0", "deposit_pct")
        said["alternatives"] = [
            Alternative(
                piece=one.piece, species=one.species, finish=one.finish,
                description=asked[f"alternatives/{n}/description"],
                difference=to_money(asked[f"alternatives/{n}/difference"], f"alternatives/{n}/difference"),
            )
            for n, one in enumerate(others)
            if asked[f"alternatives/{n}/difference"]
        ]  # fmt: skip
    return said


def _days(text: str) -> int:
    number = to_decimal(text, "valid_days")
    return int(number) if number == int(number) else -1
