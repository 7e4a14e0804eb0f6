"""The bench: the page of what is due now, and the answers to its reminders."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from jobs.core.errors import Invalid, ShopError
from jobs.domain.overviews.bench import bench as bench_view
from jobs.domain.overviews.jobs import SHUTS
from jobs.domain.reminders.kinds import KINDS
from jobs.domain.reminders.replies import acknowledge_reminder, ask_again, snooze_reminder
from jobs.log.commands import CommandResult
from jobs.models import Approval, Person
from jobs.web.bench_words import at_work, line_words, shown_job, week
from jobs.web.commissions.history import names_of_people
from jobs.web.kit import queued_forms
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, posted_call
from jobs.web.kit.forms import PageForm, sentence
from jobs.web.kit.undo import undo_offer
from jobs.web.wait_axis import wait_axis

SNOOZES = {"10": gettext_lazy("10 min"), "60": gettext_lazy("1 h")}
DAILY_SNOOZES = {"60": gettext_lazy("1 h"), "1440": gettext_lazy("1 day")}
"""For reminders that come in the morning."""
PROMISES_SHOWN = 3
ASKED = {
    Approval.What.DRAWING: gettext_lazy("Drawing with client"),
    Approval.What.SAMPLE: gettext_lazy("Sample with client"),
}


@worker
@require_safe
def bench(request: SignedIn) -> HttpResponse:
    return render(request, "web/bench.html", _context(request))


@worker
@require_safe
def bench_now(request: SignedIn) -> HttpResponse:
    """Return the part of the bench that the page polls."""
    return render(request, "web/bench_now.html", _context(request))


@worker
@require_POST
def answer_reminder(request: SignedIn) -> HttpResponse:
    """Acknowledge a reminder or put it off."""

    def act() -> CommandResult:
        done = _answer(request)
        said = _("Put off.") if request.POST.get("minutes") else _("Seen.")
        same = {
            name: request.POST[name]
            for name in ("wait", "subject", "occasion", "kind")
            if name in request.POST
        }
        undo_offer(request, said, reverse("web:ask-again"), same)
        return done

    return answered(request, act)


@worker
@require_POST
def ask_reminder_again(request: SignedIn) -> HttpResponse:
    """Take back the last answer to a reminder."""
    return answered(
        request, lambda: ask_again(posted_call(request), person=request.user.id, **_reminder_of(request))
    )


def answered(
    request: SignedIn, act: Callable[[], CommandResult], *, typed: Mapping[int, str] | None = None
) -> HttpResponse:
    """Run the command and show the bench afterwards; a refusal appears there and ``typed`` stays."""
    if queued_forms.is_queued(request):
        return queued_forms.accepted(request, act(), _("Answered."), resolve_url("web:bench"))
    try:
        act()
    except ShopError as error:
        context = {**_context(request, typed), "refused": sentence(error)}
        return render(request, "web/bench.html", context, status=error.status)
    return redirect("web:bench")


def _reminder_of(request: SignedIn) -> dict[str, Any]:
    """Return the reminder that a form names: its kind, and a wait, or a subject on an occasion."""
    wait, kind = request.POST.get("wait", ""), request.POST.get("kind", "")
    if request.POST.get("subject"):
        return {"kind": kind, **{n: request.POST.get(n, "")[:60] for n in ("subject", "occasion")}}
    if _is_number(wait):
        return {"kind": kind, "wait": int(wait)}
    raise Invalid(_("no such wait"), field="wait", value=wait[:20], allowed=_("a wait on the bench"))


def _answer(request: SignedIn) -> CommandResult:
    minutes, call = request.POST.get("minutes", ""), posted_call(request)
    asked = {"person": request.user.id, **_reminder_of(request)}
    if not minutes:
        return acknowledge_reminder(call, **asked)
    allowed = {**SNOOZES, **DAILY_SNOOZES}
    if minutes not in allowed:
        raise Invalid(
            _("cannot be put off by that"), field="minutes", value=minutes[:20], allowed=", ".join(allowed)
        )
    return snooze_reminder(call, **asked, until=call.at + timedelta(minutes=int(minutes)))


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 19


def _context(request: SignedIn, typed: Mapping[int, str] | None = None) -> dict[str, Any]:
    now = timezone.now()
    view = bench_view(now=now, person=request.user.id, with_money=request.user.is_owner)
    tasks = {task["id"]: {**task, "typed": (typed or {}).get(task["id"], "")} for task in view["safety"]}
    jobs = [{**shown_job(job, now), "safety": tasks.get(job["task"])} for job in view["jobs"]]
    return {
        "now": now,
        "air": view["air"],
        "at_work": at_work(view["jobs"], _names(view["jobs"], request.user)),
        "first": jobs[0] if jobs else None,
        "then": jobs[1:] if jobs and not jobs[0]["safety"] else jobs,
        "hands_at": view["hands_at"],
        "is_empty": not (jobs or view["waiting"] or view["further"]),
        "further": view["further"],
        "axis": _axis(view, now),
        "reminders": _lines(view, now),
        "week": week(view, now),
        "promises": view["promises"][:PROMISES_SHOWN],
        "snoozes": SNOOZES,
        "form_key": PageForm().initial["form_key"],
    }


def _names(jobs: Iterable[Mapping[str, Any]], user: Person) -> Mapping[str, str]:
    """Return the names of who is at a job; nobody else is asked for where that is the reader alone."""
    others = {job["started_by"] for job in jobs} - {"", user.id}
    return names_of_people() if others else {user.id: str(user)}


def _axis(view: Mapping[str, Any], now: datetime) -> dict[str, Any] | None:
    """Return all that waits, and what lies with clients, on one axis; None where nothing does."""
    quotes = [
        {
            "wait": None,
            "piece": quote["commission"],
            "label": quote["commission_title"],
            "says": _("Quote with client"),
            "url": reverse("web:offer", args=[quote["offer"]]),
            "since": quote["sent_at"],
            "until": _end_of(quote["valid_until"]),
        }
        for quote in view["with_clients"]
    ]
    drawings = [
        {
            "wait": None,
            "piece": one["piece"],
            "label": one["label"],
            "says": ASKED[one["what"]],
            "url": reverse("web:ask-approval", args=[one["commission"]]),
            "since": one["asked_at"],
            "until": None,
        }
        for one in view["to_approve"]
    ]
    cards = [*(card for card in view["waiting"] if _still_waits(card["wait"])), *quotes, *drawings]
    return wait_axis(cards, now) if cards else None


def _still_waits(wait: Mapping[str, Any]) -> bool:
    """Return whether a wait runs or its window is open; what is ready or missed is a job of the list."""
    return not wait["is_over"] or bool(wait["closes_at"] and not wait["is_missed"])


def _end_of(day: date | None) -> datetime | None:
    return timezone.make_aware(datetime.combine(day, time(SHUTS))) if day else None


def _lines(view: Mapping[str, Any], now: datetime) -> list[dict[str, Any]]:
    """Return the reminders as lines, the more pressing ones first."""
    told = sorted(view["reminders"], key=lambda r: (not r["late"], *_presses_less(r)))
    return [
        {**r, "n": n, **line_words(r, now), "snoozes": DAILY_SNOOZES if r["subject"] else SNOOZES}
        for n, r in enumerate(told, 1)
    ]


def _presses_less(reminder: Mapping[str, Any]) -> tuple[bool, bool]:
    """Return a sort key: running waits first, reminders that can wait last."""
    return (KINDS[reminder["kind"]].can_wait, bool(reminder["subject"]))
