"""Shapes that several nouns share."""

from typing import Any

from drf_spectacular.utils import inline_serializer
from rest_framework import serializers

from jobs.api.kit.fields import Moment, Whole
from jobs.api.kit.shapes import Shape
from jobs.models.people import LengthUnit, TemperatureUnit

USUAL_PAGE, MOST_PAGE = 50, 100
LARGEST = 2**53 - 1


def seen_of(what: str) -> Whole:
    """Return the field for the version of ``what`` that the caller of a change saw."""
    return Whole(
        required=False,
        min_value=0,
        max_value=LARGEST,
        help_text=f"The version of {what} you saw; the change is refused if there is a newer one.",
    )


class CommandIn(Shape):
    """Fields that every change accepts."""

    occurred_at = Moment(required=False, help_text="When it happened, if not now.")
    seen_version = seen_of("what is changed")


class UnitsIn(Shape):
    """The units of bare numbers and of text."""

    unit = serializers.ChoiceField(LengthUnit.values, required=False)
    temperature_unit = serializers.ChoiceField(TemperatureUnit.values, required=False)


class PageIn(Shape):
    """The page of a list."""

    limit = Whole(required=False, min_value=1, max_value=MOST_PAGE)
    cursor = serializers.CharField(required=False, max_length=300)


def done(name: str, **resource: Any) -> Any:
    """Return the shape of an answer to a command: events, whether it is a replay, notices, the resource."""
    return inline_serializer(
        name,
        {
            "events": serializers.ListField(
                child=serializers.IntegerField(), help_text="Numbers in the log."
            ),
            "replayed": serializers.BooleanField(help_text="Whether this key was carried out before."),
            "notices": serializers.ListField(child=serializers.CharField()),
            **resource,
        },
    )


def page(name: str, one: Any) -> Any:
    """Return the shape of a page of a list."""
    return inline_serializer(
        name,
        {
            "next": serializers.URLField(allow_null=True),
            "previous": serializers.URLField(allow_null=True),
            "results": one,
        },
    )
