"""Reminders of a wait: ready, its window, too cold, and a told time that moved."""

from datetime import datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from calcs.curing.series import STEP_S
from jobs.domain.reminders.kinds.base import Preference, WaitKind, reminder_kind
from jobs.domain.reminders.times import day_clock
from jobs.domain.waits.route import look_at
from jobs.models import Person, Wait, WaitEstimate

CLOSING_LEAD = timedelta(minutes=15)
"""Lead of the reminder before a window closes; a quarter of a shorter window."""


class ReadyOrWindow(WaitKind):
    """Words about the ready time of a wait, and its window where it has one."""

    def says(self, wait: Wait, now: datetime, *, zone: bool) -> str:
        estimate = wait.estimate
        assert estimate.ready_at is not None, "a wait without a ready time has no such reminder"
        ready, ahead = day_clock(estimate.ready_at, now, zone=zone), estimate.ready_at > now
        if estimate.closes_at is None:
            said = _("ready %(ready)s") if ahead else _("ready since %(ready)s")
            return said % {"ready": ready}
        closes = day_clock(estimate.closes_at, now, zone=zone)
        if is_closed(wait, now):
            return _("window closed %(closes)s") % {"closes": closes}
        return self.of_window(ready, closes, ahead=ahead)

    def of_window(self, ready: str, closes: str, *, ahead: bool) -> str:
        """Return the words about a window that has not closed."""
        if ahead:
            return _("window opens %(ready)s, closes %(closes)s") % {"ready": ready, "closes": closes}
        return _("window open since %(ready)s, closes %(closes)s") % {"ready": ready, "closes": closes}


@reminder_kind
class Ready(ReadyOrWindow):
    key, title, place = gettext_noop("ready"), gettext_noop("Ready"), 10
    with_lead = tells_ready = True
    does = gettext_lazy("Start")
    on_bench = gettext_lazy("ready since")

    def moment(self, estimate: WaitEstimate) -> datetime | None:
        return estimate.ready_at if estimate.closes_at is None else None


@reminder_kind
class MayBeReady(WaitKind):
    key, title, place = gettext_noop("may be ready"), gettext_noop("May be ready: look at it"), 20
    does = gettext_lazy("Look")
    on_bench, bench_time = gettext_lazy("may be ready, look at it"), ""

    def moment(self, estimate: WaitEstimate) -> datetime | None:
        has_window = estimate.ready_at is not None and estimate.closes_at is not None
        return look_at(estimate.wait, estimate) if has_window else None

    def says(self, wait: Wait, now: datetime, *, zone: bool) -> str:
        return _("may be ready, look at it")


@reminder_kind
class WindowOpens(ReadyOrWindow):
    key, title, place = gettext_noop("window opens"), gettext_noop("Window opens"), 30
    with_lead = tells_ready = bench_closes = True
    does = gettext_lazy("Start")
    supersedes = MayBeReady.key
    on_bench = gettext_lazy("can be done since")

    def moment(self, estimate: WaitEstimate) -> datetime | None:
        return estimate.ready_at if estimate.closes_at is not None else None


@reminder_kind
class WindowClosesSoon(ReadyOrWindow):
    key, title, place = gettext_noop("window closes soon"), gettext_noop("Window closes soon"), 40
    with_lead = before_quiet = True
    does = gettext_lazy("Start")
    supersedes = WindowOpens.key
    on_bench, bench_time = gettext_lazy("its window closes"), "closes_at"

    def may_wake(self, person: Person, wish: Preference) -> bool:
        """Return the person's own setting, which decides alone."""
        return person.wake_for_closing

    def moment(self, estimate: WaitEstimate) -> datetime | None:
        return closing_soon(estimate)

    def of_window(self, ready: str, closes: str, *, ahead: bool) -> str:
        return _("window closes %(closes)s") % {"closes": closes}


@reminder_kind
class TooCold(WaitKind):
    key, title, place = gettext_noop("too cold"), gettext_noop("Too cold, or suspect"), 50
    at_once = True
    does = gettext_lazy("Look")
    on_bench, bench_time = gettext_lazy("too cold or suspect, look at it"), ""

    def moment(self, estimate: WaitEstimate) -> datetime | None:
        if not (estimate.suspect or estimate.cold_at) or estimate.known_until is None:
            return None
        return max(estimate.known_until - timedelta(seconds=STEP_S), estimate.wait.since)

    def says(self, wait: Wait, now: datetime, *, zone: bool) -> str:
        estimate = wait.estimate
        if estimate.suspect:
            return _("suspect: test it or redo it")
        if estimate.paused or estimate.cold_at is None or estimate.cold_at <= now:
            return _("too cold: it stands still")
        return _("too cold expected %(at)s") % {"at": day_clock(estimate.cold_at, now, zone=zone)}


@reminder_kind
class NotYet(WaitKind):
    """A told time that moved; the schedule adds it as that time is taken back."""

    key, title, place = gettext_noop("not yet"), gettext_noop("Not yet ready after all"), 60
    at_once = True
    is_answered = False
    on_bench = ""

    def moment(self, estimate: WaitEstimate) -> datetime | None:
        return None

    def says(self, wait: Wait, now: datetime, *, zone: bool) -> str:
        ready = wait.estimate.ready_at
        assert ready is not None, "only a ready time is taken back"
        return _("not yet, ready %(ready)s") % {"ready": day_clock(ready, now, zone=zone)}


def closing_soon(estimate: WaitEstimate) -> datetime | None:
    """Return when a window is about to close.

    Return None where there is no window, or one that may close before it certainly opens.
    """
    ready, closes = estimate.ready_at, estimate.closes_at
    if ready is None or closes is None or closes <= ready:
        return None
    return closes - min(CLOSING_LEAD, (closes - ready) / 4)


def is_closed(wait: Wait, now: datetime) -> bool:
    """Return whether the window of a wait is over."""
    closes = wait.estimate.closes_at
    return closes is not None and closes < now
