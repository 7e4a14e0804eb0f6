"""Commands that answer reminders of waits and of subjects: acknowledge one, snooze it, take that back."""

from datetime import datetime, timedelta
from typing import Any

from jobs.core.errors import Invalid, NotFound
from jobs.domain import lookups
from jobs.domain.checks import one_of
from jobs.domain.reminders.kinds import ANSWERED, SUBJECT_KINDS, SUPERSEDES, WAIT_KINDS
from jobs.domain.stages.wait_commands import refuse_unless_running
from jobs.log.commands import CommandTransaction, command
from jobs.models import ReminderDue, ReminderReply

LONGEST_SNOOZE = timedelta(days=7)


@command
def acknowledge_reminder(
    tx: CommandTransaction,
    *,
    kind: str,
    person: str,
    wait: int | None = None,
    subject: str = "",
    occasion: str = "",
) -> None:
    """Acknowledge a reminder; it is not sent or shown to this person again.

    The reminder is about a wait, or about another subject on the occasion of a day.
    """
    about = _reminded(tx, kind, person, wait=wait, subject=subject, occasion=occasion)
    _acknowledge_what_it_says_too(tx, about)
    tx.append("reminder_acknowledged", "reminders", about)


@command
def snooze_reminder(
    tx: CommandTransaction,
    *,
    kind: str,
    person: str,
    until: datetime,
    wait: int | None = None,
    subject: str = "",
    occasion: str = "",
) -> None:
    """Snooze a reminder for this person until a later moment."""
    about = _reminded(tx, kind, person, wait=wait, subject=subject, occasion=occasion)
    if not tx.call.at < until <= tx.call.at + LONGEST_SNOOZE:
        raise Invalid(
            "cannot be put off until then",
            field="until",
            value=until.isoformat(),
            allowed=f"later than now, up to {LONGEST_SNOOZE.days} days",
        )
    _acknowledge_what_it_says_too(tx, about)
    tx.append("reminder_snoozed", "reminders", {**about, "until": until})


@command
def ask_again(
    tx: CommandTransaction,
    *,
    kind: str,
    person: str,
    wait: int | None = None,
    subject: str = "",
    occasion: str = "",
) -> None:
    """Take back this person's last reply to a reminder, with what it answered too."""
    if (wait is None) == (not subject):
        raise Invalid("one thing is asked again", field="wait", value=wait, allowed="a wait, or a subject")
    one_of(kind, ANSWERED, "no such reminder", field="kind")
    if wait is not None:
        found = lookups.wait(wait)
        tx.check_version(found.stage.piece.version, what=f"piece {found.stage.piece.number}")
        refuse_unless_running(found)
    about = ReminderReply.objects.filter(person=person, wait=wait, subject=subject)
    last = about.filter(kind=kind, occasion=occasion).order_by("-id").first()
    if last is None:
        raise NotFound("this reminder was not answered", field="subject", value=f"{subject} {occasion}"[:80])
    together = about.filter(kind__in=(kind, SUPERSEDES.get(kind, kind)), at=last.at).order_by("id")
    data = {"wait": wait, "subject": subject, "kind": kind, "person": person}
    tx.append("reminder_asked_again", "reminders", {**data, "replies": [reply.id for reply in together]})


def _acknowledge_what_it_says_too(tx: CommandTransaction, about: dict[str, Any]) -> None:
    """Acknowledge earlier occasions of the subject, and the reminder that this kind supersedes."""
    mine = ReminderDue.objects.filter(person=about["person"])
    older = mine.filter(subject=about["subject"], kind=about["kind"], occasion__lt=about["occasion"])
    for occasion in sorted(set(older.values_list("occasion", flat=True))):
        tx.append("reminder_acknowledged", "reminders", {**about, "occasion": occasion})
    before = SUPERSEDES.get(about["kind"])
    if before and mine.filter(wait=about["wait"], kind=before).exists():
        tx.append("reminder_acknowledged", "reminders", {**about, "kind": before})


def _reminded(
    tx: CommandTransaction, kind: str, person: str, *, wait: int | None, subject: str, occasion: str
) -> dict[str, Any]:
    """Return the answered reminder as the event stores it."""
    if (wait is None) == (not subject):
        raise Invalid("one thing is answered", field="wait", value=wait, allowed="a wait, or a subject")
    if wait is None:
        _refuse_unless_reminded(kind, person, subject, occasion)
        return {"wait": None, "subject": subject, "occasion": occasion, "kind": kind, "person": person}
    found = lookups.wait(wait)
    tx.check_version(found.stage.piece.version, what=f"piece {found.stage.piece.number}")
    refuse_unless_running(found)
    one_of(kind, [key for key in WAIT_KINDS if key in ANSWERED], "no such reminder", field="kind")
    return {"wait": found.id, "subject": "", "occasion": "", "kind": kind, "person": person}


def _refuse_unless_reminded(kind: str, person: str, subject: str, occasion: str) -> None:
    """Refuse a subject and occasion of which this person has no reminder."""
    one_of(kind, SUBJECT_KINDS, "no such reminder", field="kind")
    about = {"subject": subject, "occasion": occasion}
    if not ReminderDue.objects.filter(**about, kind=kind, person=person).exists():
        raise NotFound("there is no such reminder", field="subject", value=f"{subject} {occasion}"[:80])
