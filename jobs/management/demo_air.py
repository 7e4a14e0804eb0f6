"""The air of the demo shop: two weeks of it, heated by day and cooler by night."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

from django.utils import timezone

DAYS, EVERY = 14, timedelta(minutes=30)
DAY_C, NIGHT_C = 19.5, 14.0
HEATED_FROM, HEATED_TO = 6, 18
"""Hours on the shop's clock."""
FOLLOWS = 0.15
"""Share of the gap to the target temperature that the air closes in each step."""
DAY_PCT, PCT_PER_C = 44, 1.6
"""Relative humidity by day [%], and the percent that each degree colder adds."""
TURNS = (0.0, 0.5, -0.3, 0.2, -0.5)
"""Offsets that make one day differ from another [°C]."""


def two_weeks(now: datetime) -> Iterator[dict[str, Any]]:
    """Yield readings [°C, %] up to now."""
    temp_c = NIGHT_C
    for n in range(DAYS * int(timedelta(days=1) / EVERY), -1, -1):
        at = now - n * EVERY
        local = timezone.localtime(at)
        heated = HEATED_FROM <= local.hour < HEATED_TO
        aim = (DAY_C if heated else NIGHT_C) + TURNS[local.toordinal() % len(TURNS)]
        temp_c += (aim - temp_c) * FOLLOWS
        humidity = DAY_PCT + (DAY_C - temp_c) * PCT_PER_C
        yield {"at": at, "temperature": f"{temp_c:.1f}", "humidity": f"{humidity:.0f}"}
