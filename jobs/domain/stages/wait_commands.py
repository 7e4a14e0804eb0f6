"""Commands on waits: end one, correct its start, answer its reminders."""

from datetime import datetime, timedelta
from typing import Any

from jobs.core.errors import Invalid, NotFound, NotYet
from jobs.domain import lookups
from jobs.domain.checks import about, clock, one_of, refuse_if_ended, the_reason
from jobs.domain.stages.preconditions import refuse_as_done
from jobs.domain.waits.route import RouteState, is_suspect, may_begin, reason_of
from jobs.domain.waits.waits import append_stage, end_wait, start_passive_stages
from jobs.log.commands import CommandTransaction, command
from jobs.models import OF_SUBJECTS, OF_WAITS, SUPERSEDES, ReminderDue, Wait

LONGEST_SNOOZE = timedelta(days=7)


@command
def finish_wait(tx: CommandTransaction, *, wait: int, reason: str = "") -> None:
    """End a wait; one that is not over needs a reason."""
    found = lookups.wait(wait)
    if found.step == Wait.Step.FINISHED:
        says = f"{found.title} is ended"
        refuse_as_done(
            found.stage, says, field="wait", value=wait, allowed="a running wait", kind="wait_finished"
        )
    tx.check_version(found.stage.piece.version, what=f"piece {found.stage.piece.number}")
    _refuse_unless_running(found)
    refuse_if_ended(found.stage.piece.commission)
    if not may_begin(found, tx.call.at) and not reason.strip():
        says = "is not over" + (f": {reason_of(found)}" if is_suspect(found) else "")
        raise about(found, says, allowed="a reason why it is ended all the same", error=NotYet)
    end_wait(tx, found, reason=reason)
    start_passive_stages(tx, found.stage.piece)


@command
def correct_start(tx: CommandTransaction, *, wait: int, since: datetime | None, reason: str) -> None:
    """Correct when a running wait began; its times and its reminders follow."""
    found = lookups.wait(wait)
    tx.check_version(found.stage.piece.version, what=f"piece {found.stage.piece.number}")
    _refuse_unless_running(found)
    refuse_if_ended(found.stage.piece.commission)
    why = the_reason(reason, what="a correction")
    earliest = _work_begun(found)
    if since is None or not earliest <= since <= tx.call.at:
        raise Invalid(
            "it cannot have begun then",
            field="since",
            value=since.isoformat() if since else "",
            allowed=f"{clock(earliest)} to {clock(tx.call.at)}",
        )
    append_stage(
        tx,
        "wait_start_corrected",
        found.stage,
        {"wait": found.id, "since": since, "was": found.since, "reason": why},
    )


def _work_begun(wait: Wait) -> datetime:
    """Return when the stage whose work is waiting was started."""
    route = RouteState(wait.stage.piece)
    spec = next((s for s in wait.stage.spec["waits"] if s["kind"] == wait.kind), None)
    stage = route.by_key.get(spec["since"], wait.stage) if spec else wait.stage
    return stage.started_at or wait.since


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
    _refuse_unless_running(found)
    one_of(kind, OF_WAITS, "no such reminder", field="kind")
    return {"wait": found.id, "subject": "", "occasion": "", "kind": kind, "person": person}


def _refuse_unless_reminded(kind: str, person: str, subject: str, occasion: str) -> None:
    """Refuse a subject and occasion of which this person has no reminder."""
    one_of(kind, OF_SUBJECTS, "no such reminder", field="kind")
    about = {"subject": subject, "occasion": occasion}
    if not ReminderDue.objects.filter(**about, kind=kind, person=person).exists():
        raise NotFound("there is no such reminder", field="subject", value=f"{subject} {occasion}"[:80])


def _refuse_unless_running(wait: Wait) -> None:
    if wait.step != Wait.Step.RUNNING:
        raise about(wait, f"is {wait.step}", allowed="a running wait")
