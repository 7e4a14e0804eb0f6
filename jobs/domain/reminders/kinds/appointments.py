"""The reminder of a date outside the shop: the morning before."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django.db.models import Model
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from jobs.domain.planning.queries import dates_by_id
from jobs.domain.reminders.kinds.base import Fact, News, SubjectKind, Telling, reminder_kind
from jobs.domain.reminders.times import DAY, Mornings
from jobs.models import Appointment, Event
from jobs.models.bases import row_key


@reminder_kind
class DateAhead(SubjectKind):
    key, title, place = gettext_noop("date ahead"), gettext_noop("Date outside the shop"), 130
    noun = "appointment"
    load = staticmethod(dates_by_id)
    after = ("appointment_set", "appointment_changed", "appointment_ended")

    def touched(self, event: Event) -> Iterable[str]:
        made = event.kind == "appointment_set"
        return [str(row_key(event.seq) if made else event.data["appointment"])]

    def schedule(self, found: Mapping[str, Any], mornings: Mornings) -> Mapping[str, Iterable[datetime]]:
        return {name: _times(one, mornings) for name, one in found.items()}

    def rows_of(self, row: Appointment) -> Iterable[Model]:
        return [row, *([row.commission] if row.commission else [])]

    def news(self, row: Appointment, tell: Telling) -> News:
        what, about = _(row.get_kind_display()), row.commission
        clock = f" {timezone.localtime(row.starts_at):%H:%M}" if row.starts_at else ""
        line = f"{what.lower()} {tell.day(row.day)}{clock}"
        return News(
            headline=f"{about.number} {tell.texts[about.title_ref]}: {line}" if about else f"{what}: {line}",
            path=f"/plan/dates/{row.id}/",
            commission=about.number if about else "",
            about=about.number.split("-")[1] if about else "",
            line=line,
        )

    def facts(self, row: Appointment, tell: Telling) -> list[Fact]:
        place = tell.texts[row.place_ref]
        hands = str(row.hands)
        return [*([(_("Where"), place)] if place else []), (_("People needed"), hands)]


def _times(one: Appointment, mornings: Mornings) -> list[datetime]:
    if one.step != Appointment.Step.PLANNED:
        return []
    return [mornings.of(one.day - DAY)]
