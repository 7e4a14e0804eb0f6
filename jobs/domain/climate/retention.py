"""Thinning of old readings to one an hour of each source, once no running wait rests on them.

The means of their quarter hours stay. Events hold the air that finished waits went through.
"""

from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import islice

from django.db import transaction
from django.db.models import Min

from jobs.domain.climate.air_history import step_of
from jobs.log.commands import lock_log
from jobs.models import AirMean, Reading, Wait

KEPT = timedelta(days=60)
HOUR_S = 3600
BATCH = 500


def thinned_until(now: datetime) -> datetime:
    """Return the hour before which readings are thinned: 60 days ago, or before the oldest running wait."""
    begun = Wait.objects.filter(step=Wait.Step.RUNNING).aggregate(Min("since"))["since__min"]
    moment = min(now - KEPT, begun) if begun else now - KEPT
    return moment.replace(minute=0, second=0, microsecond=0)


def downsample(*, now: datetime, only_count: bool = False) -> int:
    """Delete old readings beyond the first of each hour, place and source; return how many.

    Running it twice is safe. Voided readings stay: they are evidence, and few.
    """
    until, gone = thinned_until(now), 0
    beyond = _beyond(until)
    while keys := list(islice(beyond, BATCH)):
        gone += len(keys)
        if not only_count:
            _drop(keys, until)
    return gone


def _beyond(until: datetime) -> Iterator[int]:
    """Yield the keys of the readings to delete; the first of each hour stays."""
    rows = Reading.objects.filter(at__lt=until, voided_at=None).order_by("place", "source", "at", "id")
    last = None
    for key, place, source, at in rows.values_list("id", "place", "source", "at").iterator(chunk_size=5000):
        hour = (place, source, int(at.timestamp() // HOUR_S))
        if hour == last:
            yield key
        last = hour


@transaction.atomic
def _drop(keys: list[int], until: datetime) -> None:
    """Freeze the means, then delete these readings, so that nothing recalculates the means from the rest."""
    lock_log()
    AirMean.objects.filter(step__lt=step_of(until), frozen=False).update(frozen=True)
    Reading.objects.filter(id__in=keys).delete()
