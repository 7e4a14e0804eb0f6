"""Readings of temperature and humidity."""

from rest_framework import serializers

from jobs.api.kit.fields import AmountOut, Moment, Typed
from jobs.api.kit.serializer_bases import PageIn
from jobs.api.kit.shapes import Shape
from jobs.domain.climate.readings import MOST_AT_ONCE
from jobs.models import Reading
from jobs.models.people import TemperatureUnit


class OneIn(Shape):
    """One measurement: a temperature, a humidity, or both."""

    place = serializers.CharField(required=False, max_length=60, help_text="The shop's first, if not told.")
    at = Moment(required=False, help_text="Now, if not told.")
    temperature = Typed(required=False, allow_null=True)
    humidity = Typed(required=False, allow_null=True)


class ReadingsIn(OneIn):
    """One reading, or a list under ``readings``."""

    temperature_unit = serializers.ChoiceField(
        TemperatureUnit.values, required=False, help_text="Of bare numbers: the person's, or C of a sensor."
    )
    readings = serializers.ListField(child=serializers.DictField(), max_length=MOST_AT_ONCE, required=False)


class RefusedOut(serializers.Serializer):
    """An entry that was not kept."""

    entry = serializers.IntegerField(help_text="Which, from 1.")
    detail = serializers.CharField()
    field = serializers.CharField()
    value = serializers.CharField()
    allowed = serializers.CharField()


class UnderstoodOut(serializers.Serializer):
    """A reading as it was understood."""

    place = serializers.CharField()
    at = serializers.DateTimeField()
    temperature_c = AmountOut(source="temp_c", allow_null=True, help_text="In °C.")
    temperature_f = serializers.SerializerMethodField(help_text="In °F.")
    humidity = AmountOut(source="rh_pct", allow_null=True, help_text="In %.")

    def get_temperature_f(self, reading: Reading) -> str | None:
        return None if reading.temp_c is None else f"{reading.temp_c * 9 / 5 + 32:.2f}"


class TakenOut(serializers.Serializer):
    """The result: entries kept, repeated and refused."""

    kept = serializers.IntegerField()
    first = UnderstoodOut(allow_null=True, help_text="The first that was kept, as it was understood.")
    repeated = serializers.IntegerField(help_text="Known already: nothing was changed.")
    refused = RefusedOut(many=True)


class WhichIn(PageIn):
    """The place and the period to list."""

    place = serializers.CharField(required=False, max_length=60)
    since = Moment(required=False)
    until = Moment(required=False)


class AirReadingOut(serializers.Serializer):
    """A reading."""

    id = serializers.IntegerField()
    place = serializers.CharField()
    source = serializers.CharField()
    at = serializers.DateTimeField()
    temp_c = AmountOut(allow_null=True)
    rh_pct = AmountOut(allow_null=True)
    voided_at = serializers.DateTimeField(allow_null=True)


class AirReadingPage(serializers.Serializer):
    """Readings, the one taken down last first."""

    next = serializers.CharField(allow_null=True)
    previous = serializers.CharField(allow_null=True)
    results = AirReadingOut(many=True)


class ClimateIn(Shape):
    """The place, and the first moment."""

    place = serializers.CharField(required=False, max_length=60, help_text="The shop's first, if not told.")
    since = Moment(required=False, help_text="Two weeks ago, if not told; a year at most.")


class QuarterOut(serializers.Serializer):
    """The mean of one quarter hour; null where that was not measured."""

    at = serializers.DateTimeField()
    temp_c = serializers.FloatField(allow_null=True)
    rh_pct = serializers.FloatField(allow_null=True)


class UsualOut(serializers.Serializer):
    """The usual air at a quarter hour of the day."""

    minute = serializers.IntegerField(help_text="Of the day, in UTC.")
    temp_c = serializers.FloatField()
    rh_pct = serializers.FloatField()


class HabitOut(serializers.Serializer):
    """The habit of a place, of the two weeks before its last reading."""

    spread_c = serializers.FloatField(help_text="Standard deviation of its days from it.")
    day = UsualOut(many=True)


class ClimateOut(serializers.Serializer):
    """The air of a place."""

    place = serializers.CharField()
    quarters = QuarterOut(many=True)
    habit = HabitOut(allow_null=True)
    expected = QuarterOut(many=True, help_text="After the last reading, two days.")
