"""Reminders of a commission: its promise is at risk, its client heard nothing, it is to be delivered."""

from abc import abstractmethod
from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any, ClassVar

from django.db.models import Max
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop, ngettext

from jobs.domain import lookups
from jobs.domain.reminders.kinds.base import (
    Fact,
    Load,
    News,
    Preference,
    SubjectKind,
    Telling,
    reminder_kind,
    rows_by,
)
from jobs.domain.reminders.times import DAY, Mornings, local_day
from jobs.domain.settings import settings
from jobs.log.projections import rows
from jobs.models import ClientUpdate, Commission, Event, Stage, Wait

AHEAD = timedelta(days=3)
"""Lead of reminders about a promise or a payment. Common practice, no source."""
IN_WORK = (Commission.Step.ACCEPTED, Commission.Step.IN_SHOP)
TO_BE_TOLD = (*IN_WORK, Commission.Step.READY)
CHANGES = (
    "commission_opened",
    "commission_changed",
    "commission_moved",
    "acceptance_taken_back",
    "decline_taken_back",
)
OF_WAITS = (
    "wait_started", "wait_changed", "wait_start_corrected", "wait_finished", "wait_end_taken_back",
    "stage_put_back",
    "stage_reopened", "stage_redone", "route_changed", "piece_changed", "piece_removed",
)  # fmt: skip
"""Events after which waits of a piece may delay a promise."""


def load_commissions(names: Collection[str] | None) -> Mapping[str, Commission]:
    """Return commissions by number, from memory where held; all of them for None."""
    found = Commission.objects.all() if names is None else lookups.commissions(names)
    return {commission.number: commission for commission in found}


def about_commission(
    row: Commission, says: str, path: str, tell: Telling, *, line: str = "", late: bool = False
) -> News:
    """Return news about a commission, with its number and title; ``line`` where it is said shorter."""
    return News(
        headline=f"{row.number} {tell.texts[row.title_ref]}: {says}",
        path=path,
        commission=row.number,
        about=lookups.short_number(row.number),
        line=line or says,
        late=late,
    )


def commission_fact(row: Commission, tell: Telling) -> Fact:
    """Return the commission as a fact below the headline."""
    return _("Commission"), f"{row.number}, {tell.texts[row.title_ref]}"


class OfCommission(SubjectKind):
    """A kind about a commission."""

    noun = "commission"
    load: ClassVar[Load] = staticmethod(load_commissions)
    after: ClassVar[tuple[str, ...]] = CHANGES
    page: ClassVar[str] = ""
    """The part of the page's address after the commission."""

    @abstractmethod
    def says(self, row: Commission, tell: Telling) -> str:
        """Return the headline without the commission."""

    @abstractmethod
    def fact(self, row: Commission) -> Fact:
        """Return the fact that matters most."""

    def line(self, row: Commission, tell: Telling) -> str:
        """Return the headline in the words of one line; the same where it is short."""
        return self.says(row, tell)

    def is_late(self, row: Commission, today: date) -> bool:
        """Return whether it should have been done before."""
        return False

    def news(self, row: Commission, tell: Telling) -> News:
        return about_commission(
            row,
            self.says(row, tell),
            f"/commissions/{row.number}/{self.page}",
            tell,
            line=self.line(row, tell),
            late=self.is_late(row, tell.today),
        )

    def facts(self, row: Commission, tell: Telling) -> list[Fact]:
        return [commission_fact(row, tell), self.fact(row)]


@reminder_kind
class PromiseAtRisk(OfCommission):
    """Some days before a promise, and as soon as a wait will last beyond it."""

    key, title, place = gettext_noop("promise at risk"), gettext_noop("Promise date at risk"), 110
    can_wait = True
    after = (*CHANGES, *OF_WAITS)

    def touched(self, event: Event) -> Iterable[str]:
        """Return the commission; not where the waits of its piece delay no promise."""
        known = rows.held(event.data["piece"]) if event.kind in OF_WAITS else None
        no_promise = known is not None and known.piece.commission.promise_on is None
        return () if no_promise else super().touched(event)

    def schedule(self, found: Mapping[str, Any], mornings: Mornings) -> Mapping[str, Iterable[datetime]]:
        promised = [c for c in found.values() if c.promise_on is not None and c.step in IN_WORK]
        ending = _running_waits(promised)
        return {c.number: _mornings_of(c.promise_on, c, ending.get(c.id, []), mornings) for c in promised}

    def says(self, row: Commission, tell: Telling) -> str:
        return _("promised for %(promise_on)s, not ready") % {"promise_on": tell.day(row.promise_on)}

    def line(self, row: Commission, tell: Telling) -> str:
        assert row.promise_on is not None, "only a promise is at risk"
        day = date_format(row.promise_on, "j M")
        return _("promised %(day)s, not ready") % {"day": day}

    def is_late(self, row: Commission, today: date) -> bool:
        return row.promise_on is not None and row.promise_on < today

    def fact(self, row: Commission) -> Fact:
        done = (Stage.Step.DONE, Stage.Step.SKIPPED)
        count = Stage.objects.filter(piece__commission=row).exclude(step__in=done).count()
        return _("Still to do"), ngettext("%(count)s stage", "%(count)s stages", count) % {"count": count}


