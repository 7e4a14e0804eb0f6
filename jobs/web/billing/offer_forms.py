"""Forms of quotes and change orders."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.core.parsing import to_decimal, to_money
from jobs.domain.quoting.accepted import HOWS
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.losses import BECAUSE
from jobs.web.billing.prices import PARTS, PriceForm
from jobs.web.kit.formatting import number_words
from jobs.web.kit.forms import (
    OpenNumbers,
    PageForm,
    choice_field,
    date_field,
    number_field,
    reason_field,
    text_field,
)
from jobs.web.kit.stored_translations import capital, told_choices, told_tax

OF_CHOICE = ("piece", "species", "finish", "description", "difference")
ROUNDINGS = (("", gettext_lazy("cents")), ("5", "5"), ("25", "25"), ("100", "100"))


class OfferForm(PriceForm):
    """The content of a version: lines, choices, texts, dates, and where it is sent.

    ``lines/0/follows`` holds the price that was proposed last; a line whose price is still that one follows
    other hours and another rounding.
    """

    words = text_field(gettext_lazy("To the client"), lines=3)
    promise_on = date_field(gettext_lazy("Ready by"))
    valid_days = number_field(gettext_lazy("Good for"), suffix=gettext_lazy("days"), autocomplete="off")

    def __init__(self, data: Any = None, *, choices: int = 0, is_quote: bool = True, **more: Any) -> None:
        super().__init__(data, **more)
        self.is_quote, self.others = is_quote, choices
        name = told_tax()
        for n in range(self.count):
            self.fields[f"lines/{n}/description"] = text_field(_("What"), lines=3)
            self.fields[f"lines/{n}/unit_price"].label = _("Price each")
            self.fields[f"lines/{n}/tax_pct"].label = _("%(tax)s, %%") % {"tax": capital(name)}
            self.fields[f"lines/{n}/tax_category"].label = _("Kind of %(tax)s") % {"tax": name}
            self.fields[f"lines/{n}/follows"] = _hidden()
        for n in range(choices):
            for part in ("piece", "species", "finish"):
                self.fields[f"choices/{n}/{part}"] = _hidden()
            self.fields[f"choices/{n}/description"] = text_field(_("Instead or besides"), autocomplete="off")
            self.fields[f"choices/{n}/difference"] = number_field(_("Difference"), autocomplete="off")
        if is_quote:
            self.fields["deposit_pct"] = number_field(_("Deposit"), suffix="%", autocomplete="off")
            self.fields["deposit_sum"] = number_field(
                _("Or a sum, with %(tax)s") % {"tax": name},
                help_text=_("It takes the place of the part."),
                autocomplete="off",
            )
            self.fields["round_to"] = choice_field(_("Round to"), ROUNDINGS)
            self.fields["round_to"].widget = forms.RadioSelect(choices=ROUNDINGS)
            hint = _("A line each. Empty: nothing is said.")
            self.fields["included"] = text_field(_("Included"), lines=5, help_text=hint)
            self.fields["excluded"] = text_field(_("Not included"), lines=5, help_text=hint)
        self.fields["terms"] = text_field(_("Terms"), lines=3, help_text=_("Empty: the shop's terms."))
        self.fields["to"] = text_field(_("Mail it to"), inputmode="email", autocomplete="off")

    @property
    def rows(self) -> list[dict[str, Any]]:
        """Return the fields of each line by their names."""
        return [{part: self[f"lines/{n}/{part}"] for part in (*PARTS, "follows")} for n in range(self.count)]

    @property
    def choices(self) -> list[dict[str, Any]]:
        """Return the fields of each choice by their names."""
        return [{part: self[f"choices/{n}/{part}"] for part in OF_CHOICE} for n in range(self.others)]

    def field_of(self, name: str) -> str:
        """Return the field of a refusal, which counts filled choices only."""
        head, _slash, rest = name.partition("/")
        position, _slash, part = rest.partition("/")
        if head != "alternatives" or not position.isdigit():
            return super().field_of(name)
        filled = filled_choices(self.cleaned_data_or_typed(), self.others)
        if int(position) >= len(filled):
            return name
        shown = part if part in OF_CHOICE[3:] else "difference"
        return f"choices/{filled[int(position)]}/{shown}"


class Picks(OpenNumbers):
    """Positions of the chosen alternatives; drops the empty value that a browser sends along."""

    def to_python(self, value: Any) -> list[str]:
        return [one for one in super().to_python(value) if one]


HOW_WORDS = {
    "told": gettext_lazy("They said so"),
    "written": gettext_lazy("They wrote it"),
    "signed": gettext_lazy("A signed copy"),
}


def signed_picture(label: Any) -> forms.FileField:
    """Return a field for a picture of a signed copy."""
    widget = forms.FileInput({"accept": "image/jpeg,image/png,image/webp", "data-shrink": ""})
    return forms.FileField(
        label=label, required=False, widget=widget, help_text=gettext_lazy("A photo or a scan, as a picture.")
    )


class AcceptForm(PageForm):
    chosen = Picks(
        label=gettext_lazy("With"), coerce=int, required=False, widget=forms.CheckboxSelectMultiple
    )
    name = text_field(
        gettext_lazy("Who said yes"),
        help_text=gettext_lazy("As the client signed or said it. May stay empty."),
        autocomplete="off",
    )

    how = choice_field(gettext_lazy("How"), ())
    picture = signed_picture(gettext_lazy("A picture of the signed copy"))

    def __init__(self, data: Any = None, sent: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.files = sent or MultiValueDict()
        self.offer("how", [(how, HOW_WORDS[how]) for how in HOWS])


class SignedCopyForm(PageForm):
    """A picture of a signed copy that came later."""

    picture = signed_picture(gettext_lazy("Picture"))

    def __init__(self, data: Any = None, sent: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.files = sent or MultiValueDict()
        self.auto_id = "id_signed_%s"


class DeclineForm(PageForm):
    """Why a quote is lost: a word that is counted, and theirs."""

    because = choice_field(gettext_lazy("Because"), ())
    reason = reason_field(gettext_lazy("In their words"), help_text=gettext_lazy("May stay empty."))

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.offer("because", told_choices((one, one) for one in BECAUSE))
        self.fields["because"].widget = forms.RadioSelect(choices=list(told_choices((b, b) for b in BECAUSE)))


class SendForm(PageForm):
    """Where a quote is mailed; nothing to type where the client's address is known."""

    to = text_field(gettext_lazy("Mail it to"), inputmode="email", autocomplete="off")


