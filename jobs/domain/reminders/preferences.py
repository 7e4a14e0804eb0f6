"""Reminder preferences: by person and kind, the channels, the lead, quiet hours and repeats."""

from dataclasses import replace
from typing import Any

from django.db import transaction

from jobs.core.command_cache import read_once
from jobs.core.errors import Invalid
from jobs.domain.reminders.kinds import KINDS
from jobs.domain.reminders.kinds.base import Preference, ReminderKind
from jobs.domain.reminders.kinds.waits import WindowClosesSoon
from jobs.domain.workshop.accounts import change_person
from jobs.models import Channel, Person, ReminderPreference
from jobs.models.people import everybody

LONGEST_LEAD_MIN = LONGEST_REPEAT_MIN = 24 * 60
SHORTEST_REPEAT_MIN = 5
MOST_REPEATS = 5
"""Repeats stop here; later ones would be ignored too."""


class RecipientDirectory:
    """Every recipient of reminders with their preferences, read at once."""

    def __init__(self) -> None:
        self.people = [person for person in everybody() if person.is_active]
        wished = any(person.has_wishes for person in self.people)  # type: ignore[attr-defined]
        kept = ReminderPreference.objects.all() if wished else ()
        self._wishes = {(w.person_id, w.kind): w for w in kept}

    def wish(self, person: Person, kind: ReminderKind) -> Preference:
        return _effective(person, kind, self._wishes.get((person.id, kind.key)))

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
    wish = Preference(**{name: getattr(kept, name) for name in vars(Preference())}) if kept else kind.usual
    return replace(wish, may_wake=kind.may_wake(person, wish))


def wishes_of(person: Person) -> dict[str, Preference]:
    """Return the preferences of this person for every kind that concerns them, by its key."""
    kept = {w.kind: w for w in person.wishes.all()}
    kinds = [kind for kind in KINDS.values() if person.is_owner or not kind.owners_only]
    return {kind.key: _effective(person, kind, kept.get(kind.key)) for kind in kinds}


@transaction.atomic
def set_wishes(person: Person, wishes: dict[str, dict[str, Any]]) -> None:
    """Set a person's preferences for some kinds; fields not given stay. Reminders follow at once."""
    present = wishes_of(person)
    for key, changes in wishes.items():
        if key not in present:
            raise Invalid("no such reminder", field="kind", value=key[:40], allowed=", ".join(present))
        wish = replace(present[key], **changes)
        _check(KINDS[key], wish)
        if key == WindowClosesSoon.key:
            person.wake_for_closing = wish.may_wake
        ReminderPreference.objects.update_or_create(person=person, kind=key, defaults=vars(wish))
    change_person(person, wake_for_closing=person.wake_for_closing)


def _check(kind: ReminderKind, wish: Preference) -> None:
    longest = LONGEST_LEAD_MIN if kind.with_lead else 0
    if not 0 <= wish.lead_min <= longest:
        allowed = f"0 to {longest} minutes" if longest else "0: its time is not known ahead"
        raise _refused(kind, "lead_min", wish, "cannot come so early", allowed)
    if wish.repeat_min and kind.at_once:
        raise _refused(kind, "repeat_min", wish, "cannot be repeated", "0: it is sent once")
    if wish.repeat_min and not SHORTEST_REPEAT_MIN <= wish.repeat_min <= LONGEST_REPEAT_MIN:
        allowed = f"0, or {SHORTEST_REPEAT_MIN} to {LONGEST_REPEAT_MIN} minutes"
        raise _refused(kind, "repeat_min", wish, "cannot be repeated so often or so seldom", allowed)
    if kind.always_wakes and not wish.may_wake:
        raise _refused(kind, "may_wake", wish, "rags and dust do not wait", "true")


def _refused(kind: ReminderKind, name: str, wish: Preference, why: str, allowed: str) -> Invalid:
    return Invalid(why, field=name, value=getattr(wish, name), allowed=allowed, extra={"kind": kind.key})
