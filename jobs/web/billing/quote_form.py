"""The form of a new quote: the hours of each piece in one of three ways, and its alternatives."""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.html import format_html
from django.utils.translation import gettext as _

from jobs.core.parsing import to_decimal
from jobs.domain.commissions.labour_rates import Rate, kinds_of, offered, rates
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.proposals import FINISH, SPECIES, priced_finishes, priced_woods
from jobs.domain.settings import settings
from jobs.domain.stock.product_sheets import newest
from jobs.models import Piece, Sheet
from jobs.web.kit.formatting import hour_words, number_words
from jobs.web.kit.forms import PageForm, choice_field, number_field
from jobs.web.kit.shop_sections import setting_page

PRICES = {SPECIES: "lumber_prices", FINISH: "finish_prices"}


class QuoteForm(PageForm):
    """The hours of each piece, and one alternative species and finish for each."""

    def __init__(self, data: Any = None, *, pieces: Mapping[str, tuple[Piece, str]], **more: Any) -> None:
        super().__init__(data, **more)
        self.pieces = pieces
        shop, known, finishes = settings(), rates(), newest(Sheet.Kind.FINISH)
        self.has_rate = shop["hourly_rate"] is not None
        names = {key: str(p.sheet.name) for key, p in finishes.items()}
        for number, (piece, _label) in pieces.items():
            self._hours(piece, known)
            woods, others = priced_woods(piece, shop), priced_finishes(piece, shop)
            self._instead(f"species/{number}", _("Instead, in"), woods, {})
            self._instead(f"finish/{number}", _("Instead, finished with"), others, names)

    def _instead(self, name: str, label: str, others: list[str], names: Mapping[str, str]) -> None:
        """Add the field of an alternative; it offers only those that the shop's prices cover."""
        choices = [("", _("none")), *((one, names.get(one, one)) for one in others)]
        said = (
            _("Choose from those with a price in the shop's settings.")
            if others
            else _("Nothing to choose yet: set a price of what it is now and of the other.")
        )
        setting = PRICES[name.partition("/")[0]]
        self.fields[name] = choice_field(label, choices, help_text=to_rates(said, setting))

    def _hours(self, piece: Piece, known: Mapping[str, Rate]) -> None:
        number, own = piece.number, {one["kind"]: one for one in offered(piece, known)}
        self.fields[f"hours/{number}"] = number_field(
            _("Hours of work"),
            suffix="h",
            help_text=_("Type one sum; the stages share it where three of your jobs know them all.")
            if self.has_rate
            else to_rates(_("The shop has no rate of an hour; set it first."), "hourly_rate"),
            autocomplete="off",
        )
        if own:
            words = own_words(list(own.values()), len(kinds_of(piece)))
            self.fields[f"own/{number}"] = forms.BooleanField(
                label=_("Take our own instead: %(words)s") % {"words": words}, required=False
            )
        for kind, title in kinds_of(piece).items():
            self.fields[f"minutes/{number}/{kind}"] = number_field(
                title,
                suffix="min",
                help_text=rate_words(own[kind]) if kind in own else "",
                autocomplete="off",
            )

    @property
    def groups(self) -> Iterator[dict[str, Any]]:
        """Yield the fields of each piece, the hours by stage in a group apart."""
        for number, (_piece, label) in self.pieces.items():
            stages = [self[name] for name in self.fields if name.startswith(f"minutes/{number}/")]
            yield {
                "label": label,
                "hours": [self[n] for n in (f"hours/{number}", f"own/{number}") if n in self.fields],
                "stages": stages,
                "open": any(field.value() or field.errors for field in stages),
                "instead": [self[f"{what}/{number}"] for what in ("species", "finish")],
            }

    def field_of(self, name: str) -> str:
        """Return the form's field for a refusal; an alternative counts among those chosen."""
        what, _slash, rest = name.partition("/")
        if what == "alternatives":
            place = rest.partition("/")[0]
            return dict(enumerate(self._chosen())).get(int(place) if place.isdigit() else -1, name)
        if what == "own_hours" and rest:
            return f"own/{rest}"
        fields = [n for n in self.fields if n.startswith(f"{name}/") and self.data.get(n)]
        return fields[0] if len(fields) == 1 else name

    def _chosen(self) -> list[str]:
        """Return the fields of the chosen alternatives, in the order in which the command gets them."""
        names = [f"{what}/{number}" for number in self.pieces for what in ("species", "finish")]
        return [name for name in names if self.data.get(name)]

    def wanted(self, asked: Mapping[str, Any]) -> dict[str, Any]:
        """Return what was typed, as the command takes it."""
        minutes: dict[str, dict[str, Decimal]] = {}
        for name, text in asked.items():
            if name.startswith("minutes/") and text:
                _what, number, kind = name.split("/", 2)
                minutes.setdefault(number, {})[kind] = to_decimal(text, name)
        return {
            "hours": {
                p: to_decimal(asked[f"hours/{p}"], f"hours/{p}") for p in self.pieces if asked[f"hours/{p}"]
            },
            "minutes": minutes,
            "own_hours": [p for p in self.pieces if asked.get(f"own/{p}")],
            "alternatives": [
                Alternative(piece=p, **{what: asked[f"{what}/{p}"]})
                for what, p in (name.split("/", 1) for name in self._chosen())
            ],
        }


def to_rates(said: str, setting: str) -> str:
    """Return a hint with a link to a price or rate in the shop's settings."""
    return format_html('{} <a href="{}">{}</a>', said, setting_page(setting), _("To the rates"))


def rate_words(own: Mapping[str, Any]) -> str:
    """Return a rate such as "Our own: 3 h 12 min, median of 5 jobs, 2 h 30 min to 4 h 6 min"."""
    return _("Our own: %(median)s, median of %(jobs)s jobs, %(least)s to %(most)s") % {
        "median": hour_words(int(own["minutes"])), "jobs": own["jobs"],
        "least": hour_words(int(own["least"])), "most": hour_words(int(own["most"])),
    }  # fmt: skip


def own_words(found: list[dict[str, Any]], of_kinds: int) -> str:
    """Return the hours of a piece by the shop's own rates, and how many jobs these rest on."""
    sums = {name: sum((one[name] for one in found), Decimal(0)) / 60 for name in ("minutes", "least", "most")}
    jobs = sorted(one["jobs"] for one in found)
    return _(
        "%(hours)s h, the medians of %(jobs)s jobs for %(kinds)s of %(all)s kinds of stage, "
        "%(least)s to %(most)s h"
    ) % {
        "hours": number_words(round(sums["minutes"], 1)),
        "jobs": f"{jobs[0]}" if jobs[0] == jobs[-1] else f"{jobs[0]}-{jobs[-1]}",
        "kinds": len(found),
        "all": of_kinds,
        "least": number_words(round(sums["least"], 1)),
        "most": number_words(round(sums["most"], 1)),
    }
