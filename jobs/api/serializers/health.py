"""Whether the service is well."""

from rest_framework import serializers


class HealthOut(serializers.Serializer):
    """Well, or not and why."""

    status = serializers.ChoiceField(["well", "unwell"])
    reasons = serializers.ListField(child=serializers.CharField())
