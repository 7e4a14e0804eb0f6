"""A wait: as a line that fills from clamped to ready, and on its page, to end it or correct its start."""

from datetime import datetime
from functools import partial
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST

from jobs.domain import lookups
from jobs.domain.climate.clocked_wait import TOLD_FROM
from jobs.domain.stages.wait_commands import correct_start, finish_wait, take_back_end
from jobs.domain.waits.queries import wait_view
from jobs.domain.waits.route import is_suspect
from jobs.models import Wait
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import carried_out
from jobs.web.kit.forms import PageForm, moment_field, reason_field
from jobs.web.kit.undo import undo_offer
from jobs.web.pieces.figure_formatting import source_words


def drawn(wait: dict[str, Any], now: datetime) -> dict[str, Any]:
    """Return a wait view with what the drawing needs: fill, mark of ready, standing.

    The line is as long as the wait can take, or up to the closing of its window where it has one. It is soft
    from the earliest to the latest moment at which the wait can be over.
    """
    since, ready, closes = wait["since"], wait["ready_at"], wait["closes_at"]
    soonest, latest = wait["earliest_at"] or ready, wait["latest_at"] or ready
    end = max(ready, closes or latest) if ready else None
    whole = (end - since).total_seconds() if end else 0
    return {
        **wait,
        "end": end,
        "fill": _share(now, since, whole),
        "ready_mark": _share(ready, since, whole) if end else 100,
        "soft_from": _share(soonest, since, whole) if end else 100,
        "soft_to": _share(latest, since, whole) if end else 100,
        "standing": _standing(wait),
        "has_moved": has_moved(wait),
        "cold": cold_standing(wait, now),
        "unsure": bool(ready and closes and closes <= ready),
        "sources": [source_words(s, {}) for s in wait["basis"].get("source", [])],
    }


def has_moved(wait: dict[str, Any]) -> bool:
    """Return whether measured air has moved the ready time from the one first shown."""
    first, ready = wait["first_told_at"], wait["ready_at"]
    return bool(wait["measured_until"] and first and ready and abs(ready - first) >= TOLD_FROM)


def cold_standing(wait: dict[str, Any], now: datetime) -> str:
    """Return the cold warning that holds: "paused", "ahead", or none."""
    if wait["suspect"] or wait["is_over"]:
        return ""
    if wait["paused"]:
        return "paused"
    return "ahead" if wait["cold_at"] and wait["cold_at"] > now else ""


def _share(moment: datetime | None, since: datetime, whole: float) -> float:
    """Return the position of a moment on the line [%]."""
    if moment is None or whole <= 0:
        return 0
    return round(max(0.0, min(100.0, 100 * (moment - since).total_seconds() / whole)), 1)


def _standing(wait: dict[str, Any]) -> str:
    if wait["suspect"]:
        return "suspect"
    if wait["ready_at"] is None:
        return "untimed"
    if wait["is_missed"]:
        return "missed"
    if not wait["is_over"]:
        return "running"
    return "open" if wait["closes_at"] else "ready"


class WaitStartForm(PageForm):
    since = moment_field(gettext_lazy("It began at"))
    reason = reason_field(gettext_lazy("Why you correct it"))


class EndWaitForm(PageForm):
    reason = reason_field(
        gettext_lazy("Why it ends now"),
        help_text=gettext_lazy("Needed before its ready time, or where it is suspect."),
    )


@worker
@require_http_methods(["GET", "POST"])
def end_wait(request: SignedIn, wait: int) -> HttpResponse:
    """End a wait by hand; before its time this takes a reason."""
    found = lookups.wait(wait)
    piece = found.stage.piece
    form = EndWaitForm(request.POST or None, seen=piece.version)
    if is_suspect(found):
        form.fields["reason"].label, form.fields["reason"].help_text = _("What the test showed"), ""
    return carried_out(
        request, form, partial(finish_wait, wait=wait),
        (_("%(title)s: ended.") % {"title": found.title}, "web:commission", piece.commission.number),
        lambda: _wait_page(request, found, form=form),
        lambda done, says: undo_offer(
            request, says, reverse("web:take-back-end", args=[wait]), {}, done=done
        ),
    )  # fmt: skip


@worker
@require_POST
def take_back_wait_end(request: SignedIn, wait: int) -> HttpResponse:
    """Let an ended wait run on."""
    found, form = lookups.wait(wait), PageForm(request.POST)
    return carried_out(
        request, form, partial(take_back_end, wait=wait),
        (_("%(title)s: runs on.") % {"title": found.title}, "web:end-wait", wait),
        lambda: _wait_page(request, found, form=form),
    )  # fmt: skip


def _wait_page(request: SignedIn, wait: Wait, **forms: PageForm) -> HttpResponse:
    """Show a wait with its two forms; a refused one keeps what was typed."""
    now, piece = timezone.now(), wait.stage.piece
    context = {
        "form": EndWaitForm(seen=piece.version),
        "start": WaitStartForm(seen=piece.version, initial={"since": timezone.localtime(wait.since)}),
        "wait": drawn(wait_view(wait, now), now),
        "piece": piece,
        **forms,
    }
    refused = next((form for form in forms.values() if form.status != 200), None)
    context["wrong"] = refused
    status = refused.status if refused else 200
    return render(request, "web/stages/wait_end.html", context, status=status)


@worker
@require_POST
def wait_start(request: SignedIn, wait: int) -> HttpResponse:
    """Correct when a wait began."""
    found, form = lookups.wait(wait), WaitStartForm(request.POST)
    return carried_out(
        request, form, partial(correct_start, wait=wait),
        (_("%(title)s: recalculated.") % {"title": found.title}, "web:end-wait", wait),
        lambda: _wait_page(request, found, start=form),
    )  # fmt: skip
