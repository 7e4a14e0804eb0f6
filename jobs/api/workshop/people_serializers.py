"""People, their settings and their tokens."""

from rest_framework import serializers

from jobs.api.kit.fields import TextField
from jobs.api.kit.shapes import Shape
from jobs.models.people import LengthUnit, Role, Scope, TemperatureUnit


class _Settings(Shape):
    name = TextField(120)
    email = serializers.EmailField(required=False, allow_blank=True, max_length=254)
    unit = serializers.ChoiceField(LengthUnit.values, required=False)
    temperature_unit = serializers.ChoiceField(TemperatureUnit.values, required=False)
    reminders_by_mail = serializers.BooleanField(required=False)
    quiet_from = TextField(5, help_text="Time of day; mails of reminders wait from then,")
    quiet_to = TextField(5, help_text="until then. Safety tasks do not wait.")
    wake_for_closing = serializers.BooleanField(
        required=False, help_text="Send the reminder of a window that closes in quiet hours at its time."
    )


class MeIn(_Settings):
    """A person's own settings; a new password needs the present one."""

    password = serializers.CharField(required=False, max_length=200, write_only=True)
    current_password = serializers.CharField(required=False, max_length=200, write_only=True)


class PersonIn(_Settings):
    """Somebody new."""

    username = serializers.CharField(max_length=60)
    password = serializers.CharField(max_length=200, write_only=True)
    role = serializers.ChoiceField(Role.values, required=False)


class PersonChangeIn(_Settings):
    """Changes that the owner makes to a person."""

    role = serializers.ChoiceField(Role.values, required=False)
    is_active = serializers.BooleanField(required=False)
    password = serializers.CharField(required=False, max_length=200, write_only=True)


class PersonOut(serializers.Serializer):
    """A person; the id is what events name."""

    id = serializers.CharField()
    username = serializers.CharField()
    name = serializers.CharField()
    email = serializers.CharField()
    role = serializers.ChoiceField(Role.values)
    unit = serializers.ChoiceField(LengthUnit.values)
    temperature_unit = serializers.ChoiceField(TemperatureUnit.values)
    reminders_by_mail = serializers.BooleanField()
    quiet_from = serializers.CharField()
    quiet_to = serializers.CharField()
    wake_for_closing = serializers.BooleanField()
    is_active = serializers.BooleanField()


class TokensIn(Shape):
    """Whose tokens; the owner may ask for another person's."""

    person = serializers.CharField(required=False, max_length=40)


class TokenIn(TokensIn):
    """A new token."""

    label = serializers.CharField(max_length=80)
    scope = serializers.ChoiceField(
        Scope.values,
        required=False,
        help_text="What it opens; all, if not told. A calendar's link is /calendar/<text>.ics, a wall's"
        " /wall/<text>/.",
    )


class TokenOut(serializers.Serializer):
    """A token, without its text."""

    id = serializers.IntegerField()
    person = serializers.CharField(source="person_id")
    label = serializers.CharField()
    scope = serializers.ChoiceField(Scope.values)
    created_at = serializers.DateTimeField()
    last_used_at = serializers.DateTimeField(allow_null=True)
    revoked_at = serializers.DateTimeField(allow_null=True)


class NewTokenOut(serializers.Serializer):
    """A token just made; its text is shown this once."""

    token = TokenOut()
    text = serializers.CharField()
