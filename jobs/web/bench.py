"""The bench: the page of what is due now, and the answers to its reminders."""

from collections.abc import Callable, Mapping
from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from jobs.core.errors import Invalid, ShopError
from jobs.domain.overviews.bench import bench as bench_view
from jobs.domain.reminders.kinds import KINDS, WAIT_KINDS
from jobs.domain.reminders.replies import acknowledge_reminder, ask_again, snooze_reminder
from jobs.log.commands import CommandContext, CommandResult
from jobs.web.commissions.next_action import office_url
from jobs.web.kit import queued_forms
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, call_of
from jobs.web.kit.forms import PageForm, sentence
from jobs.web.kit.undo import undo_offer
from jobs.web.stages.wait_progress import drawn

SNOOZES = {"10": gettext_lazy("10 min"), "60": gettext_lazy("1 h")}
DAILY_SNOOZES = {"60": gettext_lazy("1 h"), "1440": gettext_lazy("1 day")}
"""For reminders that come in the morning."""


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
        request, lambda: ask_again(_call(request), person=request.user.id, **_reminder_of(request))
    )


def answered(
    request: SignedIn, act: Callable[[], CommandResult], *, typed: Mapping[int, str] | None = None
) -> HttpResponse:
    """Run the command and show the bench afterwards; a refusal appears there and ``typed`` stays."""
    refused = ""
    if queued_forms.is_queued(request):
        return queued_forms.accepted(request, act(), _("Answered."), resolve_url("web:bench"))
    try:
        act()
    except ShopError as error:
        refused = sentence(error)
    if request.htmx:
        context = {**_context(request, typed if refused else None), "refused": refused}
        return render(request, "web/bench_now.html", context)
    if refused:
        messages.error(request, refused)
    return redirect("web:bench")


def _call(request: SignedIn) -> CommandContext:
    seen = request.POST.get("form_seen", "")
    return call_of(
        request, key=request.POST.get("form_key", ""), seen=int(seen) if _is_number(seen) else None
    )


def _reminder_of(request: SignedIn) -> dict[str, Any]:
    """Return the reminder that a form names: its kind, and a wait, or a subject on an occasion."""
    wait, kind = request.POST.get("wait", ""), request.POST.get("kind", "")
    if request.POST.get("subject"):
        return {"kind": kind, **{n: request.POST.get(n, "")[:60] for n in ("subject", "occasion")}}
    if _is_number(wait):
        return {"kind": kind, "wait": int(wait)}
    raise Invalid(_("no such wait"), field="wait", value=wait[:20], allowed=_("a wait on the bench"))


def _answer(request: SignedIn) -> CommandResult:
    minutes, call = request.POST.get("minutes", ""), _call(request)
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
    for name in ("waiting", "must_not_miss"):
        view[name] = [{**card, "wait": drawn(card["wait"], now)} for card in view[name]]
    view["safety"] = [{**task, "typed": (typed or {}).get(task["id"], "")} for task in view["safety"]]
    by_wait = {card["wait"]["id"]: card for card in view["waiting"]}
    told = [
        {
            **r,
            "n": n,
            **_bench_words(r),
            "card": by_wait.get(r["wait"]),
            "snoozes": DAILY_SNOOZES if r["subject"] else SNOOZES,
        }
        for n, r in enumerate(sorted(view["reminders"], key=_presses_less), 1)
    ]
    view["still_asked"] = [{**card, "says": _still_asked_words(card)} for card in view["still_asked"]]
    above = {card["wait"]["id"] for card in view["must_not_miss"]}
    later = [r for r in told if KINDS[r["kind"]].can_wait or r["wait"] in above]
    return {
        **view,
        **_once(view),
        "reminders": [r for r in told if r not in later],
        "can_wait": later,
        "office": [{**card, "url": office_url(card, card["commission"])} for card in view["office"]],
        "form_key": PageForm().initial["form_key"],
    }


def _still_asked_words(card: Mapping[str, Any]) -> str:
    """Return the request for the measurements that a finished stage still lacks."""
    what = ", ".join(gate["title"].lower() for gate in card["gates"])
    return _("Say the %(what)s of %(label)s") % {"what": what, "label": card["label"]}


def _bench_words(reminder: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the kind of a wait's reminder says, the time after it, and the end of a window."""
    kind = WAIT_KINDS.get(reminder["kind"])
    if kind is None:
        return {}
    return {
        "says": kind.on_bench,
        "says_at": reminder[kind.bench_time] if kind.bench_time else None,
        "says_closes": reminder["closes_at"] if kind.bench_closes else None,
    }


def _presses_less(reminder: Mapping[str, Any]) -> tuple[bool, bool]:
    """Return a sort key: running waits first, reminders that can wait last."""
    return (KINDS[reminder["kind"]].can_wait, bool(reminder["subject"]))


def _once(view: dict[str, Any]) -> dict[str, Any]:
    """Return waits and stages without those already listed under what must not be missed."""
    pressing = {card["wait"]["id"] for card in view["must_not_miss"]}
    to_do = {(card["piece"], key) for card in view["must_not_miss"] for key in card["wait"]["holds"]}
    return {
        "waiting": [
            card
            for card in view["waiting"]
            if card["wait"]["id"] not in pressing and not card["wait"]["is_over"]
        ],
        "can_do": [card for card in view["can_do"] if (card["piece"], card["stage"]) not in to_do],
    }
