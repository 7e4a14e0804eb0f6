"""Waits of two slow glues, and readings of the air they stand in.

The epoxy is the shop's own: 12 h to unclamp at 20 °C, not below 10 °C. Makers' application notes of two-part
adhesives say that time doubles for each 10 °C colder (``calcs/tables/rate_laws.csv``).
"""

from datetime import datetime, timedelta

from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.models import Wait, WaitEstimate
from tests.shop_fixtures import QUICK, QUICK_GLUE, Work, measured

HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)
EPOXY = QUICK_GLUE | {
    "name": "Slow epoxy", "family": "epoxy", "water_based": False, "open_s": "40 min", "closed_s": "1 h",
    "scrape_from_s": "2 h", "scrape_to_s": "4 h", "unclamp_s": "12 h", "machine_s": "24 h",
    "surface_s": "48 h", "full_s": "7 d", "rate_k": "6000",
}  # fmt: skip
PVA = QUICK_GLUE | {
    "name": "Slow yellow glue", "scrape_from_s": "20 min", "scrape_to_s": "1 h", "unclamp_s": "4 h",
    "machine_s": "24 h", "surface_s": "3 d", "full_s": "7 d",
}  # fmt: skip


def clamped(work: Work, glue: str = "slow-epoxy") -> Wait:
    piece = work.accepted(**{**QUICK, "glue": glue})
    work.do_until(piece, "glue-up")
    return Wait.objects.get(stage__piece=piece, kind="unclamp", step=Wait.Step.RUNNING)


def air(
    work: Work, since: datetime, temps: list[float], *, every: timedelta = HOUR, place: str = "shop"
) -> None:
    entries = [
        {"at": since + n * HOUR, "temperature": str(t), "humidity": 50, "place": place}
        for n, t in enumerate(temps)
    ]
    taken = measured(entries, source="sensor-1", temperature_unit="C", now=since + len(temps) * HOUR)
    assert not taken.refused, taken.refused


def estimate(wait: Wait) -> WaitEstimate:
    return WaitEstimate.objects.get(wait=wait)


def one_more(work: Work, wait: Wait, temp: int) -> CaptureQueriesContext:
    """Take a reading a minute after the wait began; return the queries made."""
    with CaptureQueriesContext(connection) as asked:
        measured(
            [{"at": wait.since + MINUTE, "temperature": str(temp)}],
            source=f"sensor-{temp}", temperature_unit="C", now=wait.since + HOUR,
        )  # fmt: skip
    return asked
