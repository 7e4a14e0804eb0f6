"""The health of the service."""

from rest_framework import serializers


class HealthOut(serializers.Serializer):
    """Well, or not and why. A warning still answers 200: something needs a hand before it becomes trouble."""

    status = serializers.ChoiceField(["well", "warning", "unwell"])
    reasons = serializers.ListField(child=serializers.CharField())
