"""Words of a reminder: what is ready, since when, on what basis, what it holds, where to look."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from calcs.kit.amounts import format_temperature
from calcs.materials.product_sheets import finish_classes, glue_classes
from jobs.domain.checks import title_of
from jobs.domain.clients.mailing import shop_name
from jobs.domain.reminders.kinds import WAIT_KINDS
from jobs.domain.reminders.kinds.base import THEIR_WORDS
from jobs.domain.reminders.kinds.waits import is_closed
from jobs.domain.reminders.subject_wording import SubjectNews
from jobs.domain.reminders.times import day_clock
from jobs.domain.routes.schema import CAUTION_OF, cautions
from jobs.domain.settings import profile
from jobs.domain.waits.route import reason_of, safe_at
from jobs.log.private_texts import Texts, read, refs_of
from jobs.models import Person, ReminderDue, SafetyTask, Sheet, Stage, Wait

MOST_NAMED = 2


@dataclass(frozen=True, kw_only=True)
class Told:
    """One reminder within a mail."""

    due: ReminderDue
    late: bool


@dataclass(frozen=True, kw_only=True)
class Wording:
    """A message in words: subject, text, HTML, and a brief text for a small screen."""

    subject: str
    text: str
    html: str
    brief: str


def wording(person: Person, told: list[Told], *, now: datetime) -> Wording:
    """Return the mail with these reminders to one person; of one subject it has only the newest."""
    newest = {t.due.about: t for t in sorted(told, key=lambda t: t.due.due_at)}
    entries = [_entry(person, t, _first_due(told, t.due.about), now) for t in newest.values()]
    if len(entries) == 1:
        subject = entries[0]["subject"]
    else:
        first = day_clock(min(t.due.due_at for t in told), now)
        subject = _("%(count)s reminders, the first was due %(first)s") % {
            "count": len(entries),
            "first": first,
        }
    if any(t.late for t in told):
        subject = _("Late: %(subject)s") % {"subject": subject}
    context = {
        "name": str(person), "entries": entries, "first": cautions()["first"], "shop": _shop(),
    }  # fmt: skip
    return Wording(
        subject=" ".join(subject.split()),
        text=render_to_string("mail/reminder.txt", context),
        html=render_to_string("mail/reminder.html", context),
        brief="\n".join(_brief(entry, alone=len(entries) == 1) for entry in entries),
    )


def _shop() -> str:
    """Return the shop's name, which signs the mail."""
    shop = profile()
    return shop_name(Texts(refs_of([shop]))) if shop else ""


def _brief(entry: dict[str, Any], *, alone: bool) -> str:
    """Return one reminder for a phone: what the title leaves out, and where to look."""
    lines = [] if alone else [entry["subject"]]
    if entry["was_due"]:
        lines.append(_("Was due at %(was_due)s.") % {"was_due": entry["was_due"]})
    return "\n".join([*lines, entry["in_short"], entry["link"]])


def _first_due(told: Iterable[Told], about: tuple[int, str, str]) -> datetime:
    return min(t.due.due_at for t in told if t.due.about == about)


def _entry(person: Person, told: Told, first_due: datetime, now: datetime) -> dict[str, Any]:
    was_due = day_clock(first_due, now, zone=True) if told.late else ""
    if told.due.task is not None:
        return {**_task_entry(told.due.task, now), "was_due": was_due}
    if told.due.subject:
        return {**_subject_entry(told.due, now), "was_due": was_due}
    wait, kind = told.due.wait, WAIT_KINDS[told.due.kind]
    assert wait is not None, "a reminder is about a wait, a task or a subject"
    piece = wait.stage.piece
    held = _held(wait)
    return {
        "subject": f"{piece.number} {_named(held, wait)}: {kind.says(wait, now, zone=False)}",
        "heading": f"{_named(held, wait)}: {kind.says(wait, now, zone=True)}",
        "was_due": was_due,
        "missed": is_closed(wait, now),
        "facts": [
            (_("Piece"), f"{piece.number}, {read(piece.label_ref)}"),
            (_("Commission"), f"{piece.commission.number}, {read(piece.commission.title_ref)}"),
            (
                _("What waited"),
                _("%(title)s, since %(since)s")
                % {"title": wait.title, "since": day_clock(wait.since, now, zone=True)},
            ),
            (_("It holds"), ", ".join(held)),
            (_("To be safe"), _safe(wait, now)),
            (_("Rests on"), _basis(wait, person)),
            (_("Note"), reason_of(wait)),
        ],
        "in_short": f"{read(piece.label_ref)}, {read(piece.commission.title_ref)}",
        "link": f"{settings.PUBLIC_URL}/pieces/{piece.number}/stages/{stage_to_open(wait)}/",
    }


