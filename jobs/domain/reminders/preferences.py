"""Reminder preferences: by person and kind, the channels, the lead, quiet hours and repeats."""

from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction

from jobs.core.command_cache import read_once
from jobs.core.errors import Invalid
from jobs.domain.workshop.accounts import change_person
from jobs.models import OF_TASKS, Channel, Person, ReminderKind, ReminderPreference
from jobs.models.people import everybody

AT_ONCE = (ReminderKind.NOT_YET, ReminderKind.TOO_COLD)
"""Kinds that are due when they become known; their time is that of the event."""
WITH_LEAD = (ReminderKind.READY, ReminderKind.OPENS, ReminderKind.CLOSES_SOON)
LONGEST_LEAD_MIN = LONGEST_REPEAT_MIN = 24 * 60
SHORTEST_REPEAT_MIN = 5
MOST_REPEATS = 5
"""Repeats stop here; later ones would be ignored too."""


@dataclass(frozen=True, kw_only=True)
class Preference:
    """Mail, push, minutes early, allowed in quiet hours, minutes between repeats (0: no repeat)."""

    by_mail: bool = True
    by_push: bool = True
    lead_min: int = 0
    may_wake: bool = False
    repeat_min: int = 0


USUAL: dict[ReminderKind, Preference] = {
    ReminderKind.READY: Preference(),
    ReminderKind.LOOK: Preference(),
    ReminderKind.OPENS: Preference(),
    ReminderKind.CLOSES_SOON: Preference(),
    ReminderKind.TOO_COLD: Preference(),
    ReminderKind.NOT_YET: Preference(),
    ReminderKind.TASK: Preference(may_wake=True),
    ReminderKind.TASK_AT_CLOSING: Preference(may_wake=True),
    ReminderKind.PROMISE: Preference(),
    ReminderKind.UNTOLD: Preference(by_push=False),
    ReminderKind.PAYMENT: Preference(by_push=False),
    ReminderKind.DELIVERY: Preference(),
    ReminderKind.SUPPLY: Preference(by_push=False),
    ReminderKind.ASKED: Preference(),
    ReminderKind.SAID_YES: Preference(),
    ReminderKind.SAID_NO: Preference(),
}
"""Preferences of a person who set none; the screen always shows a reminder."""
FOR_OWNERS = (ReminderKind.PAYMENT, ReminderKind.SAID_YES, ReminderKind.SAID_NO)


class RecipientDirectory:
    """Every recipient of reminders with their preferences, read at once."""

    def __init__(self) -> None:
        self.people = [person for person in everybody() if person.is_active]
        wished = any(person.has_wishes for person in self.people)  # type: ignore[attr-defined]
        kept = ReminderPreference.objects.all() if wished else ()
        self._wishes = {(w.person_id, w.kind): w for w in kept}

    def wish(self, person: Person, kind: ReminderKind) -> Preference:
        return _effective(person, kind, self._wishes.get((person.id, kind)))

    def channels(self, person: Person, kind: ReminderKind) -> list[Channel]:
        wish, found = self.wish(person, kind), [Channel.SCREEN]
        if wish.by_mail and person.reminders_by_mail and person.email:
            found.append(Channel.MAIL)
        if wish.by_push and person.has_push:  # type: ignore[attr-defined]
            found.append(Channel.PUSH)
        return found


@read_once()
def audience() -> RecipientDirectory:
    """Return every recipient of reminders."""
    return RecipientDirectory()


def _effective(person: Person, kind: ReminderKind, kept: ReminderPreference | None) -> Preference:
    wish = Preference(**{name: getattr(kept, name) for name in vars(Preference())}) if kept else USUAL[kind]
    return replace(wish, may_wake=_may_wake(person, kind, wish))


def _may_wake(person: Person, kind: ReminderKind, wish: Preference) -> bool:
    """Return whether a kind may disturb quiet hours.

    Rags and dust always may. For closing windows the person's own setting decides alone.
    """
    return kind in OF_TASKS or (
        person.wake_for_closing if kind == ReminderKind.CLOSES_SOON else wish.may_wake
    )


def wishes_of(person: Person) -> dict[ReminderKind, Preference]:
    """Return the preferences of this person for every kind that concerns them."""
    kept = {w.kind: w for w in person.wishes.all()}
    kinds = [k for k in USUAL if person.is_owner or k not in FOR_OWNERS]
    return {kind: _effective(person, kind, kept.get(kind)) for kind in kinds}


@transaction.atomic
def set_wishes(person: Person, wishes: dict[str, dict[str, Any]]) -> None:
    """Set a person's preferences for some kinds; fields not given stay. Reminders follow at once."""
    present = wishes_of(person)
    for kind, changes in wishes.items():
        if kind not in present:
            raise Invalid("no such reminder", field="kind", value=kind[:40], allowed=", ".join(present))
        wish = replace(present[ReminderKind(kind)], **changes)
        _check(ReminderKind(kind), wish)
        if kind == ReminderKind.CLOSES_SOON:
            person.wake_for_closing = wish.may_wake
        ReminderPreference.objects.update_or_create(person=person, kind=kind, defaults=vars(wish))
    change_person(person, wake_for_closing=person.wake_for_closing)


def _check(kind: ReminderKind, wish: Preference) -> None:
    longest = LONGEST_LEAD_MIN if kind in WITH_LEAD else 0
    if not 0 <= wish.lead_min <= longest:
        allowed = f"0 to {longest} minutes" if longest else "0: its time is not known ahead"
        raise _refused(kind, "lead_min", wish, "cannot come so early", allowed)
    if wish.repeat_min and kind in AT_ONCE:
        raise _refused(kind, "repeat_min", wish, "cannot be repeated", "0: it is sent once")
    if wish.repeat_min and not SHORTEST_REPEAT_MIN <= wish.repeat_min <= LONGEST_REPEAT_MIN:
        allowed = f"0, or {SHORTEST_REPEAT_MIN} to {LONGEST_REPEAT_MIN} minutes"
        raise _refused(kind, "repeat_min", wish, "cannot be repeated so often or so seldom", allowed)
    if kind in OF_TASKS and not wish.may_wake:
        raise _refused(kind, "may_wake", wish, "rags and dust do not wait", "true")


def _refused(kind: ReminderKind, name: str, wish: Preference, why: str, allowed: str) -> Invalid:
    return Invalid(why, field=name, value=getattr(wish, name), allowed=allowed, extra={"kind": kind})
