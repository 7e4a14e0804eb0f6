"""The reminder that a promise is at risk by the plan."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, ClassVar

from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from jobs.domain.reminders.kinds.base import Fact, Load, Telling, reminder_kind, rows_by
from jobs.domain.reminders.kinds.commissions import CHANGES, OfCommission
from jobs.domain.reminders.times import Mornings
from jobs.models import Commission


@reminder_kind
class RiskByPlan(OfCommission):
    """The morning after a promise came to be at risk by the plan; once, while it stays so."""

    key, title, place = gettext_noop("promise off plan"), gettext_noop("Promise at risk by the plan"), 105
    owners_only = True
    can_wait = True
    does = gettext_lazy("See what helps")
    load: ClassVar[Load] = staticmethod(
        rows_by(
            "number",
            Commission.objects.filter(risk__at_risk_since__isnull=False).select_related("risk"),
        )
    )
    after = CHANGES

    def schedule(self, found: Mapping[str, Any], mornings: Mornings) -> Mapping[str, Iterable[datetime]]:
        return {number: [mornings.after(row.risk.at_risk_since)] for number, row in found.items()}

    def says(self, row: Any, tell: Telling) -> str:
        return _("promised %(promised)s, ready %(day)s in 8 of 10 cases") % self._days(row)

    def line(self, row: Any, tell: Telling) -> str:
        return _("promise at risk, %(day)s instead of %(promised)s") % self._days(row)

    def _days(self, row: Any) -> dict[str, str]:
        return {
            "promised": date_format(row.risk.promised, "j M"),
            "day": date_format(row.risk.in_eight_of_ten, "j M"),
        }

    def fact(self, row: Any) -> Fact:
        return _("Held up by"), row.risk.held_by.partition(":")[2] or _("work at the bench")
