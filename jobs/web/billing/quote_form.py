"""The form of a quote: the lines of an offer, and the hours of each piece in one of three ways."""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.html import format_html
from django.utils.translation import gettext as _

from jobs.core.parsing import to_decimal
from jobs.domain.commissions.labour_rates import Rate, kinds_of, offered, rates
from jobs.domain.quoting.proposals import FINISH, SPECIES, Asked, priced_finishes, priced_woods
from jobs.domain.settings import settings
from jobs.domain.stock.product_sheets import newest
from jobs.models import Piece, Sheet
from jobs.web.billing.offer_forms import OfferForm
from jobs.web.kit.formatting import hour_words, number_words
from jobs.web.kit.forms import choice_field, number_field
from jobs.web.kit.shop_sections import setting_page

WORDS = "words"
"""The choice that is an option in words."""
Pieces = Mapping[str, tuple[Piece, str]]
"""The pieces of a commission and their labels, by their numbers."""


class QuoteForm(OfferForm):
    """The lines, hours and choices of a quote."""

    def __init__(self, data: Any = None, *, pieces: Pieces, **more: Any) -> None:
        super().__init__(data, **more)
        self.pieces = pieces
        shop, known = settings(), rates()
        self.has_rate = shop["hourly_rate"] is not None
        for piece, _label in pieces.values():
            self._hours(piece, known)
        self.fields["choice"] = choice_field(_("Instead or besides"), self._choices(shop))

    def _choices(self, shop: Mapping[str, Any]) -> list[tuple[str, str]]:
        """Return what a client may choose: other woods and finishes with a price, and an option in words."""
        finishes = {key: str(p.sheet.name) for key, p in newest(Sheet.Kind.FINISH).items()}
        found = [(WORDS, _("Something else, in words"))]
        for number, (piece, label) in self.pieces.items():
            head = f"{label}: " if len(self.pieces) > 1 else ""
            woods = priced_woods(piece, shop)
            found += [(f"{SPECIES}/{number}/{to}", f"{head}{to.partition(' (')[0]}") for to in woods]
            others = priced_finishes(piece, shop)
            found += [(f"{FINISH}/{number}/{to}", f"{head}{finishes.get(to, to)}") for to in others]
        return found

    def _hours(self, piece: Piece, known: Mapping[str, Rate]) -> None:
        number, own = piece.number, {one["kind"]: one for one in offered(piece, known)}
        self.fields[f"hours/{number}"] = number_field(
            _("Hours of work"),
            suffix="h",
            help_text="" if self.has_rate else to_rates(_("Set the rate of an hour first.")),
            autocomplete="off",
        )
        if own:
            words = own_words(list(own.values()), len(kinds_of(piece)))
            label = _("Take our own: %(words)s") % {"words": words}
            self.fields[f"own/{number}"] = forms.BooleanField(label=label, required=False)
        for kind, title in kinds_of(piece).items():
            self.fields[f"minutes/{number}/{kind}"] = number_field(
                title,
                suffix="min",
                help_text=rate_words(own[kind]) if kind in own else "",
                autocomplete="off",
            )

    def hours_of(self, number: str) -> dict[str, Any]:
        """Return the fields of a piece's hours, those by stage apart, and whether they show unfolded."""
        stages = [self[name] for name in self.fields if name.startswith(f"minutes/{number}/")]
        sums = [self[n] for n in (f"hours/{number}", f"own/{number}") if n in self.fields]
        by_stage = any(field.value() or field.errors for field in stages)
        return {
            "label": self.pieces[number][1],
            "sums": sums,
            "stages": stages,
            "by_stage": by_stage,
            "open": not any(field.value() for field in [*sums, *stages])
            or any(field.errors for field in [*sums, *stages]),
        }

    def field_of(self, name: str) -> str:
        """Return the form's field for a refusal."""
        what, _slash, rest = name.partition("/")
        if what == "own_hours" and rest:
            return f"own/{rest}"
        if what in ("hours", "minutes"):
            fields = [n for n in self._named(what) if self.data.get(n)]
            return fields[0] if name == what and len(fields) == 1 else name
        return super().field_of(name)

    def _named(self, what: str) -> Iterator[str]:
        return (n for n in self.fields if n.startswith(f"{what}/"))

    def hours_asked(self, asked: Mapping[str, Any]) -> Asked:
        """Return the hours as they were typed; refuse what is no number."""
        minutes: dict[str, dict[str, Decimal]] = {}
        for name in self._named("minutes"):
            if asked.get(name):
                _what, number, kind = name.split("/", 2)
                minutes.setdefault(number, {})[kind] = to_decimal(asked[name], name)
        hours = {
            p: to_decimal(asked[f"hours/{p}"], f"hours/{p}") for p in self.pieces if asked.get(f"hours/{p}")
        }
        own = tuple(p for p in self.pieces if asked.get(f"own/{p}"))
        return Asked(hours=hours, minutes=minutes, own=own)


def hours_before(basis: Mapping[str, Any]) -> dict[str, Any]:
    """Return the hours that a draft rests on, as they are typed."""
    typed: dict[str, Any] = {}
    for told in basis.get("pieces", []):
        number, stages = told["piece"], told["stages"]
        if not stages or str(told["hours_from"]).startswith("typed in one sum"):
            typed[f"hours/{number}"] = number_words(told["hours"]) if Decimal(told["hours"]) else ""
            continue
        typed[f"own/{number}"] = any(stage["jobs"] for stage in stages)
        typed |= {
            f"minutes/{number}/{stage['kind']}": number_words(stage["minutes"])
            for stage in stages
            if not stage["jobs"]
        }
    return typed


def to_rates(said: str) -> str:
    """Return a hint with a link to the rates in the shop's settings."""
    return format_html('{} <a href="{}">{}</a>', said, setting_page("hourly_rate"), _("Set the rates"))


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
