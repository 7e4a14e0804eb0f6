"""The shop's settings, product sheets, species and routes."""

from rest_framework import serializers

from calcs.lumber.quarters import NAMES
from jobs.api.kit.fields import AmountOut, LengthOut, TextField, Typed
from jobs.api.kit.serializer_bases import CommandIn, UnitsIn, done, seen_of
from jobs.api.kit.shapes import Shape
from jobs.api.notes.serializers import PictureField
from jobs.domain.books.accounts import ACCOUNTS
from jobs.domain.settings import DEFAULTS
from jobs.domain.workshop.commands import (
    CHOICES,
    CLOCKS,
    LENGTHS,
    NUMBERS,
    PRICES,
    WHOLE,
)
from jobs.domain.workshop.lists import LONGEST_QUOTED, MOST_PLACES, MOST_QUOTED
from jobs.log.projections.shop import PRIVATE
from jobs.models import Sheet


def _lines(says: str) -> serializers.ListField:
    line = serializers.CharField(max_length=LONGEST_QUOTED)
    return serializers.ListField(child=line, required=False, max_length=MOST_QUOTED, help_text=says)


class ShopIn(CommandIn, UnitsIn):
    """Some of the shop's settings; what is not given stays."""

    currency = serializers.CharField(required=False, max_length=3)
    paper_color = serializers.CharField(
        required=False,
        max_length=7,
        help_text="The color of the shop's papers, such as #5a3a1c; contrast on white at least 4.5 to 1.",
    )
    places = serializers.ListField(
        child=serializers.CharField(max_length=40),
        required=False,
        max_length=MOST_PLACES,
        help_text="Where the air is measured.",
    )
    terms_abroad = serializers.DictField(
        child=serializers.CharField(max_length=4000, allow_blank=True), required=False,
        help_text="Terms by the country of a client, two letters; others get the shop's terms.",
    )  # fmt: skip
    stocked_thicknesses = serializers.ListField(
        child=serializers.ChoiceField(NAMES),
        required=False,
        min_length=1,
        max_length=len(NAMES),
        help_text="Rough thicknesses that the yard stocks; no others are proposed.",
    )
    quote_included = _lines("What every quote says is included.")
    quote_excluded = _lines("What every quote says is not included.")

    def get_fields(self) -> dict[str, serializers.Field]:
        numbers = {
            name: Typed(required=False, **({"allow_null": True} if DEFAULTS[name] is None else {}))
            for name in NUMBERS
        }
        prices = {
            name: serializers.DictField(
                child=Typed(), required=False, help_text=f"A price by name of {what}."
            )
            for name, (what, _) in PRICES.items()
        }
        choices = {name: serializers.ChoiceField(values, required=False) for name, values in CHOICES.items()}
        clocks = {name: serializers.CharField(required=False, max_length=5) for name in CLOCKS}
        accounts = {
            name: serializers.DictField(
                child=serializers.CharField(max_length=20), required=False,
                help_text=f"An account by name: {', '.join(known)}.",
            )
            for name, known in ACCOUNTS.items()
        }  # fmt: skip
        texts = {name: TextField(4000) for name in PRIVATE}
        lengths = {name: Typed(required=False, allow_null=True) for name in LENGTHS}
        return {
            **super().get_fields(),
            **texts,
            **numbers,
            **prices,
            **accounts,
            **choices,
            **clocks,
            **lengths,
        }


class ShopOut(serializers.Serializer):
    """The shop's settings as they stand, defaults beneath."""

    currency = serializers.CharField()
    paper_color = serializers.CharField()
    logo = serializers.CharField(
        help_text="The SHA-256 of the file at shop/logo/; empty where there is none."
    )
    places = serializers.ListField(child=serializers.CharField())
    terms_abroad = serializers.DictField(child=serializers.CharField())
    stocked_thicknesses = serializers.ListField(child=serializers.CharField())
    quote_included = serializers.ListField(child=serializers.CharField())
    quote_excluded = serializers.ListField(child=serializers.CharField())
    version = serializers.IntegerField()

    def get_fields(self) -> dict[str, serializers.Field]:
        numbers = {
            name: serializers.IntegerField()
            if name in WHOLE
            else AmountOut(allow_null=DEFAULTS[name] is None)
            for name in NUMBERS
        }
        prices = {name: serializers.DictField(child=AmountOut()) for name in PRICES}
        accounts = {name: serializers.DictField(child=serializers.CharField()) for name in ACCOUNTS}
        texts = {name: serializers.CharField() for name in (*PRIVATE, *CHOICES, *CLOCKS)}
        lengths = {name: LengthOut(allow_null=True) for name in LENGTHS}
        return {**super().get_fields(), **texts, **numbers, **prices, **accounts, **lengths}


class LogoIn(CommandIn):
    """The logo of the shop's papers."""

    seen_version = seen_of("the shop's settings, 0 before anything was set,")
    logo = PictureField(
        help_text="Base64 of a PNG or an SVG. A drawing keeps its shapes alone; letters must be paths."
    )


class SheetsIn(Shape):
    """The sheets to list."""

    kind = serializers.ChoiceField(Sheet.Kind.values, required=False)


class SheetIn(CommandIn):
    """A product's own data: a new version of its sheet."""

    seen_version = seen_of("the sheet, 0 for the default of its class or a new one,")
    kind = serializers.ChoiceField(Sheet.Kind.values)
    key = serializers.CharField(max_length=60)
    data = serializers.DictField(
        help_text="The fields of the sheet; durations are seconds or text such as 45 min."
    )


class SheetOut(serializers.Serializer):
    """A product's data in its newest version; version 0 is the default of its class."""

    kind = serializers.ChoiceField(Sheet.Kind.values)
    key = serializers.CharField()
    version = serializers.IntegerField()
    data = serializers.DictField()


class LengthIn(UnitsIn):
    """A length as a person types it."""

    text = serializers.CharField(max_length=200)


class SpeciesOut(serializers.Serializer):
    """A species: change of size for each percent of moisture, weight, and where the figures come from."""

    name = serializers.CharField()
    group = serializers.CharField()
    aliases = serializers.ListField(child=serializers.CharField())
    radial = AmountOut(allow_null=True)
    tangential = AmountOut(allow_null=True)
    gravity = AmountOut(allow_null=True)
    gravity_basis = serializers.CharField()
    movement_source = serializers.CharField()
    gravity_source = serializers.CharField()
    elasticity_mpa = AmountOut(allow_null=True)
    elasticity_source = serializers.CharField()
    oily = serializers.BooleanField()


class RouteOut(serializers.Serializer):
    """A route template."""

    key = serializers.CharField()
    title = serializers.CharField()
    needs = serializers.ListField(child=serializers.CharField())
    stages = serializers.ListField(child=serializers.DictField())
    between = serializers.DictField()
    sha256 = serializers.CharField()
    film = serializers.BooleanField(
        allow_null=True, help_text="Whether its finish must leave a film; null where any will do."
    )


ShopDone = done("ShopDone", shop=ShopOut(allow_null=True))
SheetDone = done("SheetDone", sheet=SheetOut(allow_null=True))
