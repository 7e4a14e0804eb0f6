"""Times on the shop's clock: mornings, days and moments in words."""

from datetime import date, datetime, time, timedelta

from django.utils import timezone
from django.utils.dateformat import format as date_format

from jobs.domain.settings import settings

DAY = timedelta(days=1)


class Mornings:
    """The shop's mornings, on its clock."""

    def __init__(self) -> None:
        self.clock = time.fromisoformat(settings()["morning"])

    def of(self, day: date) -> datetime:
        return datetime.combine(day, self.clock, timezone.get_current_timezone())

    def after(self, moment: datetime) -> datetime:
        """Return the first morning at or after this moment."""
        morning = self.of(local_day(moment))
        return morning if morning >= moment else self.of(local_day(moment) + DAY)


def local_day(moment: datetime) -> date:
    """Return the day of a moment on the shop's clock."""
    return timezone.localtime(moment).date()


def day_clock(moment: datetime, now: datetime, *, zone: bool = False) -> str:
    """Return a moment on the shop's clock: the time if today, else with its day."""
    local, today = timezone.localtime(moment), local_day(now)
    text = f"{local:%H:%M}" if local.date() == today else f"{date_format(local, 'D d M Y')} {local:%H:%M}"
    return f"{text} {local:%Z}" if zone else text
