"""Temperature and humidity of the shop's places, as a time series outside the log."""

from typing import ClassVar

from django.db import models

from jobs.models.bases import Derived, Kept


class Reading(Kept):
    """A measurement at one place and moment. A bad reading is voided, never deleted."""

    why_kept: ClassVar[str] = "a measurement of the air changes no commission; what rests on it is in events"

    place = models.CharField(max_length=40)
    source = models.CharField(max_length=60)
    at = models.DateTimeField()
    temp_c = models.DecimalField(max_digits=5, decimal_places=2, null=True)
    rh_pct = models.DecimalField(max_digits=5, decimal_places=2, null=True)
    recorded_at = models.DateTimeField()
    voided_at = models.DateTimeField(null=True)
    voided_by = models.CharField(max_length=60, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["place", "source", "at"],
                condition=models.Q(voided_at=None),
                name="one_reading_a_moment",
            )
        ]
        indexes = [models.Index(fields=["place", "at"], name="readings_of_a_place")]


class AirMean(Derived):
    """Mean of the readings of a place in one quarter hour, counted from the epoch.

    A ``frozen`` mean outlives its readings, which were thinned; it is not recalculated.
    """

    place = models.CharField(max_length=40)
    step = models.BigIntegerField()
    temp_c = models.FloatField(null=True)
    rh_pct = models.FloatField(null=True)
    frozen = models.BooleanField(default=False)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["place", "step"], name="one_mean_a_quarter")]
