"""Fields of our own: what a person types, exact decimals, times with their zone, lengths in both units."""

from decimal import Decimal
from typing import Any

from django.utils.dateparse import parse_datetime
from drf_spectacular.utils import extend_schema_field, inline_serializer
from rest_framework import serializers

from calcs.kit.typed import plain_decimal

EARLIEST_YEAR = 2000
LONGEST_TYPED = 200


@extend_schema_field({"type": ["string", "number", "boolean"], "maxLength": LONGEST_TYPED})
class Typed(serializers.Field[Any, Any, Any, Any]):
    """The entry of one box: text, or a number or truth value standing for its text."""

    default_error_messages = {"invalid": "not text or a number.", "long": "too long."}

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str | int | Decimal):
            self.fail("invalid")
        text = str(data)
        if len(text) > LONGEST_TYPED:
            self.fail("long")
        return text

    def to_representation(self, value: Any) -> Any:
        return value


class Exact(serializers.DecimalField):
    """A decimal with the places it was given with; a text is plain digits, a sign and a point at most."""

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, str) and plain_decimal(data) is None:
            self.fail("invalid")
        return super().to_internal_value(data)

    def quantize(self, value: Decimal) -> Decimal:
        return value


class Whole(serializers.IntegerField):
    """A whole number; a text is plain digits, a sign and a point at most."""

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, str) and plain_decimal(data) is None:
            self.fail("invalid")
        return super().to_internal_value(data)


class Moment(serializers.DateTimeField):
    """A time that says its zone."""

    default_error_messages = {"naive": "a time needs its zone.", "early": "before this century."}

    def to_internal_value(self, value: Any) -> Any:
        read = super().to_internal_value(value)
        if isinstance(value, str) and (typed := _read(value)) is not None and typed.tzinfo is None:
            self.fail("naive")
        if read.year < EARLIEST_YEAR:
            self.fail("early")
        return read


def _read(text: str) -> Any:
    try:
        return parse_datetime(text)
    except ValueError:
        return None


class TextField(serializers.CharField):
    """Text that may be left empty."""

    def __init__(self, longest: int, **options: Any) -> None:
        super().__init__(**{"required": False, "allow_blank": True, **options}, max_length=longest)


LengthOut = inline_serializer(
    "Length",
    {
        "units": serializers.IntegerField(help_text="1/8 micrometre"),
        "in": serializers.CharField(help_text="to 1/64 in, with ≈ where that is not exact"),
        "mm": serializers.CharField(help_text="to 0.1 mm, with ≈ where that is not exact"),
    },
).__class__


@extend_schema_field({"type": "string", "format": "decimal"})
class AmountOut(serializers.CharField):
    """A decimal as text."""