def stage_to_open(wait: Wait) -> str:
    """Return the key of the first stage that a wait holds; without one, the key of the wait's stage."""
    return wait.holds[0] if wait.holds else wait.stage.key


def _subject_entry(due: ReminderDue, now: datetime) -> dict[str, Any]:
    """Return the entry of a commission, an invoice, a supply or a client's words."""
    told = SubjectNews([due], now=now)
    news, facts = told[due], told.facts(due)
    return {
        "subject": news.headline,
        "heading": news.headline,
        "missed": False,
        "facts": facts,
        "in_short": "; ".join(
            value for name, value in facts if value and name not in (_("Commission"), THEIR_WORDS)
        ),
        "link": f"{settings.PUBLIC_URL}{news.path}",
    }


def _task_entry(task: SafetyTask, now: datetime) -> dict[str, Any]:
    """Return the entry of a safety task: what may be smouldering, with the caution."""
    piece = task.piece
    question, opened = _(SafetyTask.Kind(task.kind).label), day_clock(task.opened_at, now)
    caution = cautions()[CAUTION_OF[SafetyTask.Kind(task.kind)]]
    return {
        "subject": _("%(number)s %(question)s %(stage_title)s, finished %(opened)s")
        % {"number": piece.number, "question": question, "stage_title": task.stage_title, "opened": opened},
        "heading": _("%(question)s Nobody has said so since %(since)s")
        % {"question": question, "since": day_clock(task.opened_at, now, zone=True)},
        "missed": False,
        "facts": [
            (_("Piece"), f"{piece.number}, {read(piece.label_ref)}"),
            (_("Commission"), f"{piece.commission.number}, {read(piece.commission.title_ref)}"),
            (_("Left by"), task.stage_title),
            (caution["title"], caution["text"]),
            (_("Answer"), _("on the bench, with what was done")),
        ],
        "in_short": f"{piece.number}, {read(piece.label_ref)}. {caution['title']}.",
        "link": f"{settings.PUBLIC_URL}/",
    }


def _held(wait: Wait) -> list[str]:
    stages = Stage.objects.filter(piece=wait.stage.piece_id, key__in=wait.holds).order_by("position")
    return [title_of(stage) for stage in stages]


def _named(held: list[str], wait: Wait) -> str:
    if not held:
        return wait.title
    more = _(" and %(count)s more") % {"count": len(held) - MOST_NAMED} if len(held) > MOST_NAMED else ""
    return ", ".join(held[:MOST_NAMED]) + more


def _safe(wait: Wait, now: datetime) -> str:
    """Return the hour that the calendar has, where it is later than the time shown as ready."""
    safe = safe_at(wait, wait.estimate)
    if safe is None or safe == wait.estimate.ready_at:
        return ""
    return _("from %(at)s on, the slow end of the estimate") % {"at": day_clock(safe, now, zone=True)}


def _basis(wait: Wait, person: Person) -> str:
    """Return the sheet and the air that the ready time rests on."""
    basis = wait.basis
    if "product" not in basis:
        return _("a time of the route, not of a product")
    temperature = format_temperature(Decimal(basis["temp_c"]), person.temperature_unit)
    return _("%(sheet)s; %(temperature)s, %(rh_pct)s %% relative humidity") % {
        "sheet": _sheet(basis),
        "temperature": temperature,
        "rh_pct": basis["rh_pct"],
    }


def _sheet(basis: dict[str, Any]) -> str:
    key, version = basis["product"], basis["sheet_version"]
    if version:
        name = Sheet.objects.get(key=key, version=version).data["name"]
        return _("%(name)s, the shop's own sheet, version %(version)s") % {"name": name, "version": version}
    classes: dict[str, Any] = {**glue_classes(), **finish_classes()}
    return _("%(name)s, the usual figures of its class, not the product's own sheet") % {
        "name": classes[key].name
    }
