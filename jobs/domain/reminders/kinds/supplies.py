"""The reminder of a supply: it ran low, or its last good day is over."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from jobs.domain.reminders.kinds.base import (
    Fact,
    News,
    Preference,
    SubjectKind,
    Telling,
    reminder_kind,
    rows_by,
)
from jobs.domain.reminders.times import DAY, Mornings
from jobs.domain.stock.shelf_life import best_before
from jobs.models import Event, Supply
from jobs.models.bases import row_key

TO_BUY = (Supply.Level.LOW, Supply.Level.EMPTY)


@reminder_kind
class SupplyLow(SubjectKind):
    key, title, place = gettext_noop("supply low"), gettext_noop("Supply low or past its date"), 150
    usual = Preference(by_push=False)
    does = gettext_lazy("Order")
    can_wait = True
    noun = "supply"
    load = staticmethod(rows_by("id", Supply.objects.all()))
    after = (
        "supply_added", "supply_opened", "supply_level_set", "supply_refilled", "supply_discarded",
        "sheet_set",
    )  # fmt: skip

    def touched(self, event: Event) -> Iterable[str]:
        if event.kind == "sheet_set":
            found = Supply.objects.filter(sheet=event.data["key"])
            return map(str, found.values_list("id", flat=True))
        return [str(row_key(event.seq) if event.kind == "supply_added" else event.data["supply"])]

    def schedule(self, found: Mapping[str, Any], mornings: Mornings) -> Mapping[str, Iterable[datetime]]:
        versions = {supply.version for supply in found.values()}
        changed = dict(Event.objects.filter(seq__in=versions).values_list("seq", "occurred_at"))
        return {
            name: _mornings_of_supply(supply, changed[supply.version], mornings)
            for name, supply in found.items()
        }

    def news(self, row: Supply, tell: Telling) -> News:
        name, best = tell.texts[row.name_ref], best_before(row)
        says = [_(row.level)] if row.level in TO_BUY else []
        short = list(says)
        if best is not None and best < tell.today:
            says.append(_("past its date, %(day)s") % {"day": tell.day(best)})
            short.append(_("ended %(day)s") % {"day": date_format(best, "j M")})
        line = ", ".join(says) or _(row.level)
        path = f"/stock/supplies/{row.id}/"
        short_line = ", ".join(short) or line
        return News(headline=f"{name}: {line}", path=path, about=name, line=short_line)

    def facts(self, row: Supply, tell: Telling) -> list[Fact]:
        return [(_("Kind"), _(row.get_kind_display())), (_("Lot"), row.lot)]


def _mornings_of_supply(supply: Supply, changed: datetime, mornings: Mornings) -> list[datetime]:
    """Return the morning after a supply ran low, and the one after its last good day."""
    if supply.discarded_at is not None:
        return []
    found = {mornings.after(changed)} if supply.level in TO_BUY else set()
    best = best_before(supply)
    if best is not None and supply.level != Supply.Level.EMPTY:
        found.add(mornings.of(best + DAY))
    return sorted(found)