@reminder_kind
class ClientNotTold(OfCommission):
    """After some days without news for the client."""

    key, title, place = gettext_noop("client not told"), gettext_noop("Client not told for a while"), 120
    usual = Preference(by_push=False)
    can_wait = True
    load = staticmethod(rows_by("number", Commission.objects.annotate(last_update=Max("updates__told_at"))))
    rests_on = staticmethod(load_commissions)
    after = (*CHANGES, "client_told")
    settings = (*OfCommission.settings, "tell_client_days")
    page = "tell/"
    does = gettext_lazy("Write")

    def schedule(self, found: Mapping[str, Any], mornings: Mornings) -> Mapping[str, Iterable[datetime]]:
        usual = int(settings()["tell_client_days"] or 0)
        days = {c.number: usual if c.tell_days is None else c.tell_days for c in found.values()}
        told = _last_told([c for c in found.values() if days[c.number] and c.step in TO_BE_TOLD])
        at = {c.number: told[c.id] for c in found.values() if c.id in told}
        named = {number: [mornings.of(local_day(when) + days[number] * DAY)] for number, when in at.items()}
        return {**dict.fromkeys(found, ()), **named}

    def says(self, row: Any, tell: Telling) -> str:
        told = local_day(row.last_update or row.step_at)
        return _("client heard nothing since %(day)s") % {"day": tell.day(told)}

    def line(self, row: Any, tell: Telling) -> str:
        days = (tell.today - local_day(row.last_update or row.step_at)).days
        return ngettext("heard nothing for %(days)s day", "heard nothing for %(days)s days", days) % {
            "days": days
        }

    def fact(self, row: Commission) -> Fact:
        return _("It stands at"), _(row.get_step_display())


@reminder_kind
class DeliverTomorrow(OfCommission):
    """The morning before the promised day of what is ready."""

    key, title, place = gettext_noop("deliver tomorrow"), gettext_noop("Deliver tomorrow"), 140

    def schedule(self, found: Mapping[str, Any], mornings: Mornings) -> Mapping[str, Iterable[datetime]]:
        return {number: _eve_of_delivery(commission, mornings) for number, commission in found.items()}

    def says(self, row: Commission, tell: Telling) -> str:
        return _("to be delivered %(promise_on)s") % {"promise_on": tell.day(row.promise_on)}

    def fact(self, row: Commission) -> Fact:
        return _("Before it leaves"), _("the delivery checklist, on the commission's page")


def _mornings_of(
    promise: date, commission: Commission, ending: list[tuple[datetime, datetime]], mornings: Mornings
) -> list[datetime]:
    """Return the mornings to tell of a promise.

    ``ending`` holds, for each running wait, when it began and when it ends at the latest.
    """
    near = mornings.after(max(mornings.of(promise - AHEAD), commission.opened_at))
    too_long = [since for since, until in ending if local_day(until) > promise]
    first = mornings.after(min(too_long)) if too_long else near
    return sorted({near, min(near, first)})


def _eve_of_delivery(commission: Commission, mornings: Mornings) -> list[datetime]:
    if commission.promise_on is None or commission.step != Commission.Step.READY:
        return []
    eve = max(mornings.of(commission.promise_on - DAY), commission.step_at)
    return [eve] if local_day(eve) < commission.promise_on else []


def _running_waits(commissions: Collection[Commission]) -> dict[int, list[tuple[datetime, datetime]]]:
    """Return by commission when each running wait began and when it ends at the latest."""
    running = Wait.objects.filter(
        step=Wait.Step.RUNNING, stage__piece__commission__in=commissions, estimate__ready_at__isnull=False
    )
    found: dict[int, list[tuple[datetime, datetime]]] = {}
    times = ("since", "estimate__latest_at", "estimate__ready_at")
    for commission, since, latest, ready in running.values_list("stage__piece__commission_id", *times):
        found.setdefault(commission, []).append((since, latest or ready))
    return found


def _last_told(commissions: Collection[Commission]) -> dict[int, datetime]:
    """Return when each client last heard of a commission: by the newest update, else by its last step."""
    updates = ClientUpdate.objects.filter(commission__in=commissions).order_by("told_at")
    return {c.id: c.step_at for c in commissions} | dict(updates.values_list("commission", "told_at"))
