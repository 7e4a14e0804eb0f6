"""Forms of quotes and change orders."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.web.billing.prices import PriceForm
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


class DepositForm(PageForm):
    pct = number_field(gettext_lazy("Part of the price"), suffix="%", autocomplete="off")
    due_on = date_field(
        gettext_lazy("Due on"), help_text=gettext_lazy("Empty: so many days from today as set for the shop.")
    )