class FollowUpForm(PageForm):
    """What the mail says that asks again."""

    words = text_field(gettext_lazy("What they read"), lines=6)
    to = text_field(gettext_lazy("Mail it to"), inputmode="email", autocomplete="off")


def _hidden() -> forms.Field:
    return forms.CharField(required=False, widget=forms.HiddenInput)


def initial_of(lines: list[dict[str, Any]], others: list[Alternative]) -> dict[str, Any]:
    """Return the lines and choices of an offer as they are typed."""
    told: dict[str, Any] = {
        f"lines/{n}/{part}": number_words(line[part]) if isinstance(line[part], Decimal) else line[part]
        for n, line in enumerate(lines)
        for part in PARTS
    }
    for n, one in enumerate(others):
        told |= {f"choices/{n}/{part}": getattr(one, part) for part in OF_CHOICE[:4]}
        told[f"choices/{n}/difference"] = number_words(one.difference)
    return told


def filled_choices(asked: Mapping[str, Any], count: int) -> list[int]:
    """Return the numbers of the choices that are filled in; one without words is left out."""
    return [
        n for n in range(count) if asked.get(f"choices/{n}/description") or asked.get(f"choices/{n}/piece")
    ]


def said_of(form: OfferForm, asked: dict[str, Any]) -> dict[str, Any]:
    """Return what was typed, as the commands take it."""
    said: dict[str, Any] = {
        "lines": form.lines_of(asked),
        "words": asked["words"],
        "terms": asked["terms"],
        "promise_on": asked["promise_on"],
        "valid_days": _days(asked["valid_days"]),
    }
    if form.is_quote:
        if asked["deposit_sum"]:
            said["deposit_sum"] = to_money(asked["deposit_sum"], "deposit_sum")
        else:
            said["deposit_pct"] = to_decimal(asked["deposit_pct"] or "0", "deposit_pct")
        said["alternatives"] = choices_of(asked, form.others)
        said |= {name: asked[name] for name in ("included", "excluded")}
    return said


def choices_of(asked: Mapping[str, Any], count: int) -> list[Alternative]:
    """Return the choices that are filled in."""
    return [
        Alternative(
            **{part: asked[f"choices/{n}/{part}"] for part in OF_CHOICE[:4]},
            difference=_difference(asked[f"choices/{n}/difference"], f"choices/{n}/difference"),
        )
        for n in filled_choices(asked, count)
    ]


def _difference(text: str, field: str) -> Decimal | None:
    return to_money(text, field) if text else None


def _days(text: str) -> int:
    number = to_decimal(text, "valid_days")
    return int(number) if number == int(number) else -1
